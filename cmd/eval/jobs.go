package main

import "steadfoot/detect/score/trial"

// madeJobs are the made walks.
func madeJobs(short bool) []job {
	each, still := 4, 60.0
	if short {
		each, still = 1, 20
	}
	cases := append(trial.Clean(), trial.Hard(each)...)
	snrs := []float64{5, 0, -6, -12}
	soft := snrs[1:]
	if short {
		snrs, soft = snrs[:2], nil
	}
	for _, snr := range snrs {
		cases = append(cases, trial.Noisy(snr, each)...)
	}
	for _, snr := range soft {
		cases = append(cases, trial.Soft(snr, each)...)
	}
	cases = append(cases, trial.Timed(each)...)
	return jobsOf(append(cases, trial.Nobody(still)...))
}

func jobsOf(cases []trial.Case) []job {
	var jobs []job
	for _, c := range cases {
		jobs = append(jobs, job{group: c.Group, name: c.Name, snr: c.SNR(), load: func() (recording, error) {
			w, truth := c.Walk()
			return recording{w.Samples, w.Rate, truth}, nil
		}})
	}
	return jobs
}
