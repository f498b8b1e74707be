package main

import (
	"math"
	"slices"
	"strings"

	"steadfoot/audio"
	"steadfoot/coach/event"
)

// Bars of the soak.
const (
	soakBeat    = 0.001             // s that a beat may be off the map
	soakCPU     = 5.0               // % of one core, walk and sound process: the aim
	soakBroken  = 10.0              // % of one core that tells broken from slow: a start is dear, and so is a busy machine
	soakMemory  = 1.1               // of what it was when it had settled
	soakSlack   = 4e6               // bytes that memory may grow besides
	soakSteps   = 0.01              // share of the steps that may be missed or made up
	soakBuffer  = 512. / audio.Rate // s that a callback has
	soakStarved = 0.04              // s of 0.2 that a thread had no processor: the machine is to blame for late sound
	soakNear    = 1.5               // s about a fault in which the path may be disturbed
	soakLearn   = 30.0              // s in which two streams learn each other's clocks
	soakLearned = 0.002             // s that a beat may be off meanwhile
	soakSpan    = 8                 // beats on each side that tell where the path is
)

// soakFigures is what a soak has come to so far.
type soakFigures struct {
	until float64 // s of the session

	// xruns, in seconds of the walk in which one or more were: of the walk itself,
	// told by the device, and while the machine gave it no processor.
	ours, device, starved int
	slips                 []float64 // when the server put silence in and told nobody, s
	slipped               float64   // s in all

	beats   int
	lost    int     // were not put out
	putOut  float64 // the farthest that one was put out from its place on the map, s
	heard   float64 // the farthest that one was heard from where it was put out, s
	learnt  float64 // the same while two streams learn their clocks, s
	unheard int     // were not heard
	spared  int     // beats near a fault

	away                  float64 // s of input that the device lost
	steps, missed, madeUp int
	firstStep, lastStep   float64

	memory, heap, goroutines, cpu, pauses, longest, clock float64
	spent                                                 callbacks
}

// figures tells what the soak has come to by these events.
func (s *soak) figures(events []event.Event) *soakFigures {
	s.watch.mu.Lock()
	readings, glances, put := slices.Clone(s.watch.readings), slices.Clone(s.watch.glances), slices.Clone(s.watch.clicks)
	s.watch.mu.Unlock()
	f := &soakFigures{until: lastRhythm(events)}
	faults := faultTimes(events)
	bad := f.xruns(readings, glances, faults)
	bad = append(bad, faults...)
	var fresh []float64
	if len(readings) > 0 && readings[len(readings)-1].Sound.Streams == 2 {
		fresh = streamTimes(events)
	}
	f.judgeHeard(f.judgePut(beatTimes(events, f.until-2), put), s.heard.clicks(), bad, fresh)
	f.judgeSteps(events, slices.Concat(bad, gapTimes(events)))
	f.use(readings, glances)
	return f
}

func lastRhythm(events []event.Event) (t float64) {
	for _, e := range events {
		if r, ok := e.(event.Rhythm); ok {
			t = r.T
		}
	}
	return t
}

// faultTimes are when the device was at fault; other faults have a code.
func faultTimes(events []event.Event) (at []float64) {
	for _, e := range events {
		if f, ok := e.(event.Fault); ok && f.Code == "" {
			at = append(at, f.T)
		}
	}
	return at
}

// streamTimes are when a stream began.
func streamTimes(events []event.Event) []float64 {
	at := []float64{0}
	for _, e := range events {
		if f, ok := e.(event.Fault); ok && strings.Contains(f.What, "started it again") {
			at = append(at, f.T)
		}
	}
	return at
}

func gapTimes(events []event.Event) (at []float64) {
	for _, e := range events {
		if g, ok := e.(event.Gap); ok {
			at = append(at, g.T, g.T+g.Length)
		}
	}
	return at
}

// nearAny tells whether any of the times is within that of t.
func nearAny(times []float64, t, within float64) bool {
	return slices.ContainsFunc(times, func(x float64) bool { return math.Abs(x-t) <= within })
}

