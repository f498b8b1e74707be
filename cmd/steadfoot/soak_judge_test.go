package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach/event"
)

// judgeLog: every step, the beat, a rhythm each half second, and the end are in the
// log, in the order of time.
func judgeLog(t *testing.T, events []event.Event, length float64) {
	t.Helper()
	n := kindsOf(events)
	var first, last float64
	for _, e := range events {
		if s, ok := e.(event.Step); ok {
			if first == 0 {
				first = s.T
			}
			if s.T <= last {
				t.Errorf("a step at %.3f s after one at %.3f", s.T, last)
			}
			last = s.T
		}
	}
	want := (last-first)*pathCadence/60 + 1
	t.Logf("log: %v; steps %d of %.0f, from %.1f to %.1f s", n, n["step"], want, first, last)
	if math.Abs(float64(n["step"])-want) > soakSteps*want+2 || first > 10 || last < length-3 {
		t.Errorf("%d steps from %.1f to %.1f s, want %.0f over all of %.0f s", n["step"], first, last, want, length)
	}
	if got := n["rhythm"]; math.Abs(float64(got)-2*length) > 4 {
		t.Errorf("%d rhythms in %.0f s", got, length)
	}
	if m, ok := lastMark(events); !ok || m.Name != event.MarkEnd || math.Abs(m.T-length) > 0.1 {
		t.Errorf("the log ends with %+v", m)
	}
}

// judgeSound: what the device did is told and counted; what this program is to
// blame for, sound that came late or not at all, must not be.
func judgeSound(t *testing.T, events []event.Event, said string) {
	t.Helper()
	faults := 0
	for _, e := range events {
		if f, ok := e.(event.Fault); ok {
			if faults++; faults <= 10 {
				t.Logf("fault at %.1f s: %s", f.T, f.What)
			}
			if strings.Contains(f.What, "started it again") {
				t.Errorf("the sound process was replaced at %.1f s", f.T)
			}
		}
	}
	t.Logf("%d faults", faults)
	if i := strings.Index(said, "sound: input dropped"); i >= 0 && faults == 0 && !strings.Contains(said[i:], "(0.00 s late, 0.00 s missing)") {
		t.Error("sound came late or not at all, and not for a fault of the device")
	}
}

// beatTimes are the beats of the map but for those with a cue on top.
func beatTimes(events []event.Event) (at []float64) {
	var pieces []event.Beat
	var cues []float64
	end := 0.0
	for _, e := range events {
		switch e := e.(type) {
		case event.Beat:
			pieces = append(pieces, e)
		case event.Cue:
			cues = append(cues, e.T)
		}
		end = e.At()
	}
	for i, p := range pieces {
		until := end
		if i+1 < len(pieces) {
			until = pieces[i+1].Start
		}
		for k := 0; p.Period > 0 && p.Start+float64(k)*p.Period < until-1e-9; k++ {
			b := p.Start + float64(k)*p.Period
			if !slices.ContainsFunc(cues, func(c float64) bool { return b > c-0.3 && b < c+3 }) {
				at = append(at, b)
			}
		}
	}
	return at
}

// soakNear is how many beats on each side tell where the recording is against the
// session: where it began is not known, and the server may slip silence into either
// when it is late itself, without telling anybody.
const soakNear = 8

