package pipe

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"syscall"
	"testing"
	"time"
)

func both(t *testing.T) (r, w *os.File) {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = r.Close(); _ = w.Close() }) // closed twice by some tests
	return r, w
}

// More than a pipe holds comes through whole, whoever waits for whom.
func TestAllComesThrough(t *testing.T) {
	r, w := both(t)
	want := make([]byte, 1<<20)
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range want {
		want[i] = byte(rng.Uint32())
	}
	go func() {
		out := Writer(w)
		for b := want; len(b) > 0; {
			n := min(len(b), 1+rng.IntN(200_000))
			if got, err := out.Write(b[:n]); got != n || err != nil {
				t.Errorf("wrote %d of %d: %v", got, n, err)
			}
			b = b[n:]
		}
		_ = w.Close()
	}()
	got, err := io.ReadAll(Reader(r))
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%d bytes of %d came, or others: %v", len(got), len(want), err)
	}
}

// A reader that is gone is an error of the writer, as with package os.
func TestNobodyReads(t *testing.T) {
	r, w := both(t)
	_ = r.Close()
	if _, err := Writer(w).Write([]byte{1}); !errors.Is(err, syscall.EPIPE) {
		t.Errorf("%v, want EPIPE", err)
	}
}

// Who waits is let go when the file is closed.
func TestCloseEndsTheWait(t *testing.T) {
	r, _ := both(t)
	ended := make(chan error, 1)
	go func() {
		_, err := Reader(r).Read(make([]byte, 1))
		ended <- err
	}()
	time.Sleep(10 * time.Millisecond) // most often it waits by now; both ways are right
	_ = r.Close()
	if err := <-ended; !errors.Is(err, os.ErrClosed) {
		t.Errorf("%v, want that it is closed", err)
	}
}

func TestNothingIsAllocated(t *testing.T) {
	r, w := both(t)
	in, out := Reader(r), Writer(w)
	b := make([]byte, 100)
	if n := testing.AllocsPerRun(100, func() {
		if _, err := out.Write(b); err != nil {
			t.Fatal(err)
		}
		if _, err := in.Read(b); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
