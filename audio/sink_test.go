package audio

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"
)

// TestSinkGrows reads the file while it is being written, as after a kill.
func TestSinkGrows(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.wav")
	s, err := CreateWAV(path)
	if err != nil {
		t.Fatal(err)
	}
	x := noise(2 * (2*Rate + 100))
	frames := make([]Frame, len(x)/2)
	for i := range frames {
		frames[i] = Frame{x[2*i], x[2*i+1]}
	}
	for part := frames; len(part) > 0; part = part[min(len(part), 333):] {
		if err := s.Write(part[:min(len(part), 333)]); err != nil {
			t.Fatal(err)
		}
	}
	read := func() []float32 {
		f, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if f.Rate() != Rate || f.Channels() != 2 {
			t.Fatalf("rate %d, channels %d", f.Rate(), f.Channels())
		}
		got := readAll(t, f)
		if w := f.Warnings(); w != nil {
			t.Errorf("warnings: %q", w)
		}
		return got
	}
	want := mixed(x, 2)
	compare(t, read(), want[:2*Rate], 1./65536)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	compare(t, read(), want, 1./65536)
}

// TestSinkPast4GB has the header of a long file, without writing it.
func TestSinkPast4GB(t *testing.T) {
	f, err := os.Create(filepath.Join(t.TempDir(), "long.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	const tenHours = 10 * 3600 * Rate * 4 // bytes
	g, err := startWAV(f, Rate, 2)
	if err != nil {
		t.Fatal(err)
	}
	g.size = tenHours
	if err := g.writeHeader(); err != nil {
		t.Fatal(err)
	}
	b := make([]byte, growHeader)
	if _, err := f.ReadAt(b, 0); err != nil {
		t.Fatal(err)
	}
	if string(b[:4]) != "RF64" || string(b[12:16]) != "ds64" || binary.LittleEndian.Uint32(b[76:]) != 0xFFFFFFFF {
		t.Errorf("header % x", b)
	}
	w, err := NewReader("long.wav", bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Length(); got != tenHours/4 {
		t.Errorf("length %d, want %d", got, tenHours/4)
	}
}

// TestSinkFull keeps reporting a disk that is full.
func TestSinkFull(t *testing.T) {
	f, err := os.OpenFile("/dev/full", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no /dev/full on this system, so no disk to fill")
	}
	if _, err := startWAV(f, Rate, 2); err == nil {
		t.Error("no error from a disk that is full at once")
	}
	g := &growingWAV{f: f, rate: Rate, channels: 2, buf: make([]byte, 0, 4*Rate)}
	g.layout, _ = S16.layout()
	s := &WAVSink{g}
	err = s.Write(make([]Frame, 2*Rate))
	if err == nil || s.Close() == nil {
		t.Error("no error from a full disk")
	}
}

func TestSinkAllocates(t *testing.T) {
	s, err := CreateWAV(filepath.Join(t.TempDir(), "out.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	frames := make([]Frame, 480)
	if n := testing.AllocsPerRun(50, func() { s.Write(frames) }); n != 0 {
		t.Errorf("%g allocations a write", n)
	}
}
