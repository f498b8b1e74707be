package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/event"
	shared "steadfoot/coach/group"
	"steadfoot/coach/group/member"
	"steadfoot/detect"
)

// groupOptions ask how many members a hub holds.
type groupOptions struct {
	on      bool
	members int
	hubs    int
	bus     string
	seconds float64
}

func (o *groupOptions) flags(fs *pflag.FlagSet) {
	fs.BoolVar(&o.on, "group", false, "measure how many members one hub holds, over real connections on loopback, instead of what the detector finds")
	fs.IntVar(&o.members, "members", 2000, "how many walk")
	fs.IntVar(&o.hubs, "hubs", 1, "hubs that share the group; more than one need --bus")
	fs.StringVar(&o.bus, "bus", "", "a NATS server for the hubs to meet at, like nats://127.0.0.1:4222")
	fs.Float64Var(&o.seconds, "group-time", 20, "s to measure for")
}

// check says what is wrong with the flags.
func (o *groupOptions) check() error {
	switch {
	case o.members < 1 || o.members > 50000:
		return fmt.Errorf("--members %d: from 1 to 50000", o.members)
	case o.hubs < 1 || o.hubs > 16:
		return fmt.Errorf("--hubs %d: from 1 to 16", o.hubs)
	case o.hubs > 1 && o.bus == "":
		return fmt.Errorf("--hubs %d needs --bus, where they meet", o.hubs)
	case !(o.seconds >= 1 && o.seconds <= 3600):
		return fmt.Errorf("--group-time %g: from 1 to 3600 s", o.seconds)
	}
	return nil
}

const (
	groupWord   = "gravel"
	groupAtOnce = 100             // members that join together
	groupJoin   = 2 * time.Minute // all of them must be there by then
	groupP99    = 10.0            // ms, the bar
)

// load is a group that walks.
type load struct {
	began time.Time
	sites []*groupSite
	all   []*member.Member
	rates []float64 // of the members' clocks, s/s
}

// time is what all clocks of the run are reckoned from, s.
func (l *load) time() float64 { return time.Since(l.began).Seconds() }

// runGroup measures, prints and judges.
func runGroup(o options, out, progress io.Writer) (passed bool, err error) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	l := &load{began: time.Now()}
	if l.sites, err = startSites(ctx, o.group, l.time); err != nil {
		return false, err
	}
	empty := inUse()
	defer func() {
		for _, m := range l.all {
			go m.Close()
		}
	}()
	if err := l.join(ctx, o.group.members, progress); err != nil {
		return false, err
	}
	fmt.Fprintf(progress, "%d members are there after %.0f s; measuring for %g s\n", len(l.all), l.time(), o.group.seconds)
	l.walk(min(5, o.group.seconds), nil) // until the clocks have settled
	r := l.measure(o.group.seconds)
	r.memory = float64(inUse()-empty) / float64(len(l.all))
	r.print(out, o.group)
	var j judge
	j.most(groupP99, r.p99, "ms", fmt.Sprintf("beat error of %d members, 99 %%", len(l.all)))
	j.most(0, float64(r.away), "", "members that lost their hub at the end")
	return printBars(out, j.bars, o.short), nil
}

// join brings the members in, each with a clock that is up to 100 ppm off.
func (l *load) join(ctx context.Context, n int, progress io.Writer) error {
	ctx, cancel := context.WithTimeout(ctx, groupJoin)
	defer cancel()
	for len(l.all) < n {
		from := len(l.all)
		for range min(groupAtOnce, n-from) {
			i := len(l.all)
			rate := 100e-6 * float64(i%21-10) / 10
			m, err := member.Join(context.Background(), member.Options{
				Addresses: []string{l.sites[i%len(l.sites)].addr}, Name: fmt.Sprintf("Walker %d", i+1),
				Word: groupWord, Way: "program",
				Clock: func() float64 { return l.time() * (1 + rate) },
			})
			if err != nil {
				return err
			}
			l.all, l.rates = append(l.all, m), append(l.rates, rate)
		}
		for i, m := range l.all[from:] {
			if err := m.Ready(ctx); err != nil {
				return fmt.Errorf("member %d of %d does not get in: %w; a limit of open files (ulimit -n) of four for each member is enough", from+i+1, n, err)
			}
		}
	}
	return nil
}