// judgeClicks compares what was recorded with the map. A beat is off by what it
// differs from its neighbours; so a slip of the server is seen once, and a
// click at the wrong place too, but the slip is not held against all that follow.
func judgeClicks(t *testing.T, events []event.Event, clicks []int64) {
	t.Helper()
	beats := beatTimes(events)
	if len(beats) < 20 || len(clicks) < 20 {
		t.Fatalf("%d beats on the map, %d clicks recorded", len(beats), len(clicks))
	}
	offset := aligned(beats, clicks)
	var off []float64 // of each beat that was found, s
	missed := 0
	for _, b := range beats {
		c, ok := nearest(clicks, b+offset)
		if !ok || math.Abs(c-b-offset) > 0.05 {
			missed++
			continue
		}
		off = append(off, c-b)
		offset += 0.2 * (c - b - offset) // the server slips, and clocks drift
	}
	bad, worst, slips := 0, 0.0, 0
	for i := range off {
		near := slices.Sorted(slices.Values(off[max(0, i-soakNear):min(len(off), i+soakNear+1)]))
		d := math.Abs(off[i] - near[len(near)/2])
		if d > soakBeat {
			bad++
			worst = max(worst, d)
		}
		if i > 0 && math.Abs(off[i]-off[i-1]) > soakBeat {
			slips++
		}
	}
	within := 1 - float64(bad+missed)/float64(len(beats))
	t.Logf("clicks: %d of %d beats found; %.3f %% within %.0f ms of the map, the worst %.2f ms off; the path slipped %d times, from %.3f to %.3f s in all",
		len(off), len(beats), 100*within, 1000*soakBeat, 1000*worst, slips, off[0], off[len(off)-1])
	if within < soakShare {
		t.Errorf("%.3f %% of the beats are within %v s of the map, want %v %%", 100*within, soakBeat, 100*soakShare)
	}
}

// aligned is the time of the recording at session time 0 for which the first beats
// meet most clicks.
func aligned(beats []float64, clicks []int64) (best float64) {
	most := 0
	first := beats[:min(40, len(beats))]
	for _, c := range clicks[:min(120, len(clicks))] {
		for _, b := range first[:5] {
			try, n := float64(c)/audio.Rate-b, 0
			for _, b := range first {
				if at, ok := nearest(clicks, b+try); ok && math.Abs(at-b-try) < 0.005 {
					n++
				}
			}
			if n > most {
				most, best = n, try
			}
		}
	}
	return best
}

// nearest is the click next to a time of the recording, s.
func nearest(clicks []int64, t float64) (float64, bool) {
	i, _ := slices.BinarySearch(clicks, int64(t*audio.Rate))
	best, ok := 0.0, false
	for _, k := range []int{i - 1, i} {
		if k < 0 || k >= len(clicks) {
			continue
		}
		if at := float64(clicks[k]) / audio.Rate; !ok || math.Abs(at-t) < math.Abs(best-t) {
			best, ok = at, true
		}
	}
	return best, ok
}

// judgeMeter: memory and goroutines stay what they were, and no callback comes near
// the time it has.
func judgeMeter(t *testing.T, dir string) {
	t.Helper()
	all := readings(dir)
	if len(all) < 10 {
		t.Fatalf("%d readings of what the walk uses", len(all))
	}
	all = all[len(all)/10:] // it settles first
	early, late := meanReading(all[:max(1, len(all)/5)]), meanReading(all[len(all)*4/5:])
	last := all[len(all)-1]
	t.Logf("memory %.1f to %.1f MB, heap %.1f to %.1f MB, goroutines %.1f to %.1f; %.0f pauses of the collector, the longest at most %.2f ms",
		early.Memory/1e6, late.Memory/1e6, early.Heap/1e6, late.Heap/1e6, early.Goroutines, late.Goroutines, last.Pauses, 1000*last.Longest)
	if late.Memory > soakGrowth*early.Memory || late.Goroutines > early.Goroutines+1 {
		t.Errorf("memory or goroutines grow: from %+v to %+v", early, late)
	}
	var took struct{ N, P50, P999, Max float64 }
	text, err := os.ReadFile(filepath.Join(dir, "callback.json"))
	if err == nil {
		err = json.Unmarshal(text, &took)
	}
	if err != nil {
		t.Fatal(err)
	}
	const buffer = 512. / audio.Rate
	t.Logf("%.0f callbacks: p50 %.1f µs, p99.9 %.1f µs, longest %.2f ms, of %.2f ms each has", took.N, 1e6*took.P50, 1e6*took.P999, 1e3*took.Max, 1e3*buffer)
	if took.P999 > buffer/2 {
		t.Errorf("a callback in a thousand takes %.2f ms", 1e3*took.P999)
	}
}

func meanReading(all []reading) (m reading) {
	for _, r := range all {
		m.Heap += r.Heap / float64(len(all))
		m.Memory += r.Memory / float64(len(all))
		m.Goroutines += r.Goroutines / float64(len(all))
	}
	return m
}
