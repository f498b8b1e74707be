package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
)

// keyBytes is a struct input_event of a system whose longs have so many bits.
func keyBytes(bits int, kind, code uint16, value int32) []byte {
	b := bytes.Repeat([]byte{0x5a}, 2*bits/8) // the time, which is not read
	b = binary.NativeEndian.AppendUint16(b, kind)
	b = binary.NativeEndian.AppendUint16(b, code)
	return binary.NativeEndian.AppendUint32(b, uint32(value))
}

func TestKeyPresses(t *testing.T) {
	for _, bits := range []int{32, 64} {
		var in []byte
		for _, e := range []struct {
			kind, code uint16
			value      int32
		}{
			{4, 4, 458792}, {1, 28, 1}, {0, 0, 0}, // the scan code, Enter pressed, the end of the report
			{1, 28, 2}, {1, 28, 2}, {1, 28, 0}, // held down, let go
			{2, 1, 1}, {0, 3, 0}, // a mouse moved, reports were lost
			{1, 0x2ff, 1}, {1, 163, 1}, {1, 163, -1},
		} {
			in = append(in, keyBytes(bits, e.kind, e.code, e.value)...)
		}
		in = append(in, keyBytes(bits, 1, 57, 1)[:2*bits/8+7]...) // one byte is missing
		k := newKeyPresses(&byFew{r: bytes.NewReader(in)}, bits)
		var got []uint16
		var err error
		for code := uint16(0); err == nil; got = append(got, code) {
			code, err = k.next()
		}
		if want := []uint16{28, 0x2ff, 163, 0}; !slices.Equal(got, want) || err != io.ErrUnexpectedEOF {
			t.Errorf("%d bits: keys %v (%v), want %v and a struct cut off", bits, got, err, want)
		}
	}
}

// byFew gives one byte, then two, then three, and again.
type byFew struct {
	r io.Reader
	n int
}

func (b *byFew) Read(p []byte) (int, error) {
	b.n = b.n%3 + 1
	return b.r.Read(p[:min(len(p), b.n)])
}

func FuzzKeyPresses(f *testing.F) {
	f.Add(keyBytes(64, 1, 164, 1), true)
	f.Add(append(keyBytes(32, 1, 28, 1), keyBytes(32, 1, 28, 0)...), false)
	f.Add([]byte("lap\n"), true)
	f.Fuzz(func(t *testing.T, data []byte, wide bool) {
		bits := 32
		if wide {
			bits = 64
		}
		size := 2*bits/8 + 8
		k := newKeyPresses(bytes.NewReader(data), bits)
		n := 0
		for {
			if _, err := k.next(); err != nil {
				break
			}
			n++
		}
		want := 0 // the same, plainly
		for ; len(data) >= size; data = data[size:] {
			e := data[size-8 : size]
			if binary.NativeEndian.Uint16(e) == 1 && binary.NativeEndian.Uint32(e[4:]) == 1 {
				want++
			}
		}
		if n != want {
			t.Errorf("%d keys, want %d", n, want)
		}
	})
}

// TestKeyWishes: what each key does to a walk.
func TestKeyWishes(t *testing.T) {
	marks := make(chan event.Mark, 16)
	h, _ := testHands(t.Context(), marks)
	var louder, asked int
	h.volume = func(steps int) bool { louder += steps; return true }
	h.ask = func(func(*live.Walk)) bool { asked++; return true }
	for code := range uint16(0x300) {
		if w := keyMeans(code); w != noWish && !h.wish(w) {
			t.Errorf("key %d was not taken", code)
		}
		if buttonMeans(code) != wishLap {
			t.Errorf("key %d of a button is no lap", code)
		}
	}
	close(marks)
	var got []string
	for m := range marks {
		got = append(got, m.Name)
	}
	// Enter, space, Enter; Pause; next; stop; play; pause; play
	want := []string{"lap", "lap", "lap", "pause", "lap", "pause", "resume", "pause", "resume"}
	if !slices.Equal(got, want) || louder != 0 || asked != 2 {
		t.Errorf("marks %q, volume %+d, %d pauses or resumes; want %q, 0 and 2", got, louder, asked, want)
	}
	if h.wish(wishSofter); louder != -1 {
		t.Errorf("softer moves the volume by %+d", louder)
	}
}