// walk lets everybody walk for some seconds: each tells a status and three steps
// a second, and look sees each member once a second.
func (l *load) walk(seconds float64, look func(i int)) {
	const rounds = 100 // in a second
	ticks := time.NewTicker(time.Second / rounds)
	defer ticks.Stop()
	for round := range int(seconds * rounds) {
		<-ticks.C
		for i := round % rounds; i < len(l.all); i += rounds {
			m := l.all[i]
			now := m.Now()
			m.Report(shared.Status{Hears: shared.HearsWalking, Cadence: 180, SD: 0.5, Off: 12, R: 0.9, N: 20})
			var steps [3]event.Step
			for k := range steps {
				steps[k].Step = detect.Step{T: now - 1 + float64(k)/3, Side: detect.Left, Confidence: 0.9, Heard: true}
			}
			m.Steps(steps[:])
			if look != nil {
				look(i)
			}
		}
	}
}

// groupResult is what was measured; the cost is that of hub and member together.
type groupResult struct {
	p50, p99, worst float64 // beat error, ms
	beats           int
	cpu             float64 // share of one core for each member
	up, down        float64 // bytes/s for each member
	memory          float64 // bytes for each member
	away            int
}

// measure looks at the beats that the members have scheduled, for some seconds.
func (l *load) measure(seconds float64) groupResult {
	var errs []float64
	cpu, from := cpuTime(), l.time()
	up, down := traffic(l.sites)
	l.walk(seconds, func(i int) {
		m := l.all[i]
		beat, _ := m.Map()
		soon := m.GroupAt(m.Now()) + 0.4 // as far ahead as sound is made
		beat.Beats().Between(soon, soon+0.35, func(b coach.Beat) {
			is := m.LocalAt(b.T) / (1 + l.rates[i])
			errs = append(errs, 1e3*abs(is-(b.T-groupAhead)))
		})
	})
	took, n := l.time()-from, float64(len(l.all))
	up2, down2 := traffic(l.sites)
	r := groupResult{
		beats: len(errs), cpu: (cpuTime() - cpu).Seconds() / took / n,
		up: float64(up2-up) / took / n, down: float64(down2-down) / took / n,
	}
	if slices.Sort(errs); len(errs) > 0 {
		r.p50, r.p99, r.worst = errs[len(errs)/2], errs[len(errs)*99/100], errs[len(errs)-1]
	}
	for _, m := range l.all {
		if !m.Connected() {
			r.away++
		}
	}
	return r
}

func (r groupResult) print(out io.Writer, o groupOptions) {
	fmt.Fprintf(out, "%d members, hubs: %d\n\n", o.members, o.hubs)
	fmt.Fprintf(out, "beat error       p50 %.3f  p99 %.3f  worst %.3f ms, over %d beats\n", r.p50, r.p99, r.worst, r.beats)
	fmt.Fprintf(out, "processor        %.3f %% of a core for each member, %.2f cores for all, hub and members together (%d cores here)\n",
		100*r.cpu, r.cpu*float64(o.members), runtime.NumCPU())
	fmt.Fprintf(out, "memory           %.0f KB for each member, hub and member together\n", r.memory/1024)
	fmt.Fprintf(out, "network          %.0f bytes/s up and %.0f down for each member, without TCP's own\n", r.up, r.down)
}

// inUse is what the program holds, without what it could give back, bytes.
func inUse() uint64 {
	s := memory()
	return s.HeapInuse + s.StackInuse
}

func abs(x float64) float64 { return max(x, -x) }
