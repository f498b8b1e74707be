package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"

	"steadfoot/audio/device"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
)

// meterEvery is how often a walk that is watched leaves its figures.
const meterEvery = time.Second

// reading is what a walk uses of the machine, and how its sound has fared: a line
// of walk.jsonl.
type reading struct {
	Heap       float64 `json:"heap"`       // bytes of live objects and garbage
	Memory     float64 `json:"memory"`     // bytes taken from the system and not given back
	Goroutines float64 `json:"goroutines"` //
	Pauses     float64 `json:"pauses"`     // of the garbage collector, so far
	Longest    float64 `json:"longest"`    // of them, s, as an upper bound

	Step    float64      `json:"step"`    // s on the machine's clock when the first step was shown; 0 before
	Clock   float64      `json:"clock"`   // s on the machine's clock
	Session float64      `json:"session"` // s of the session at that time; 0 is unknown
	Sound   device.Stats `json:"sound"`
}

// meter has a walk leave what it uses in the folder STEADFOOT_METER, for the soak,
// and where the clicks are in what it plays. Without that nothing happens. end
// stops it.
func meter(g *gear, w *live.Walk) (end func()) {
	dir := os.Getenv("STEADFOOT_METER")
	if dir == "" || g.duplex == nil {
		return func() {}
	}
	// What is missing there is missed by who asked for it.
	f, err := os.Create(filepath.Join(dir, "walk.jsonl"))
	if err != nil {
		return func() {}
	}
	clicks, err := os.Create(filepath.Join(dir, "clicks.jsonl"))
	if err != nil {
		return func() { _ = f.Close() }
	}
	found := &clickSink{Sink: w.Sink}
	w.Sink = found
	var step atomic.Int64 // when the first was shown
	show := w.Show
	w.Show = func(e event.Event) {
		show(e)
		if e.Kind() == "step" {
			step.CompareAndSwap(0, int64(g.clock()))
		}
	}
	quit, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		defer f.Close()
		defer clicks.Close()
		tick := time.NewTicker(meterEvery)
		defer tick.Stop()
		lines, places := json.NewEncoder(f), json.NewEncoder(clicks)
		for more := true; more; {
			select {
			case <-tick.C:
			case <-quit:
				more = false
			}
			r := read(g)
			r.Step = time.Duration(step.Load()).Seconds()
			if lines.Encode(r) != nil || places.Encode(found.take()) != nil {
				return
			}
		}
	}()
	return sync.OnceFunc(func() { close(quit); <-done })
}

func read(g *gear) (r reading) {
	s := []metrics.Sample{
		{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"},
		{Name: "/sched/goroutines:goroutines"}, {Name: "/sched/pauses/total/gc:seconds"},
	}
	metrics.Read(s)
	r.Heap = float64(s[0].Value.Uint64())
	r.Memory = float64(s[1].Value.Uint64() - s[2].Value.Uint64())
	r.Goroutines = float64(s[3].Value.Uint64())
	h := s[4].Value.Float64Histogram()
	for i, n := range h.Counts {
		if n == 0 {
			continue
		}
		r.Pauses += float64(n)
		if end := h.Buckets[i+1]; !math.IsInf(end, 1) {
			r.Longest = end
		}
	}
	now := g.clock()
	r.Clock = now.Seconds()
	r.Session, _ = g.duplex.SessionAt(now)
	r.Sound = g.duplex.Stats()
	return r
}
