package audio

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"

	"github.com/faiface/beep"
	"github.com/faiface/beep/mp3"
)

// mp3Header is the header of an MPEG audio frame.
type mp3Header uint32

func (h mp3Header) mono() bool { return h>>6&3 == 3 }

// readable tells whether h starts MPEG-1 layer 3 at a stated bit rate, which is
// what beep v1.1.0 reads rightly. Measured against ffmpeg, its decoder makes
// noise of MPEG-2 mono, errs by up to 0.17 of full scale on MPEG-2 joint
// stereo, and plays MPEG-2.5 at a wrong rate.
func (h mp3Header) readable() bool {
	sync, version, layer := h>>21, h>>19&3, h>>17&3
	bitrate, rate := h>>12&15, h>>10&3
	return sync == 0x7FF && version == 3 && layer == 1 && bitrate != 0 && bitrate != 15 && rate != 3
}

// frameLength is the number of samples in a frame of MPEG-1 layer 3.
const frameLength = 1152

// tagOffset is where in a frame an encoder puts its tag: after the header and
// the side information.
func (h mp3Header) tagOffset() int {
	if h.mono() {
		return 4 + 17
	}
	return 4 + 32
}

// openMP3 reads MP3 by beep, whose samples are right to 16 bits.
func openMP3(r *bufio.Reader) (stream, error) {
	p, _ := r.Peek(4)
	h := mp3Header(binary.BigEndian.Uint32(p))
	skip, length := mp3Trim(r, h)
	// Without Seek the decoder does not go through the whole file first.
	b, format, err := mp3.Decode(io.NopCloser(struct{ io.Reader }{r}))
	if err != nil {
		return stream{}, errors.New("wrong MP3 header")
	}
	s := stream{kind: kindMP3, rate: int(format.SampleRate), channels: 2, length: length}
	if h.mono() {
		s.channels = 1
	}
	s.decoder = &mp3Decoder{s: b, skip: skip, left: length, endless: length == 0}
	return s, nil
}

// decoderDelay is what every MP3 decoder adds before the first sample.
const decoderDelay = 529

// mp3Trim reads the tag that most encoders put into a silent first frame. It
// tells how many samples to leave out at the start, the silent frame and the
// delay of encoder and decoder: 51 ms at 44.1 kHz, more than a step may be off.
// It also tells the length of the sound, 0 when it is not known. The layout of
// the tag is by common practice (the "Xing" or "Info" header with the encoder's
// extension); ffmpeg trims the same.
func mp3Trim(r *bufio.Reader, h mp3Header) (skip, length int64) {
	p, _ := r.Peek(h.tagOffset() + 8 + 4 + 4 + 100 + 4 + 24)
	p = p[min(len(p), h.tagOffset()):]
	if len(p) < 8 || string(p[:4]) != "Xing" && string(p[:4]) != "Info" {
		return 0, 0
	}
	flags := binary.BigEndian.Uint32(p[4:])
	p = p[8:]
	var frames int64
	for i, size := range []int{4, 4, 100, 4} { // frames, bytes, seek table, quality
		if flags>>i&1 == 0 {
			continue
		}
		if len(p) < size {
			return frameLength, 0
		}
		if i == 0 {
			frames = int64(binary.BigEndian.Uint32(p))
		}
		p = p[size:]
	}
	if len(p) < 24 || p[0] == 0 {
		return frameLength, frames * frameLength
	}
	delay := int64(p[21])<<4 | int64(p[22])>>4
	padding := int64(p[22]&15)<<8 | int64(p[23])
	length = max(0, frames*frameLength-delay-padding)
	return frameLength + delay + decoderDelay, length
}

// mp3Decoder mixes beep's decoder to mono and leaves out what is no sound.
type mp3Decoder struct {
	s       beep.Streamer
	skip    int64
	left    int64
	endless bool // left is not known
	buf     [blockSize][2]float64
}

// decode implements decoder.
func (d *mp3Decoder) decode(dst []float32) (int, error) {
	want := min(len(dst), len(d.buf))
	if !d.endless {
		want = int(min(int64(want), d.skip+d.left))
	}
	if want == 0 {
		return 0, io.EOF
	}
	n, ok := d.s.Stream(d.buf[:want])
	drop := int(min(int64(n), d.skip))
	d.skip -= int64(drop)
	for i, s := range d.buf[drop:n] {
		dst[i] = float32((s[0] + s[1]) / 2)
	}
	n -= drop
	d.left -= int64(n)
	switch err := d.s.Err(); {
	case err != nil:
		return n, err
	case ok:
		return n, nil
	case d.endless || d.left <= 2*decoderDelay: // the last frame may hold its delay back
		return n, io.EOF
	}
	return n, io.ErrUnexpectedEOF
}
