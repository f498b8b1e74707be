package audio

import (
	"bytes"
	"encoding/binary"
	"io"
	"os"
	"runtime"
	"strings"
	"testing"
)

// oggCRC is the checksum of a page (RFC 3533, from memory).
func oggCRC(p []byte) (crc uint32) {
	for _, b := range p {
		crc ^= uint32(b) << 24
		for range 8 {
			if crc&(1<<31) != 0 {
				crc = crc<<1 ^ 0x04c11db7
			} else {
				crc <<= 1
			}
		}
	}
	return crc
}

// oggPage is a page with a body cut into segments of the given lengths.
func oggPage(flags byte, body []byte, segs ...byte) []byte {
	p := append([]byte("OggS\x00"), flags)
	p = append(p, make([]byte, 20)...)
	p = append(p, byte(len(segs)))
	p = append(append(p, segs...), body...)
	binary.LittleEndian.PutUint32(p[22:], oggCRC(p))
	return p
}

// oggPacket is a packet on a page of its own.
func oggPacket(flags byte, body []byte) []byte {
	segs := bytes.Repeat([]byte{255}, len(body)/255)
	return oggPage(flags, body, append(segs, byte(len(body)%255))...)
}

// putBits writes numbers and how many bits each takes, the lowest bit first.
func putBits(pairs ...int) (p []byte) {
	at := 0
	for i := 0; i < len(pairs); i += 2 {
		for b := range pairs[i+1] {
			if at%8 == 0 {
				p = append(p, 0)
			}
			p[at/8] |= byte(pairs[i]>>b&1) << (at % 8)
			at++
		}
	}
	return p
}

// vorbisWith is a Vorbis stream with the given comments and code books.
func vorbisWith(comments, books []byte) []byte {
	id := []byte("\x01vorbis\x00\x00\x00\x00\x01\x80\xbb\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\xb8\x01")
	p := oggPacket(2, id)
	p = append(p, oggPacket(0, append([]byte("\x03vorbis"), comments...))...)
	return append(p, oggPacket(0, append([]byte("\x05vorbis"), books...))...)
}

// flow gives its bytes again and again, until so many have been read.
type flow struct {
	what []byte
	at   int
	left int64
}

func (e *flow) Read(p []byte) (n int, err error) {
	if e.left <= 0 {
		return 0, io.EOF
	}
	for n < len(p) {
		k := copy(p[n:], e.what[e.at:])
		n, e.at = n+k, (e.at+k)%len(e.what)
	}
	e.left -= int64(n)
	return n, nil
}

