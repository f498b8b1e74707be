package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// callbacks is what callback.json tells, in seconds.
type callbacks struct {
	Took, Waited struct {
		N, P50, P999, Max float64
		Over              float64 `json:"over_10ms"`
	}
}

// glance is what is seen of a walk once a second.
type glance struct {
	at       time.Time
	readings int // lines of walk.jsonl by then
	spent    callbacks
	memory   float64 // bytes of the walk and its sound process that lie in memory
	cpu      float64 // s of processor both have used
	starved  float64 // s, of the last second: see starving
}

// onlooker looks at a walk from outside.
type onlooker struct {
	dir string
	pid int

	quit, done chan struct{}

	mu       sync.Mutex
	readings []reading
	glances  []glance
	clicks   []int64 // put out
}

func watchWalk(dir string, pid int) *onlooker {
	w := &onlooker{dir: dir, pid: pid, quit: make(chan struct{}), done: make(chan struct{})}
	go w.run()
	return w
}

func (w *onlooker) end() { close(w.quit); <-w.done }

const glanceParts = 5 // looks at starving in each glance

func (w *onlooker) run() {
	defer close(w.done)
	walk, clicks := follower{name: filepath.Join(w.dir, "walk.jsonl")}, follower{name: filepath.Join(w.dir, "clicks.jsonl")}
	var hungry starving
	tick := time.NewTicker(time.Second / glanceParts)
	defer tick.Stop()
	g, used, cpu := glance{}, map[int]float64{}, 0.0
	for n, more := 1, true; more; n++ {
		select {
		case <-tick.C:
		case <-w.quit:
			more = false
		}
		pids := append([]int{w.pid}, childrenOf(w.pid)...)
		g.starved = max(g.starved, hungry.look(pids))
		if more && n%glanceParts != 0 {
			continue
		}
		for _, pid := range pids {
			g.memory += residentOf(pid)
			now := processorOf(pid)
			cpu += max(0, now-used[pid])
			used[pid] = now
		}
		g.cpu = cpu
		if text, err := os.ReadFile(filepath.Join(w.dir, "callback.json")); err == nil {
			_ = json.Unmarshal(text, &g.spent)
		}
		w.mu.Lock()
		w.readings = appendLines(w.readings, walk.lines())
		w.clicks = slices.Concat(append([][]int64{w.clicks}, appendLines[[]int64](nil, clicks.lines())...)...)
		g.at, g.readings = time.Now(), len(w.readings)
		w.glances = append(w.glances, g)
		w.mu.Unlock()
		g = glance{spent: g.spent}
	}
}

// follower reads a file that grows.
type follower struct {
	name string
	file *os.File
	r    *bufio.Reader
	half []byte
}

// lines are those that have come since it was called before.
func (f *follower) lines() (all [][]byte) {
	if f.file == nil {
		var err error
		if f.file, err = os.Open(f.name); err != nil {
			return nil // not yet
		}
		f.r = bufio.NewReader(f.file)
	}
	for {
		part, err := f.r.ReadBytes('\n')
		f.half = append(f.half, part...)
		if err == io.EOF {
			return all
		}
		if err != nil {
			return all
		}
		all = append(all, f.half)
		f.half = nil
	}
}

func appendLines[T any](to []T, lines [][]byte) []T {
	for _, l := range lines {
		var v T
		if json.Unmarshal(l, &v) == nil {
			to = append(to, v)
		}
	}
	return to
}

// starving tells how long the threads of a process had something to do and no
// processor to do it on, by the kernel's own book: the second number of schedstat
// (Documentation/scheduler/sched-stats.rst: "time spent waiting on a runqueue", ns).
// To that comes what the machine below took from this one (steal in /proc/stat).
type starving struct {
	waited map[string]float64 // s, by thread
	stolen float64            // s
}

// look returns the most any of the threads waited since it was called before, s.
func (s *starving) look(pids []int) (most float64) {
	now := map[string]float64{}
	for _, pid := range pids {
		paths, _ := filepath.Glob("/proc/" + strconv.Itoa(pid) + "/task/*/schedstat")
		for _, p := range paths {
			text, err := os.ReadFile(p)
			f := strings.Fields(string(text))
			if err != nil || len(f) < 2 {
				continue // it has ended
			}
			ns, _ := strconv.ParseFloat(f[1], 64)
			now[p] = ns / 1e9
			if before, ok := s.waited[p]; ok {
				most = max(most, now[p]-before)
			}
		}
	}
	stolen := stolenTime()
	if s.waited != nil {
		most += stolen - s.stolen
	}
	s.waited, s.stolen = now, stolen
	return most
}

const ticksPerSecond = 100 // USER_HZ of Linux, man 5 proc

// stolenTime is what all processors together were not given so far, s.
func stolenTime() float64 {
	text, err := os.ReadFile("/proc/stat")
	f := strings.Fields(string(bytes.SplitN(text, []byte("\n"), 2)[0]))
	if err != nil || len(f) < 9 {
		return 0
	}
	n, _ := strconv.ParseFloat(f[8], 64)
	return n / ticksPerSecond
}

func childrenOf(pid int) (all []int) {
	paths, _ := filepath.Glob("/proc/" + strconv.Itoa(pid) + "/task/*/children")
	for _, p := range paths {
		text, _ := os.ReadFile(p) // nothing when the thread has ended
		for _, f := range strings.Fields(string(text)) {
			if n, err := strconv.Atoi(f); err == nil {
				all = append(all, n)
			}
		}
	}
	return all
}

// residentOf is the memory of a process, without what it only has on paper, bytes.
func residentOf(pid int) float64 {
	text, _ := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/status")
	for line := range strings.Lines(string(text)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "VmRSS:" {
			kb, _ := strconv.ParseFloat(f[1], 64)
			return 1024 * kb
		}
	}
	return 0
}

// processorOf is the processor time of a process so far, s.
func processorOf(pid int) float64 {
	text, _ := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	_, after, _ := strings.Cut(string(text), ") ") // its name may hold anything
	f := strings.Fields(after)
	if len(f) < 13 {
		return 0
	}
	user, _ := strconv.ParseFloat(f[11], 64)
	system, _ := strconv.ParseFloat(f[12], 64)
	return (user + system) / ticksPerSecond
}
