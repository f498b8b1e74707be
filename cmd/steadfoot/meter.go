package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime/metrics"
	"sync"
	"time"
)

// meterEvery is how often a walk that is watched leaves its figures.
const meterEvery = 5 * time.Second

// reading is what a walk uses of the machine: a line of walk.jsonl.
type reading struct {
	Heap       float64 `json:"heap"`       // bytes of live objects and garbage
	Memory     float64 `json:"memory"`     // bytes taken from the system and not given back
	Goroutines float64 `json:"goroutines"` //
	Pauses     float64 `json:"pauses"`     // of the garbage collector, so far
	Longest    float64 `json:"longest"`    // of them, s, as an upper bound
}

// meter has a walk leave what it uses in the folder STEADFOOT_METER, for the soak.
// Without it nothing happens. end stops that.
func meter() (end func()) {
	dir := os.Getenv("STEADFOOT_METER")
	if dir == "" {
		return func() {}
	}
	f, err := os.Create(filepath.Join(dir, "walk.jsonl"))
	if err != nil {
		return func() {} // what is missing there is missed by who asked for it
	}
	quit, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		defer f.Close()
		tick := time.NewTicker(meterEvery)
		defer tick.Stop()
		for lines := json.NewEncoder(f); ; {
			select {
			case <-tick.C:
			case <-quit:
				return
			}
			if lines.Encode(read()) != nil {
				return
			}
		}
	}()
	return sync.OnceFunc(func() { close(quit); <-done })
}

func read() (r reading) {
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
	return r
}