// xruns counts seconds in which sound was missing or late, or a callback took
// longer than it has, by who is to blame, and returns when they were. The sound
// that a callback finds missing was not rendered in time: that is the walk's fault,
// unless the device has told of one, or the walk had no processor to run on. What
// else interrupts the sound, when it was there to be taken, is not the walk's doing.
func (f *soakFigures) xruns(readings []reading, glances []glance, faults []float64) (at []float64) {
	g := 0
	for i := 1; i < len(readings); i++ {
		for g+1 < len(glances) && glances[g].readings <= i {
			g++
		}
		a, b := readings[i-1], readings[i]
		late, long := b.Sound.Missing > a.Sound.Missing || b.Sound.Late > a.Sound.Late, false
		told := b.Sound.Overruns+b.Sound.Underruns+b.Sound.Lost+int64(b.Sound.Restarts) > a.Sound.Overruns+a.Sound.Underruns+a.Sound.Lost+int64(a.Sound.Restarts)
		starved := 0.0
		for k := max(1, g-2); k < min(len(glances), g+2); k++ {
			starved = max(starved, glances[k].starved)
			long = long || k == g && glances[k].spent.Took.Over > glances[k-1].spent.Took.Over
		}
		switch {
		case !late && !long && !told:
			continue
		case told || nearAny(faults, b.Session, 2):
			f.device++
		case late && starved >= soakStarved || !late && starved >= soakBuffer/2:
			f.starved++
		default:
			f.ours++
		}
		for t := a.Session; t < b.Session; t += 0.5 {
			at = append(at, t)
		}
	}
	return at
}

// beatTimes are the beats of the map up to then, but for those with a cue on top.
func beatTimes(events []event.Event, until float64) (at []float64) {
	var pieces []event.Beat
	var cues []float64
	for _, e := range events {
		switch e := e.(type) {
		case event.Beat:
			pieces = append(pieces, e)
		case event.Cue:
			cues = append(cues, e.T)
		}
	}
	for i, p := range pieces {
		end := until
		if i+1 < len(pieces) {
			end = min(end, pieces[i+1].Start)
		}
		for k := 0; p.Period > 0 && p.Start+float64(k)*p.Period < end-1e-9; k++ {
			b := p.Start + float64(k)*p.Period
			if !slices.ContainsFunc(cues, func(c float64) bool { return b > c-0.3 && b < c+3 }) {
				at = append(at, b)
			}
		}
	}
	return at
}

// judgePut compares the clicks in the sound that was handed to the device with the
// map, and returns the times of those that are on it. A click is found some samples
// after its beginning, all alike.
func (f *soakFigures) judgePut(beats []float64, put []int64) (at []float64) {
	f.beats = len(beats)
	var off []float64
	for _, b := range beats {
		c, ok := nearest(put, b)
		if !ok || math.Abs(c-b) > 0.05 {
			f.lost++
			continue
		}
		off, at = append(off, c-b), append(at, c)
	}
	usual := median(off)
	for _, o := range off {
		f.putOut = max(f.putOut, math.Abs(o-usual))
	}
	return at
}

// judgeHeard compares the clicks that were heard with those put out. How long the
// way is is not known, and when the server is late it puts silence in and tells
// nobody, after which the way is longer: so the neighbours of a beat tell how long
// it should have taken. Where that changes for good, or near the given times, the
// path is to blame and not the beat. After fresh times two streams learn their clocks.
func (f *soakFigures) judgeHeard(at []float64, heard []int64, bad, fresh []float64) {
	if len(at) < 4*soakSpan || len(heard) < 4*soakSpan {
		f.unheard = len(at)
		return
	}
	off := wayOf(at, heard)
	level := func(from, to int) float64 {
		var some []float64
		for _, o := range off[max(0, from):min(len(off), to)] {
			if !math.IsNaN(o) {
				some = append(some, o)
			}
		}
		return median(some)
	}
	last := off[0]
	for i := 1; i < len(off); i++ {
		if step := level(i, i+soakSpan) - level(i-soakSpan, i); math.Abs(step) > soakBeat && math.Abs(off[i]-last) > soakBeat/2 {
			f.slips = append(f.slips, at[i])
			f.slipped += off[i] - last
		}
		if !math.IsNaN(off[i]) {
			last = off[i]
		}
	}
	bad = slices.Concat(bad, f.slips)
	for i, o := range off {
		switch {
		case nearAny(bad, at[i], soakNear):
			f.spared++
		case math.IsNaN(o):
			f.unheard++
		case slices.ContainsFunc(fresh, func(t float64) bool { return at[i] >= t && at[i] < t+soakLearn }):
			f.learnt = max(f.learnt, math.Abs(o-level(i-soakSpan, i+soakSpan+1)))
		default:
			f.heard = max(f.heard, math.Abs(o-level(i-soakSpan, i+soakSpan+1)))
		}
	}
}

