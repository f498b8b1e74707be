package main

import (
	"fmt"
	"io"
	"runtime"
	"strings"
	"sync"
	"text/tabwriter"

	"steadfoot/detect/claps"
	"steadfoot/detect/score/trial"
)

// clapped is what was heard of double claps in walks of one kind.
type clapped struct {
	group   string
	walks   int
	hours   float64
	doubles int // that were clapped
	heard   int // of them
	wrong   int // heard where nobody clapped twice
}

func (c *clapped) add(d clapped) {
	c.walks += d.walks
	c.hours += d.hours
	c.doubles += d.doubles
	c.heard += d.heard
	c.wrong += d.wrong
}

// The groups that are judged apart, or not at all.
const (
	softClaps  = "claps 12 to 18 dB over the steps"
	loudClaps  = "claps 18 to 30 dB over the steps"
	clapless   = "no claps, "
	clapLeak   = clapless + "own clicks and words leak"
	clapRhythm = clapless + "a machine" // shown only: a drum loop has claps in it
)

// clapJob is one walk.
type clapJob struct {
	group string
	hear  func() (clapped, error)
}

// clapJobs are the made walks with double claps, and those without.
func clapJobs(short bool) []clapJob {
	clapping, still, each := 120, 300, 4 // 600 double claps; ten hours
	if short {
		clapping, still, each = 16, 6, 1
	}
	var jobs []clapJob
	for _, c := range trial.Clappings(clapping) {
		group := loudClaps
		if c.Over < 18 {
			group = softClaps
		}
		jobs = append(jobs, clapJob{group, func() (clapped, error) {
			w := c.Walk()
			found, err := trial.HearClaps(w.Samples, w.Played, w.Rate)
			heard, wrong := c.Judge(found)
			return clapped{doubles: len(c.First), heard: heard, wrong: wrong, hours: c.Spec.Duration / 3600}, err
		}})
	}
	without := func(group string, c trial.Case) {
		jobs = append(jobs, clapJob{group, func() (clapped, error) {
			w, _ := c.Walk()
			found, err := trial.HearClaps(w.Samples, nil, w.Rate)
			return withoutClaps(found, c.Spec.Duration), err
		}})
	}
	for _, c := range trial.Clapless(still, 120) {
		without(c.Group, c)
	}
	for _, l := range trial.Leaks(each) {
		jobs = append(jobs, clapJob{clapLeak, func() (clapped, error) {
			w, _ := l.Walk()
			found, err := trial.HearClaps(w.Samples, w.Played, w.Rate)
			return withoutClaps(found, l.Spec.Duration), err
		}})
	}
	for _, c := range append(trial.BesideMachines(each), trial.Machines(60)...) {
		without(clapRhythm, c)
	}
	return jobs
}

func withoutClaps(found []claps.Double, seconds float64) clapped {
	return clapped{wrong: len(found), hours: seconds / 3600}
}

// hearClaps runs the jobs, several at once, and sums them up by group.
func hearClaps(jobs []clapJob, progress io.Writer) ([]clapped, error) {
	results, errs := make([]clapped, len(jobs)), make([]error, len(jobs))
	var wg sync.WaitGroup
	var mu sync.Mutex
	var sum clapped
	slots := make(chan struct{}, runtime.NumCPU())
	for i, j := range jobs {
		wg.Add(1)
		slots <- struct{}{}
		go func() {
			defer wg.Done()
			results[i], errs[i] = j.hear()
			<-slots
			mu.Lock()
			defer mu.Unlock()
			results[i].walks = 1
			sum.add(results[i])
			fmt.Fprintf(progress, "\r%d of %d walks for claps: %d of %d heard, %d false", sum.walks, len(jobs), sum.heard, sum.doubles, sum.wrong)
		}()
	}
	wg.Wait()
	fmt.Fprintln(progress)
	var rows []clapped
	at := make(map[string]int)
	for i, j := range jobs {
		if errs[i] != nil {
			return nil, fmt.Errorf("%s: %w", j.group, errs[i])
		}
		if _, known := at[j.group]; !known {
			at[j.group] = len(rows)
			rows = append(rows, clapped{group: j.group})
		}
		rows[at[j.group]].add(results[i])
	}
	return rows, nil
}

// printClaps prints a line for every kind of walk.
func printClaps(out io.Writer, rows []clapped) {
	fmt.Fprintf(out, "\nDouble claps heard in made walks. false: heard where nobody clapped twice.\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "walks with\tn\thours\tdouble claps\theard\tfalse\t")
	for _, r := range rows {
		fmt.Fprintf(w, "%s\t%d\t%.2f\t%d\t%d\t%d\t\n", r.group, r.walks, r.hours, r.doubles, r.heard, r.wrong)
	}
	w.Flush()
}

// hearClaps measures, prints and judges.
func (j *judge) hearClaps(short bool, out, progress io.Writer) error {
	rows, err := hearClaps(clapJobs(short), progress)
	if err != nil {
		return err
	}
	printClaps(out, rows)
	j.claps(rows)
	return nil
}

// claps are the bars for double claps.
func (j *judge) claps(rows []clapped) {
	var with, without clapped
	for _, r := range rows {
		switch {
		case r.group == clapRhythm:
		case strings.HasPrefix(r.group, clapless):
			without.add(r)
		default:
			with.add(r)
		}
	}
	j.least(95, 100*float64(with.heard)/float64(with.doubles), "%", fmt.Sprintf("double claps heard, of %d", with.doubles))
	j.most(1, float64(with.wrong+without.wrong)/(with.hours+without.hours), "per hour", fmt.Sprintf("false double claps, in %.1f h", with.hours+without.hours))
}