// TestHostileSounds: what a header claims asks for no memory and no time, and a
// sound that is shorter than it says is read as far as it goes.
func TestHostileSounds(t *testing.T) {
	t.Setenv("PATH", "") // no ffmpeg
	tiny := map[string][]byte{}
	for _, kind := range []string{"flac", "mp3", "ogg"} {
		b, err := os.ReadFile("testdata/tiny." + kind)
		if err != nil {
			t.Fatal(err)
		}
		tiny[kind] = b
	}
	const none = "\x00\x00\x00\x00\x00\x00\x00\x00"
	const huge = 32 << 20 // much more than may be kept
	second := func(head []byte) io.Reader {
		return io.MultiReader(bytes.NewReader(head), bytes.NewReader(make([]byte, 2*8000)))
	}
	flood := func(head, what []byte) io.Reader {
		return io.MultiReader(bytes.NewReader(head), &flow{what: what, left: huge})
	}
	wav := func(id string, size uint32, more ...byte) []byte {
		p := append([]byte(id+"\xff\xff\xff\xffWAVE"), more...)
		p = append(p, sized("fmt ", 16, binary.LittleEndian.AppendUint32([]byte("\x01\x00\x01\x00"), 8000))...)
		p = append(p, "\x80\x3e\x00\x00\x02\x00\x10\x00data"...)
		return binary.LittleEndian.AppendUint32(p, size)
	}
	ds64 := append([]byte("ds64\x1c\x00\x00\x00"), make([]byte, 28)...)
	binary.LittleEndian.PutUint64(ds64[16:], 1<<62)
	flac := bytes.Clone(tiny["flac"])
	binary.BigEndian.PutUint64(flac[18:], binary.BigEndian.Uint64(flac[18:])|1<<36-1) // the number of samples
	ogg := bytes.Clone(tiny["ogg"])                                                   // its last page is not the last
	end := bytes.LastIndex(ogg, []byte("OggS"))
	ogg[end+5] &^= 4
	clear(ogg[end+22 : end+26])
	binary.LittleEndian.PutUint32(ogg[end+22:], oggCRC(ogg[end:]))
	full := bytes.Repeat([]byte{255}, 255)
	tag := bytes.Clone(tiny["mp3"])
	if i := bytes.Index(tag, []byte("Info")); i >= 0 {
		binary.BigEndian.PutUint32(tag[i+8:], 0xFFFFFFFF)
	} else if i = bytes.Index(tag, []byte("Xing")); i >= 0 {
		binary.BigEndian.PutUint32(tag[i+8:], 0xFFFFFFFF)
	} else {
		t.Fatal("tiny.mp3 has no tag")
	}
	for _, c := range []struct {
		name    string
		r       io.Reader
		samples int    // that are there; -1: it is refused; 0: some
		says    string // in the error, or in the warnings
	}{
		{"WAV of 4 GB that is short", second(wav("RIFF", 0x7FFFEFFF)), 8000, "cut off after"},
		{"WAV of no known length", second(wav("RIFF", 0xFFFFFFFF)), 8000, ""},
		{"RF64 of 4 EB that is short", second(wav("RF64", 0xFFFFFFFF, ds64...)), 8000, "cut off after"},
		{"WAV with a chunk of 4 GB before its sound", second(riff(sized("LIST", 0xFFFFFFFF, nil))), -1, "without a data chunk"},
		{"WAV whose chunks never end", flood([]byte("RIFF\x00\x00\x00\x00WAVE"), sized("junk", 4, []byte("junk"))), -1, "chunks before"},
		{"FLAC of 2^36 samples that is short", bytes.NewReader(flac), 0, ""},
		{"FLAC whose metadata never end", flood([]byte("fLaC"), []byte("\x01\x00\x00\x00")), -1, "FLAC"},
		{"MP3 of 2^32 frames that is short", bytes.NewReader(tag), 0, "cut off after"},
		{"MP3 that turns to noise", io.MultiReader(bytes.NewReader(tiny["mp3"][:len(tiny["mp3"])/2]), &flow{what: []byte{0xff, 0x00, 0x13}, left: 4 << 20}), 0, ""},
		{"ID3 tags of 256 MB each", flood(nil, append([]byte("ID3\x04\x00\x00\x7f\x7f\x7f\x7f"), make([]byte, 1<<16)...)), -1, ""},
		{"OGG with 2^32 comments", bytes.NewReader(vorbisWith([]byte("\x00\x00\x00\x00\xff\xff\xff\xff\x01"), nil)), -1, "makes no sense"},
		{"OGG with a vendor of 4 GB", bytes.NewReader(vorbisWith([]byte("\xff\xff\xff\xff\x00\x00\x00\x00\x01"), nil)), -1, "makes no sense"},
		{"OGG with a book of no entries", bytes.NewReader(vorbisWith([]byte(none), putBits(0, 8, 0x564342, 24, 1, 16, 0, 24, 0, 1, 0, 1, 0, 4))), -1, "makes no sense"},
		{"OGG with a book of 2^24 entries", bytes.NewReader(vorbisWith([]byte(none), putBits(0, 8, 0x564342, 24, 65535, 16, 1<<24-1, 24, 1, 1, 0, 5, 1<<24-1, 24, 2, 4))), -1, "makes no sense"},
		{"OGG with books of a million values", bytes.NewReader(vorbisWith([]byte(none), bigBooks(255))), -1, "makes no sense"},
		{"OGG with a book that never fills", bytes.NewReader(vorbisWith([]byte(none), putBits(0, 8, 0x564342, 24, 1, 16, 9, 24, 1, 1, 0, 5, 0, 8))), -1, "makes no sense"},
		{"OGG with a book without a word", bytes.NewReader(vorbisWith([]byte(none), putBits(0, 8, 0x564342, 24, 1, 16, 2, 24, 0, 1, 1, 1, 0, 2, 0, 4, 0, 400))), -1, "makes no sense"},
		{"OGG with a book of no dimensions", bytes.NewReader(vorbisWith([]byte(none), putBits(0, 8, 0x564342, 24, 0, 16, 2, 24, 0, 1, 0, 1, 0, 10, 0, 400))), -1, "makes no sense"},
		{"OGG whose headers never end", flood(vorbisWith(nil, nil)[:28+30], oggPage(1, make([]byte, 255*255), full...)), -1, "makes no sense"},
		{"OGG whose sound is one packet", flood(ogg, oggPage(1, make([]byte, 255*255), full...)), 0, "damaged"},
		{"OGG with an empty page", bytes.NewReader(append(bytes.Clone(ogg), oggPage(0, nil)...)), 0, "damaged"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			f, err := NewReader("x", c.r)
			n := 0
			if err == nil {
				for b := (Block{}); f.Read(&b) == nil && n < 1e7; {
					n += len(b.Samples)
				}
			}
			runtime.ReadMemStats(&after)
			if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 128 { // garbage included
				t.Errorf("%d MB were asked for", took)
			}
			if c.samples < 0 {
				if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), c.says) {
					t.Errorf("error %v, want one with %q", err, c.says)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if warnings := strings.Join(f.Warnings(), "; "); !strings.Contains(warnings, c.says) || c.samples > 0 && n != c.samples || n == 0 {
				t.Errorf("%d samples, warnings %q; want %d and %q", n, warnings, c.samples, c.says)
			}
		})
	}
}

// bigBooks is n code books, each of 2^16 values and few bits.
func bigBooks(n int) []byte {
	pairs := []int{n - 1, 8}
	for range n {
		pairs = append(pairs, 0x564342, 24, 1<<15, 16, 2, 24, 1, 1, 0, 5, 2, 2, 1, 4, 0, 32, 0, 32, 0, 4, 0, 1, 0, 1)
	}
	return putBits(pairs...)
}