// TestButton: two keys at once are one press.
func TestButton(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		marks := make(chan event.Mark, 16)
		h, _ := testHands(t.Context(), marks)
		r, w := io.Pipe()
		ended := make(chan error)
		go func() { ended <- h.serveKeys(newKeyPresses(r, 64), buttonMeans) }()
		for range 3 {
			for _, code := range []uint16{115, 28} {
				w.Write(keyBytes(64, 1, code, 1))
				w.Write(keyBytes(64, 1, code, 0))
			}
			time.Sleep(time.Second)
		}
		w.Close()
		if err := <-ended; err != io.EOF || len(marks) != 3 {
			t.Errorf("%d laps of three presses (%v)", len(marks), err)
		}
	})
}

// TestKeysGoAndComeBack: a device that is unplugged is told once, looked for, and
// used again.
func TestKeysGoAndComeBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		marks := make(chan event.Mark, 16)
		h, told := testHands(t.Context(), marks)
		var faults []string
		refused := 0
		h.fault = func(what string) bool {
			if refused++; refused < 3 {
				return false // the walk is busy
			}
			faults = append(faults, what)
			return true
		}
		var plug plugged
		d := &keyDevice{open: plug.open}
		plug.set(true)
		if err := d.reopen(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan bool)
		go func() { h.listenKeys(d, "remote", keyMeans); close(ended) }()
		plug.press()
		for range 2 {
			plug.set(false)
			time.Sleep(10*time.Second + time.Millisecond)
			if n := plug.set(true); n != 10 {
				t.Errorf("tried %d times in 10 s, want once a second", n)
			}
			time.Sleep(time.Second)
			plug.press()
			synctest.Wait()
		}
		if len(marks) != 3 {
			t.Errorf("%d laps, want 3", len(marks))
		}
		if len(faults) != 2 || !strings.HasPrefix(faults[0], "the keys of remote are gone: no such device;") {
			t.Errorf("faults %q, want one each time it is gone", faults)
		}
		if want := []string{"remote is back", "remote is back"}; !slices.Equal(*told, want) {
			t.Errorf("told %q, want %q", *told, want)
		}
		d.Close()
		<-ended
	})
}

// TestKeysFlood: a key that does not stop is told once and held up.
func TestKeysFlood(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		marks := make(chan event.Mark, 1000)
		ctx, end := context.WithTimeout(t.Context(), 10*time.Second)
		defer end()
		h, told := testHands(ctx, marks)
		stop := keyBytes(64, 1, 166, 1)
		err := h.serveKeys(newKeyPresses(readerFunc(func(p []byte) (int, error) {
			return copy(p, bytes.Repeat(stop, max(1, len(p)/len(stop)))), nil
		}), 64), keyMeans)
		if n := len(marks); n < handBurst || n > handBurst+10*handRate+1 {
			t.Errorf("%d marks in 10 s, want %d to %d", n, handBurst, handBurst+10*handRate)
		}
		if want := []string{errKeysFlood.Error()}; !errors.Is(err, context.DeadlineExceeded) || !slices.Equal(*told, want) {
			t.Errorf("%v, told %q, want %q", err, *told, want)
		}
	})
}

// plugged is a device that can be unplugged.
type plugged struct {
	mu    sync.Mutex
	there bool
	tries int // since the last change
	w     *io.PipeWriter
}

func (p *plugged) open() (io.ReadCloser, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.tries++
	if !p.there {
		return nil, errors.New("is not there")
	}
	var r *io.PipeReader
	r, p.w = io.Pipe()
	return r, nil
}

// set plugs it in or out, and tells how often it was tried since the last change.
func (p *plugged) set(there bool) int {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := p.tries
	p.there, p.tries = there, 0
	if !there {
		p.w.CloseWithError(syscall.ENODEV)
	}
	return n
}

func (p *plugged) press() {
	p.mu.Lock()
	w := p.w
	p.mu.Unlock()
	w.Write(keyBytes(64, 1, 28, 1))
}
