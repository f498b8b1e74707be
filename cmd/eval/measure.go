package main

import (
	"fmt"
	"io"
	"runtime"
	"sync"

	"steadfoot/detect/score"
	"steadfoot/detect/score/aubio"
	"steadfoot/detect/score/trial"
)

// recording is sound with the truth about it.
type recording struct {
	samples []float32
	rate    float64
	truth   trial.Truth
	played  []float32 // what leaks into samples, nil for nothing
	bare    []float32 // samples without the leak, nil where nothing leaks
}

// job is one recording to measure on. Loading is part of the job, so that few
// recordings are in memory at a time.
type job struct {
	group, name string
	snr         float64 // see trial.Case.SNR
	load        func() (recording, error)
}

// row is one group of recordings in the table.
type row struct {
	group string
	snr   float64 // see trial.Case.SNR
	files int
	ours  trial.Outcome
	bare  trial.Outcome            // without what was played, where something was
	aubio map[string]*score.Result // of each method
	best  score.Result             // of whichever method is best on each file
	low   []string                 // the recordings with F below lowF, for a person
}

// lowF is the F at 50 ms below which a recording is named.
const lowF = 0.98

// measure runs all jobs, several at once, and sums them up by group in the
// order in which the groups first come.
func measure(jobs []job, dir string, compare bool, progress io.Writer) ([]*row, error) {
	results, errs := make([]row, len(jobs)), make([]error, len(jobs))
	var wg sync.WaitGroup
	var mu sync.Mutex
	slots, done := make(chan struct{}, runtime.NumCPU()), 0
	for i, j := range jobs {
		wg.Add(1)
		slots <- struct{}{}
		go func() {
			defer wg.Done()
			results[i], errs[i] = one(j, dir, compare)
			<-slots
			mu.Lock()
			done++
			fmt.Fprintf(progress, "\r%d of %d recordings", done, len(jobs))
			mu.Unlock()
		}()
	}
	wg.Wait()
	fmt.Fprintln(progress)
	var rows []*row
	byGroup := make(map[string]*row)
	for i := range results {
		if errs[i] != nil {
			return nil, fmt.Errorf("%s: %w", jobs[i].name, errs[i])
		}
		r := byGroup[results[i].group]
		if r == nil {
			r = &row{group: results[i].group, snr: results[i].snr, aubio: make(map[string]*score.Result)}
			byGroup[r.group] = r
			rows = append(rows, r)
		}
		r.add(results[i])
	}
	return rows, nil
}

// one measures on one recording.
func one(j job, dir string, compare bool) (row, error) {
	rec, err := j.load()
	if err != nil {
		return row{}, err
	}
	heard, err := trial.HearPlayed(rec.samples, rec.played, rec.rate)
	if err != nil {
		return row{}, err
	}
	r := row{group: j.group, snr: j.snr, files: 1, ours: trial.Judge(heard, rec.truth)}
	if rec.bare != nil {
		if heard, err = trial.Hear(rec.bare, rec.rate); err != nil {
			return row{}, err
		}
		r.bare = trial.Judge(heard, rec.truth)
	}
	if s := r.ours.At50; s.F() < lowF {
		r.low = []string{fmt.Sprintf("%s: F %.3f, %d found, %d invented, %d missed", j.name, s.F(), s.TP, s.FP, s.FN)}
	}
	if !compare || len(rec.truth.Times) == 0 {
		return r, nil
	}
	onsets, err := aubio.Onsets(dir, rec.samples, int(rec.rate))
	if err != nil {
		return row{}, err
	}
	r.aubio = make(map[string]*score.Result)
	for _, m := range aubio.Methods {
		s := score.Match(onsets[m], rec.truth.Times, 0.050)
		r.aubio[m] = &s
		if r.best.TP == 0 || s.F() > r.best.F() {
			r.best = s
		}
	}
	return r, nil
}

func (r *row) add(o row) {
	r.files += o.files
	r.ours.Add(o.ours)
	r.bare.Add(o.bare)
	r.best.Add(o.best)
	r.low = append(r.low, o.low...)
	for m, s := range o.aubio {
		if r.aubio[m] == nil {
			r.aubio[m] = &score.Result{}
		}
		r.aubio[m].Add(*s)
	}
}
