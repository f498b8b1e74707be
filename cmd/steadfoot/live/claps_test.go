package live

import (
	"context"
	"math"
	"reflect"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
)

// clappedAt are the first claps of pairs in the walk below, s.
var clappedAt = []float64{9.123, 21.5, 33.7}

// TestClaps: two claps are a lap mark at the time of the first one, and a lap that
// ends there; what blocks the sound comes in makes no difference, and the replay
// gives the same. Without the wish for them there is no mark.
func TestClaps(t *testing.T) {
	var times []float64
	for _, at := range clappedAt {
		times = append(times, at, at+0.4)
	}
	samples := made.Hands{Seed: 1, Hz: 1200, Q: 0.8, Fade: 0.006, Hits: 1, Peak: 0.9}.Into(walked, times).Samples
	var events ledger
	for _, size := range []int{256, 1000, 4096, 0} {
		deaf := size == 0
		w, log := newWalk(t, &tape{samples: samples, size: max(size, 256)}, &spool{})
		if !deaf {
			if err := w.Ear.(*SoundEar).HearClaps(); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		if d := coach.Replay(settings(t), slices.Values(*log)); len(d) > 0 {
			t.Errorf("the replay differs: %v", d)
		}
		if deaf {
			if n := len(marksIn(*log)); n != 2 {
				t.Errorf("%d marks without --hands clap, want start and end", n)
			}
			continue
		}
		if events == nil {
			events = *log
		}
		if !reflect.DeepEqual(events, *log) {
			t.Errorf("blocks of %d give other events", size)
		}
	}
	var laps []event.Lap
	for _, e := range events {
		if l, ok := e.(event.Lap); ok {
			laps = append(laps, l)
		}
	}
	marks := marksIn(events)
	marks = marks[1 : len(marks)-1]
	if len(marks) != len(clappedAt) || len(laps) != len(clappedAt) {
		t.Fatalf("marks %+v, laps %+v, want %d", marks, laps, len(clappedAt))
	}
	for i, m := range marks {
		if m.Name != event.MarkLap || m.Note != clapNote || math.Abs(m.T-clappedAt[i]) > 0.02 {
			t.Errorf("%+v, want a lap at %g s", m, clappedAt[i])
		}
		if math.Abs(laps[i].T-m.T) > 1e-9 {
			t.Errorf("a lap at %v s, and its mark at %v", laps[i].T, m.T)
		}
	}
}

func marksIn(events []event.Event) (marks []event.Mark) {
	for _, e := range events {
		if m, ok := e.(event.Mark); ok {
			marks = append(marks, m)
		}
	}
	return marks
}

// TestClapsAfterAGap: lost input moves no mark, and its fault is told once.
func TestClapsAfterAGap(t *testing.T) {
	times := []float64{5, 5.4, 11.2, 11.6}
	samples := made.Hands{Seed: 1, Hz: 1200, Q: 0.8, Fade: 0.006, Peak: 0.9}.Into(walked, times).Samples
	w, log := newWalk(t, &tape{samples: samples, size: 4096, hole: 5 * audio.Rate}, &spool{})
	if err := w.Ear.(*SoundEar).HearClaps(); err != nil {
		t.Fatal(err)
	}
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	marks, faults := marksIn(*log), 0
	for _, e := range *log {
		if _, ok := e.(event.Fault); ok {
			faults++
		}
	}
	if len(marks) != 3 || math.Abs(marks[1].T-12.2) > 0.02 || faults != 1 {
		t.Errorf("marks %+v and %d faults, want a lap at 12.2 s and one fault", marks, faults)
	}
}

// TestClapsNeedARate: where the sound is too poor it is said.
func TestClapsNeedARate(t *testing.T) {
	ear, err := NewSoundEar(slowTape{}, detect.Left)
	if err != nil {
		t.Fatal(err)
	}
	if err := ear.HearClaps(); err == nil {
		t.Error("claps are to be heard at 4000 Hz")
	}
}

// slowTape is a Source of few samples a second, and of none.
type slowTape struct{}

func (slowTape) Rate() int                 { return 4000 }
func (slowTape) Read(b *audio.Block) error { return errTorn }
func (slowTape) Close() error              { return nil }
