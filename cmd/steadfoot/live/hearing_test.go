package live

import (
	"context"
	"slices"
	"strings"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// TestObstacleTeller: each obstacle is told once, with what to do, and again only
// when it was gone for a while; one does not stand for another.
func TestObstacleTeller(t *testing.T) {
	type at struct {
		from, to float64 // s
		what     detect.Obstacle
	}
	for _, c := range []struct {
		name string
		is   []at
		want []event.Fault
	}{
		{"none", []at{{0, 100, detect.NoObstacle}}, nil},
		{"one that stays", []at{{10, 100, detect.Windy}}, []event.Fault{{T: 10, Code: event.FaultWind}}},
		{"one that flickers", []at{{10, 11, detect.Windy}, {20, 21, detect.Windy}, {40, 41, detect.Windy}, {60, 61, detect.Windy}}, []event.Fault{{T: 10, Code: event.FaultWind}}},
		{"one that comes back", []at{{10, 11, detect.Muted}, {31.5, 40, detect.Muted}}, []event.Fault{{T: 10, Code: event.FaultMuted}, {T: 31.5, Code: event.FaultMuted}}},
		{"one after the other", []at{{10, 15, detect.TooQuiet}, {15, 20, detect.Clipped}, {20, 30, detect.TooQuiet}},
			[]event.Fault{{T: 10, Code: event.FaultQuiet}, {T: 15, Code: event.FaultClipped}}},
		{"from the start", []at{{0, 1, detect.Muted}}, []event.Fault{{T: 0, Code: event.FaultMuted}}},
	} {
		var o obstacleTeller
		var got []event.Fault
		for now := 0.0; now < 100; now += 0.5 {
			k := detect.NoObstacle
			for _, a := range c.is {
				if now >= a.from && now < a.to {
					k = a.what
				}
			}
			f, ok := o.tell(now, k)
			if !ok {
				continue
			}
			if what, todo, _ := strings.Cut(f.What, "; "); what == "" || todo == "" {
				t.Errorf("%s: %q does not say what to do", c.name, f.What)
			}
			f.What = ""
			got = append(got, f)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// muteAt silences a walk of 40 s from s on, 12 s long, as a switch on a headset does.
func muteAt(s float64) []float32 {
	w := made.Spec{
		Seed: 5, Duration: 40, Level: -30, Surface: footsteps.Surface("gravel"),
		Gait:   made.Gait{Cadence: made.Steady(188), JitterCV: 1.5, Start: 1},
		Noises: []made.Noise{{Kind: made.Pink, SNR: 10}},
	}.Walk()
	clear(w.Samples[int(s*w.Rate):int((s+12)*w.Rate)])
	return w.Samples
}

// TestMuted: a microphone that is muted, from the start or at any moment of a
// walk, is told within 2 s and said within 3: once, instead of 'cannot hear', and
// followed by 'heard again'.
func TestMuted(t *testing.T) {
	t.Parallel()
	for _, s := range []float64{0, 15, 15.1, 15.2, 15.3, 15.4} {
		w, log := newWalk(t, &tape{samples: muteAt(s), size: 512}, &spool{})
		var why []string // what is given as the reason meanwhile
		w.Show = func(e event.Event) {
			if e.At() > s+3 && e.At() < s+12 && !slices.Contains(why, w.WhyDeaf()) {
				why = append(why, w.WhyDeaf())
			}
		}
		if err := w.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		var faults []event.Fault
		var said []event.Cue
		for _, e := range *log {
			switch e := e.(type) {
			case event.Fault:
				faults = append(faults, e)
			case event.Cue:
				if e.Name == event.CueMuted || e.Name == event.CueLost || e.Name == event.CueBack {
					said = append(said, e)
				}
			}
		}
		if len(why) != 1 || !strings.Contains(why[0], "muted") {
			t.Errorf("muted at %g s: between %g and %g s the reason is %q", s, s+3, s+12, why)
		}
		if why := w.WhyDeaf(); why != "" {
			t.Errorf("muted at %g s: in the end the reason is %q", s, why)
		}
		if len(faults) != 1 || faults[0].Code != event.FaultMuted || faults[0].T < s || faults[0].T > s+2 {
			t.Errorf("muted at %g s: faults %v", s, faults)
		}
		if len(said) != 2 || said[0].Name != event.CueMuted || said[1].Name != event.CueBack || said[0].T > max(s, 0.25)+3 {
			t.Errorf("muted at %g s: said %v", s, said)
		}
		if diffs := coach.Replay(settings(t), slices.Values(*log)); len(diffs) > 0 {
			t.Errorf("muted at %g s: a replay differs: %v", s, diffs)
		}
	}
}

// TestMutedInAPause: in a pause nobody need be heard, and after it the walker must.
func TestMutedInAPause(t *testing.T) {
	w, log := newWalk(t, &tape{samples: muteAt(3)[:48000*12], size: 512}, &spool{})
	marks := make(chan event.Mark, 1)
	w.Marks = marks
	w.Show = func(e event.Event) {
		if r, ok := e.(event.Rhythm); ok && r.T == 2 {
			marks <- event.Mark{Name: event.MarkPause}
		} else if ok && r.T == 8 {
			marks <- event.Mark{Name: event.MarkResume}
		}
	}
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	var faults []event.Fault
	for _, e := range *log {
		if f, ok := e.(event.Fault); ok {
			faults = append(faults, f)
		}
	}
	if len(faults) != 1 || faults[0].T < 8 || faults[0].T > 8.1 {
		t.Errorf("faults %v", faults)
	}
}
