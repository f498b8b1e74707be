package audio

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

func record(t *testing.T, rate int, samples []float32) (*WAVRecorder, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "heard.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := NewWAVRecorder(f, rate)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Write(samples); err != nil {
		t.Fatal(err)
	}
	return r, path
}

// tenCues are ten points of a second of sound at that rate.
func tenCues(rate int) []WAVCue {
	var cues []WAVCue
	for i := range 10 {
		cues = append(cues, WAVCue{int64(i*rate/10 + i), fmt.Sprintf("step %d, left", i+1)})
	}
	cues[3].Label = "" // a point without a name
	return cues
}

// TestRecorder has lost samples as silence, at a rate of its own, and can be read
// before it is closed.
func TestRecorder(t *testing.T) {
	const rate = 22050
	x := noise(2*rate + 7)
	r, path := record(t, rate, x[:rate])
	if err := r.Silence(5); err != nil {
		t.Fatal(err)
	}
	r.Write(x[rate:])
	read := func() []float32 {
		f, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if f.Rate() != rate || f.Channels() != 1 {
			t.Fatalf("rate %d, channels %d", f.Rate(), f.Channels())
		}
		return readAll(t, f)
	}
	want := append(append(append([]float32(nil), x[:rate]...), 0, 0, 0, 0, 0), x[rate:]...)
	if r.Len() != int64(len(want)) {
		t.Errorf("length %d, want %d", r.Len(), len(want))
	}
	compare(t, read(), want[:2*rate], 1./65536) // whole seconds are on disk
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	compare(t, read(), want, 1./65536)
	if _, err := NewWAVRecorder(nil, 5); err == nil {
		t.Error("a rate of 5 Hz is taken")
	}
}

// TestCueChunk reads the chunks byte by byte: ten cues are 4 + 240 bytes.
func TestCueChunk(t *testing.T) {
	const rate = 16000
	r, path := record(t, rate, noise(rate))
	want := tenCues(rate)
	for what, bad := range map[string][]WAVCue{
		"backwards":          {{Sample: 5}, {Sample: 4}},
		"before the sound":   {{Sample: -1}},
		"behind the sound":   {{Sample: rate}},
		"more than 32 bits":  {{Sample: 1 << 32}},
		"far more than that": {{Sample: math.MaxInt64}},
	} {
		if r.Cues(bad) == nil {
			t.Errorf("cues %s are taken", what)
		}
	}
	if err := r.Cues(want); err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	if int(le.Uint32(b[4:])) != len(b)-8 {
		t.Errorf("the file says %d bytes, it has %d", le.Uint32(b[4:])+8, len(b))
	}
	sizes := map[string]int{}
	labels := map[uint32]string{}
	for rest := b[12:]; len(rest) >= 8; {
		id, size := string(rest[:4]), int(le.Uint32(rest[4:]))
		body := rest[8 : 8+size]
		sizes[id] = size
		switch id {
		case "cue ":
			for i, c := range want {
				p := body[4+24*i:]
				if le.Uint32(p) != uint32(i+1) || le.Uint32(p[4:]) != uint32(c.Sample) || string(p[8:12]) != "data" || le.Uint64(p[12:]) != 0 || le.Uint32(p[20:]) != uint32(c.Sample) {
					t.Errorf("point %d: % x", i, p[:24])
				}
			}
		case "LIST":
			for l := body[4:]; len(l) > 0; {
				n := int(le.Uint32(l[4:]))
				labels[le.Uint32(l[8:])] = strings.TrimSuffix(string(l[12:8+n]), "\x00")
				l = l[8+n+n&1:]
			}
		}
		rest = rest[8+size+size&1:]
	}
	if sizes["cue "] != 4+240 || sizes["data"] != 2*rate {
		t.Errorf("sizes %v", sizes)
	}
	for i, c := range want {
		if labels[uint32(i+1)] != c.Label {
			t.Errorf("label %d is %q, want %q", i+1, labels[uint32(i+1)], c.Label)
		}
	}
	f, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	compare(t, readAll(t, f), noise(rate), 1./65536)
	if w := f.Warnings(); w != nil {
		t.Errorf("warnings: %q", w)
	}
}

// TestCuesSeenByFFmpeg: ffmpeg shows cue points as chapters, from each to the
// next, and their labels. SoX 14.4.2 reads over them, and so does Python's wave.
func TestCuesSeenByFFmpeg(t *testing.T) {
	need(t, "ffprobe")
	const rate = 16000
	r, path := record(t, rate, noise(rate))
	want := tenCues(rate)
	if err := r.Cues(want); err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	var seen struct {
		Streams  []struct{ Duration string }
		Chapters []struct {
			Start    int64
			TimeBase string `json:"time_base"`
			Tags     struct{ Title string }
		}
	}
	out := do(t, "ffprobe", "-v", "error", "-of", "json", "-show_streams", "-show_chapters", path)
	if err := json.Unmarshal(out, &seen); err != nil {
		t.Fatal(err)
	}
	if d, _ := strconv.ParseFloat(seen.Streams[0].Duration, 64); d != 1 {
		t.Errorf("duration %s, want 1 s", seen.Streams[0].Duration)
	}
	if len(seen.Chapters) != len(want) {
		t.Fatalf("%d chapters, want %d", len(seen.Chapters), len(want))
	}
	for i, c := range seen.Chapters {
		if c.Start != want[i].Sample || c.TimeBase != "1/16000" || c.Tags.Title != want[i].Label {
			t.Errorf("chapter %d: %+v, want %+v", i, c, want[i])
		}
	}
}

// TestCuesPast4GB writes them behind a hole of 5 GB.
func TestCuesPast4GB(t *testing.T) {
	const size = 5 << 30
	r, path := record(t, Rate, nil)
	r.g.size = size
	want := []WAVCue{{0, "first"}, {size/2 - 1, "last"}}
	if err := r.Cues(want); err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	head := make([]byte, growHeader+8)
	if _, err := f.ReadAt(head, 0); err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	if string(head[:4]) != "RF64" || le.Uint64(head[20:]) != uint64(st.Size())-8 || le.Uint64(head[28:]) != size || le.Uint64(head[36:]) != size/2 {
		t.Errorf("header % x of a file of %d bytes", head, st.Size())
	}
	point := make([]byte, 12+2*cueSize)
	if _, err := f.ReadAt(point, growHeader+size); err != nil {
		t.Fatal(err)
	}
	if string(point[:4]) != "cue " || le.Uint32(point[12+2*cueSize-4:]) != size/2-1 {
		t.Errorf("cue chunk % x", point)
	}
}
