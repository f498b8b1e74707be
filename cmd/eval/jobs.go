package main

import (
	"math"

	"steadfoot/detect/score/trial"
)

// leakGroup begins the groups of walks with own clicks or words.
const leakGroup = "leak, "

// madeJobs are the made walks.
func madeJobs(short bool) []job {
	each, still, tempo, onSoft := 4, 60.0, 10.0, 3
	if short {
		each, still, tempo, onSoft = 1, 20, 20, 1
	}
	cases := append(trial.Clean(), trial.Hard(each)...)
	cases = append(cases, trial.Rustling(onSoft)...)
	cases = append(cases, trial.Tempos(tempo)...)
	cases = append(cases, trial.Levels(each)...)
	for _, snr := range []float64{5, 0, -6, -12} {
		cases = append(cases, trial.Noisy(snr, each)...)
	}
	for _, snr := range []float64{0, -6, -12} {
		if !short { // shown only
			cases = append(cases, trial.Soft(snr, each)...)
		}
	}
	cases = append(cases, trial.Timed(each)...)
	cases = append(cases, trial.OneOthers(each)...)
	cases = append(cases, trial.BesideMachines(each)...)
	jobs := append(jobsOf(cases), leakJobs(each)...)
	jobs = append(jobs, jobsOf(trial.Nobody(still))...)
	return append(jobs, jobsOf(trial.Machines(still))...)
}

func jobsOf(cases []trial.Case) []job {
	var jobs []job
	for _, c := range cases {
		jobs = append(jobs, job{group: c.Group, name: c.Name, snr: c.SNR(), load: func() (recording, error) {
			w, truth := c.Walk()
			return recording{samples: w.Samples, rate: w.Rate, truth: truth}, nil
		}})
	}
	return jobs
}

// leakJobs are walks into which what is played leaks. No SNR says how hard they
// are.
func leakJobs(each int) []job {
	var jobs []job
	for _, l := range trial.Leaks(each) {
		jobs = append(jobs, job{group: l.Group, name: l.Name, snr: math.NaN(), load: func() (recording, error) {
			w, truth := l.Walk()
			bare, _ := l.Without()
			return recording{samples: w.Samples, rate: w.Rate, truth: truth, played: w.Played, bare: bare.Samples}, nil
		}})
	}
	return jobs
}