// wayOf is how much later each click was heard than put out, s, by a clock that
// began at another time; NaN where it was not heard. Where the way changes by half a
// beat or more, it cannot be told from a change to the other side.
func wayOf(at []float64, heard []int64) (off []float64) {
	way := aligned(at, heard)
	for _, t := range at {
		c, ok := nearest(heard, t+way)
		if !ok || math.Abs(c-t-way) > 30/pathTarget {
			off = append(off, math.NaN())
			continue
		}
		way = c - t
		off = append(off, way)
	}
	return off
}

// aligned is the time of the recording at session time 0 for which the first beats
// meet most clicks.
func aligned(beats []float64, clicks []int64) (best float64) {
	most := 0
	first := beats[:min(40, len(beats))]
	for _, c := range clicks[:min(120, len(clicks))] {
		for _, b := range first[:min(5, len(first))] {
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

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(x))
	return s[len(s)/2]
}

// judgeSteps counts the steps that are not in the log, and those that were never
// made, by the time between neighbours; near the given times the sound of the steps
// may not have come through.
func (f *soakFigures) judgeSteps(events []event.Event, bad []float64) {
	const period = 60 / pathCadence
	for _, e := range events {
		s, ok := e.(event.Step)
		if !ok {
			continue
		}
		if f.steps++; f.steps == 1 {
			f.firstStep = s.T
		} else if d := s.T - f.lastStep; !nearAny(bad, s.T, 3) && !nearAny(bad, f.lastStep, 3) {
			switch n := math.Round(d / period); {
			case n > 1:
				f.missed += int(n) - 1
			case n < 1:
				f.madeUp++
			}
		}
		f.lastStep = s.T
	}
}

// use tells what the walk uses of the machine.
func (f *soakFigures) use(readings []reading, glances []glance) {
	if len(readings) < 2 || len(glances) < 2 {
		return
	}
	r, g, old := readings[len(readings)-1], glances[len(glances)-1], glances[max(0, len(glances)-60)]
	if g.memory == 0 { // it has ended
		g = glances[len(glances)-2]
	}
	f.memory, f.heap, f.goroutines, f.pauses, f.longest = g.memory, r.Heap, r.Goroutines, r.Pauses, r.Longest
	f.cpu = 100 * (g.cpu - old.cpu) / max(1, g.at.Sub(old.at).Seconds())
	f.spent, f.away = g.spent, float64(r.Sound.Lost)/audio.Rate
	f.clock = clockRange(readings)
}

// clockRange is how far apart the session's clock and the machine's have been, s.
func clockRange(readings []reading) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range readings {
		if r.Session > 5 {
			low, high = min(low, r.Session-r.Clock), max(high, r.Session-r.Clock)
		}
	}
	return max(0, high-low)
}

// judge holds the walk, which has ended, against the bars.
func (s *soak) judge(cpu float64) {
	t := s.t
	events := stored(t, s.store())
	f := s.figures(events)
	t.Log(f.line())
	t.Logf("processor: %.2f %% of one core over the whole of the walk, %.2f %% once it had settled (aim %.0f %%)", cpu, s.settledCPU(), soakCPU)
	if cpu > soakBroken && f.device == 0 {
		t.Errorf("the walk took %.1f %% of a core, and no fault of the device kept it busy; want at most %.0f", cpu, soakBroken)
	}
	n := 0
	for _, e := range events {
		if e, ok := e.(event.Fault); ok {
			if n++; n <= 20 {
				t.Logf("fault at %.1f s: %s", e.T, e.What)
			}
		}
	}
	if f.ours > 0 {
		t.Errorf("in %d seconds sound was missing or late, or a callback too long, and neither device nor machine was to blame", f.ours)
	}
	if float64(f.beats) < s.length*pathTarget/60/2 || f.lost > 0 || f.putOut > soakBeat {
		t.Errorf("of %d beats %d were not put out, and the farthest was %.3f ms off the map; want all within %.0f ms", f.beats, f.lost, 1000*f.putOut, 1000*soakBeat)
	}
	switch {
	case f.spared > f.beats/4:
		// The recorder loses time as well then, and beats are taken for each other.
		t.Logf("of %d beats %d were near a fault of device or machine: what was heard is not judged; let the machine do less and run it again", f.beats, f.spared)
	case f.unheard > 0 || f.heard > soakBeat || f.learnt > soakLearned:
		t.Errorf("%d beats were not heard, the farthest %.3f ms off, with no fault near, and %.3f ms while clocks were learnt; want all within %.0f and %.0f ms",
			f.unheard, 1000*f.heard, 1000*f.learnt, 1000*soakBeat, 1000*soakLearned)
	}
	s.judgeLog(events, f)
	s.judgeUse()
}

