package live

import (
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/audio/sensor/rsc"
	"steadfoot/detect"
)

// newRSCEar hears a stream of packets.
func newRSCEar(t *testing.T, text string, u rsc.Unit) *RSCEar {
	t.Helper()
	r, err := rsc.NewReader("pod", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return NewRSCEar(r, u)
}

// hearAll hears to the end: the events, and what was told as a fault.
func hearAll(t *testing.T, e *RSCEar) (all []detect.Rhythm, faults []string) {
	t.Helper()
	last := 0.0
	for {
		events, err := e.Next(nil)
		if err != nil && err != io.EOF {
			t.Fatal(err)
		}
		for _, ev := range append(events, e.Flush(nil)...) {
			if ev.Kind != detect.KindRhythm || ev.Rhythm.T > e.Now() {
				t.Fatalf("event %+v at %g s", ev, e.Now())
			}
			all = append(all, ev.Rhythm)
		}
		if e.Now() < last {
			t.Fatalf("time goes back from %g to %g s", last, e.Now())
		}
		last = e.Now()
		if err != nil {
			return all, faults
		}
		if f := e.Fault(); f != "" {
			faults = append(faults, f)
		}
	}
}

// TestRSCRhythm: packets at irregular times, on a sensor's clock that does not
// start at 0, give a rhythm every half second. Each tick has the packet that was
// there by then; a stop is one, and after 2.5 s without a packet nothing is
// known.
func TestRSCRhythm(t *testing.T) {
	const stream = `t,rsc
100.3,00 00 03 b4
101.3,00 00 03 ba
101.4,00 00 03 bb
102.2,00 00 00 00
106.2,00 00 03 c0
`
	steps := []float64{180, 180, 186, 187, 0, 0, 0, 0, 0, -1, -1, -1} // -1: cannot hear
	for _, u := range []rsc.Unit{rsc.Steps, rsc.Strides} {
		factor := 1.0
		if u == rsc.Strides {
			factor = 2
		}
		var want []detect.Rhythm
		for i, c := range steps {
			r := detect.Rhythm{T: float64(i) / 2, State: detect.Walking, Cadence: factor * c, CadenceSD: u.CadenceSD(), Heard: 1}
			switch c {
			case 0:
				r = detect.Rhythm{T: r.T}
			case -1:
				r = detect.Rhythm{T: r.T, State: detect.CannotHear}
			}
			want = append(want, r)
		}
		e := newRSCEar(t, stream, u)
		got, _ := hearAll(t, e)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got\n%v, want\n%v", u, got, want)
		}
		if d := e.Now() - 5.9; math.Abs(d) > 1e-9 {
			t.Errorf("heard to %g s, want 5.9", e.Now())
		}
	}
}

// TestRSCUnitDoubted: 0x0400 is 4 m/s. At 200/min that is 1.2 m a step and 0.6 m
// taken for strides (and 400 steps/min); at 100/min 2.4 m and 1.2 m.
func TestRSCUnitDoubted(t *testing.T) {
	pod := func(cadence ...int) string {
		s := "rsc\n"
		for _, c := range cadence {
			s += fmt.Sprintf("00 00 04 %02x\n", c)
		}
		return s
	}
	for _, c := range []struct {
		name, text string
		unit       rsc.Unit
		live       bool   // told while it goes on
		want       string // its end; "" for no doubt
	}{
		{"steps", pod(200, 200, 200, 200), rsc.Steps, false, ""},
		{"steps taken for strides", pod(200, 200, 200, 200, 200), rsc.Strides, true, "4.00 m/s at 400 steps/min would be steps of 0.60 m; if they are not, try --rsc-unit steps"},
		{"strides", pod(100, 100, 100), rsc.Strides, false, ""},
		{"strides taken for steps", pod(100, 100, 100), rsc.Steps, true, "4.00 m/s at 100 steps/min would be steps of 2.40 m; if they are not, try --rsc-unit strides"},
		{"one packet only", pod(100), rsc.Steps, false, "try --rsc-unit strides"},
		{"setting off", pod(20, 60, 190, 200, 200), rsc.Steps, false, ""},
		{"standing", pod(0, 0, 0, 0), rsc.Steps, false, ""},
		{"no speed", "rsc\n000000c8\n000000c8\n000000c8\n", rsc.Steps, false, ""},
	} {
		e := newRSCEar(t, c.text, c.unit)
		_, faults := hearAll(t, e)
		told := append(faults, e.Warnings()...)
		switch {
		case c.want == "" && len(told) > 0, c.want != "" && len(told) != 1, c.live != (len(faults) > 0):
			t.Errorf("%s: faults %q, in all %q", c.name, faults, told)
		case c.want != "" && (!strings.HasSuffix(told[0], c.want) || !strings.HasPrefix(told[0], "pod: ")):
			t.Errorf("%s: %q, want %q", c.name, told[0], c.want)
		}
	}
}
