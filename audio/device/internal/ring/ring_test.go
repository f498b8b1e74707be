package ring

import (
	"runtime"
	"sync"
	"testing"

	"steadfoot/audio"
)

func ramp(index int64, n int) []audio.Frame {
	f := make([]audio.Frame, n)
	for i := range f {
		f[i] = audio.Frame{float32(index + int64(i)), 1}
	}
	return f
}

func TestOutputIsPlayedAtItsIndex(t *testing.T) {
	o := NewOutput(16)
	dst := make([]audio.Frame, 4)
	if missing := o.Play(dst, 0); missing != 0 {
		t.Errorf("%d missing before anything was written", missing)
	}
	// Written for 2 to 9 when 0 to 3 are over: 2 and 3 are late.
	if n := o.Put(2, ramp(2, 8)); n != 8 || o.Late() != 2 || o.Waiting() != 6 {
		t.Fatalf("took %d, %d late, %d waiting", n, o.Late(), o.Waiting())
	}
	if missing := o.Play(dst, 4); missing != 0 || dst[0][0] != 4 || dst[3][0] != 7 {
		t.Errorf("played %v, %d missing", dst, missing)
	}
	if missing := o.Play(dst, 8); missing != 2 || dst[1][0] != 9 || dst[2] != (audio.Frame{}) {
		t.Errorf("played %v, %d missing", dst, missing)
	}
}

func TestOutputLeftOutIsSilence(t *testing.T) {
	o := NewOutput(16)
	o.Put(0, ramp(0, 2))
	o.Put(5, ramp(5, 2))
	dst := make([]audio.Frame, 7)
	if missing := o.Play(dst, 0); missing != 0 || dst[1][0] != 1 || dst[2] != (audio.Frame{}) || dst[5][0] != 5 {
		t.Errorf("played %v, %d missing", dst, missing)
	}
}

func TestOutputSkipsWhatTheClockSkipped(t *testing.T) {
	o := NewOutput(16)
	o.Put(0, ramp(0, 16))
	dst := make([]audio.Frame, 2)
	o.Play(dst, 0)
	if o.Play(dst, 10); dst[0][0] != 10 || o.Waiting() != 4 {
		t.Errorf("played %v, %d waiting", dst, o.Waiting())
	}
	if n := o.Put(16, ramp(16, 16)); n != 12 {
		t.Errorf("took %d of 16 with room for 12", n)
	}
}

// The producer and the callback share the ring without a lock: run with -race.
func TestOutputUnderRace(t *testing.T) {
	o := NewOutput(64)
	const total = 20000
	var wg sync.WaitGroup
	wg.Go(func() {
		for at := int64(0); at < total; {
			n := o.Put(at, ramp(at, 7))
			at += int64(n)
			if n < 7 {
				runtime.Gosched()
			}
		}
	})
	dst := make([]audio.Frame, 5)
	for at := int64(0); at < total; at += 5 {
		o.Play(dst, at)
		for i, f := range dst {
			if f[1] == 1 && f[0] != float32(at+int64(i)) {
				t.Fatalf("at %d: %v", at+int64(i), f)
			}
		}
		for o.Waiting() == 0 && at < total-100 {
			runtime.Gosched()
		}
	}
	wg.Wait()
}

func TestInputUnderRace(t *testing.T) {
	q := NewInput(8, 4)
	const total = 20000
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := int64(0); i < total; {
			s := q.Next()
			if s == nil {
				runtime.Gosched()
				continue
			}
			s.Index, s.Samples = i, append(s.Samples[:0], float32(i), float32(-i))
			q.Commit()
			i++
		}
	})
	for i := int64(0); i < total; {
		n := q.Len()
		for k := range n {
			s := q.At(k)
			if s.Index != i || len(s.Samples) != 2 || s.Samples[0] != float32(i) || s.Samples[1] != float32(-i) {
				t.Fatalf("slot %d: %+v", i, s)
			}
			i++
		}
		q.Release(n)
		runtime.Gosched()
	}
	wg.Wait()
	if q.Len() != 0 {
		t.Errorf("%d slots left over", q.Len())
	}
}

func TestInputFullGivesNoSlot(t *testing.T) {
	q := NewInput(2, 1)
	q.Next()
	q.Commit()
	q.Next()
	q.Commit()
	if q.Next() != nil {
		t.Error("a full queue gave a slot")
	}
	q.Release(1)
	if q.Next() == nil {
		t.Error("a queue with room gave none")
	}
}