// settled is when a walk has settled, s: after two minutes, or a quarter of a short
// one.
func (s *soak) settled() int { return int(min(120, s.length/4)) }

// settledCPU is what the walk took of a core from then on, %.
func (s *soak) settledCPU() float64 {
	var some []glance
	for i, g := range s.watch.glances {
		if i >= s.settled() && g.memory > 0 {
			some = append(some, g)
		}
	}
	if len(some) < 2 {
		return math.NaN()
	}
	a, b := some[0], some[len(some)-1]
	return 100 * (b.cpu - a.cpu) / b.at.Sub(a.at).Seconds()
}

// judgeLog: every step, a rhythm each half second, and the end are in the log, in
// the order of time, and the coach would say the same again.
func (s *soak) judgeLog(events []event.Event, f *soakFigures) {
	t := s.t
	want := (f.lastStep-f.firstStep)*pathCadence/60 + 1
	whole := f.away > 1 || f.firstStep < 10 && f.lastStep > s.length-3
	if float64(f.missed+f.madeUp) > soakSteps*want || !whole {
		t.Errorf("%d steps from %.1f to %.1f s, %d missed, %d made up; want %.0f over all of %.0f s", f.steps, f.firstStep, f.lastStep, f.missed, f.madeUp, want, s.length)
	}
	last, rhythms := math.Inf(-1), 0.0
	for _, e := range events {
		switch e := e.(type) {
		case event.Step:
			if e.T <= last {
				t.Errorf("a step at %.3f s after one at %.3f", e.T, last)
			}
			last = e.T
		case event.Rhythm:
			rhythms++
		}
	}
	m, ok := lastMark(events)
	if rhythms < 2*(s.length-f.away)-4 || rhythms > 2*m.T+4 {
		t.Errorf("%.0f rhythms in %.0f s, want one each half second but for the %.1f s that the device lost", rhythms, s.length, f.away)
	}
	if !ok || m.Name != event.MarkEnd || m.T < s.length-0.1 || m.T > s.length+1+f.away {
		t.Errorf("the log ends with %+v", m)
	}
	if out, errs, status := runIn(t, "review", "last", "--replay", "--store", s.store()); status != 0 {
		t.Errorf("the coach does not say the same again: %s%s", out, errs)
	} else {
		t.Log(strings.TrimSpace(out))
	}
}

// judgeUse: memory and goroutines stay what they were once the walk has settled.
func (s *soak) judgeUse() {
	t := s.t
	readings, glances := s.watch.readings, s.watch.glances
	settle := s.settled()
	if len(readings) < 2*settle || len(glances) < 2*settle {
		t.Fatalf("%d readings, %d glances in %.0f s", len(readings), len(glances), s.length)
	}
	var memory, goroutines []float64
	for _, g := range glances[settle:] {
		if g.memory > 0 {
			memory = append(memory, g.memory)
		}
	}
	for _, r := range readings[settle:min(len(readings), int(s.length))] {
		goroutines = append(goroutines, r.Goroutines)
	}
	part := max(5, len(memory)/10)
	early, late := median(memory[:part]), median(memory[len(memory)-part:])
	few, many := median(goroutines[:part]), median(goroutines[len(goroutines)-part:])
	t.Logf("memory %.1f MB after %d s, %.1f MB at the end: %+.2f MB an hour; goroutines %.0f, then %.0f", early/1e6, settle, late/1e6, slope(memory)*3600/1e6, few, many)
	if readings[len(readings)-1].Sound.Restarts > 0 {
		few += 2 // what sees the sound process that has gone to its end
	}
	if late > soakMemory*early+soakSlack || many > few {
		t.Errorf("memory or goroutines grow: from %.1f to %.1f MB, from %.0f to %.0f", early/1e6, late/1e6, few, many)
	}
	if glances[len(glances)-1].spent.Took.N == 0 {
		t.Error("no callbacks were measured")
	}
}

// slope is how much y grows from one to the next, by least squares.
func slope(y []float64) float64 {
	var sx, sy, sxx, sxy float64
	n := float64(len(y))
	for i, v := range y {
		x := float64(i)
		sx, sy, sxx, sxy = sx+x, sy+v, sxx+x*x, sxy+x*v
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}
