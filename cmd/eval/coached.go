package main

import (
	"fmt"
	"io"
	"runtime"
	"sync"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/sim"
)

// The simulated walkers: who, how many, for how long.
const (
	coachedSeed  = 1
	coachedMany  = 200
	coachedFew   = 40
	coachedS     = 1200.0 // s
	coachedShort = 600.0  // s
)

// manner is one way of coaching.
type manner struct {
	name    string
	beat    coach.BeatChoice
	words   bool
	nothing bool
	judged  bool // the bars are for this one
}

// manners are the ways of coaching that are compared. The first is the one that
// the others are held against.
func manners() []manner {
	all := []manner{
		{name: "alone", nothing: true},
		{name: "words only", words: true},
		{name: "steady beat only", beat: coach.BeatChoice{On: true, Mode: coach.Steady}},
	}
	for _, m := range []coach.BeatMode{coach.Steady, coach.Lead, coach.Follow, coach.Demand} {
		all = append(all, manner{name: string(m) + ", words", beat: coach.BeatChoice{On: true, Mode: m}, words: true, judged: true})
	}
	return all
}

func (m manner) walk(w sim.Walker, duration float64) (*sim.Result, error) {
	s, err := w.Settings(m.beat)
	if err != nil {
		return nil, err
	}
	return sim.Run(w, sim.Coaching{Settings: s, Words: m.words, Nothing: m.nothing}, duration)
}

// outing is what is kept of one walker in one manner.
type outing struct {
	number int // of the walker among the others
	walker sim.Walker
	band   sim.Band
	words  sim.Words
	beat   sim.Beat
	swing  sim.Swing
	driven bool
	lost   int
}

// coachWalkers takes all walkers through all manners, several at once. The
// outings are by manner, in the order of the walkers.
func coachWalkers(walkers []sim.Walker, all []manner, duration float64) ([][]outing, error) {
	outings := make([][]outing, len(all))
	for i := range outings {
		outings[i] = make([]outing, len(walkers))
	}
	errs := make([]error, len(walkers))
	var wg sync.WaitGroup
	slots := make(chan struct{}, runtime.NumCPU())
	for i, w := range walkers {
		wg.Add(1)
		slots <- struct{}{}
		go func() {
			defer wg.Done()
			errs[i] = coachOne(w, all, duration, func(m int, o outing) {
				o.number = i
				outings[m][i] = o
			})
			<-slots
		}()
	}
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("walker %d: %w", i, err)
		}
	}
	return outings, nil
}

func coachOne(w sim.Walker, all []manner, duration float64, keep func(int, outing)) error {
	var alone *sim.Result
	for i, m := range all {
		r, err := m.walk(w, duration)
		if err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
		if i == 0 {
			alone = r
		}
		keep(i, outing{
			walker: w, band: r.Band(), words: r.Words(), beat: r.Beat(), swing: r.Swing(),
			driven: sim.Driven(r, alone), lost: r.Lost,
		})
	}
	return nil
}

// coachedOptions are what the command line asks for of the simulated walkers.
type coachedOptions struct {
	only    bool   // nothing else is measured
	picture string // file to draw one walker in, "" for none
}

func (o *coachedOptions) flags(fs *pflag.FlagSet) {
	fs.BoolVar(&o.only, "coached", false, "only the simulated walkers with a coach, not the detector")
	fs.StringVar(&o.picture, "walker", "", "draw one simulated walker, alone and coached, in this file, .svg or .png")
}

// coached measures the coach on simulated walkers, prints the tables and returns
// the bars.
func coached(o coachedOptions, short bool, out io.Writer) ([]bar, error) {
	n, duration := coachedMany, coachedS
	if short {
		n, duration = coachedFew, coachedShort
	}
	all := manners()
	outings, err := coachWalkers(sim.Population(coachedSeed, n), all, duration)
	if err != nil {
		return nil, err
	}
	printCoached(out, all, outings, duration)
	printDriven(out, all, outings)
	if o.picture != "" {
		if err := drawWalker(o.picture); err != nil {
			return nil, err
		}
		fmt.Fprintf(out, "\nOne walker, alone and coached: %s\n", o.picture)
	}
	if !short {
		if err := sensitivity(out, duration); err != nil {
			return nil, err
		}
	}
	var j judge
	j.coached(all, outings)
	return j.bars, nil
}
