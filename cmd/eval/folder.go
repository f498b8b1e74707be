package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"steadfoot/audio"
	"steadfoot/detect/score/trial"
)

// recorded marks the groups that come from the data folder.
const recorded = "recorded "

// folderJobs finds the sound recordings below dir: audio/walks/X.flac with its
// truth in X.steps.txt, and audio/negatives/X.flac in which nobody walks.
func folderJobs(dir string) ([]job, error) {
	walks, err := filepath.Glob(filepath.Join(dir, "audio", "walks", "*.flac"))
	if err != nil {
		return nil, err
	}
	negatives, err := filepath.Glob(filepath.Join(dir, "audio", "negatives", "*.flac"))
	if err != nil {
		return nil, err
	}
	if len(walks)+len(negatives) == 0 {
		return nil, fmt.Errorf("%s: no audio/walks/*.flac or audio/negatives/*.flac in it", dir)
	}
	var jobs []job
	for _, path := range walks {
		jobs = append(jobs, job{group: recorded + stem(path), name: path, snr: math.NaN(), load: func() (recording, error) {
			steps, err := readTimes(strings.TrimSuffix(path, ".flac") + ".steps.txt")
			if err != nil {
				return recording{}, err
			}
			return readSound(path, steps)
		}})
	}
	for _, path := range negatives {
		group := trial.NobodyGroup + recorded + stem(path)
		jobs = append(jobs, job{group: group, name: path, snr: math.NaN(), load: func() (recording, error) { return readSound(path, nil) }})
	}
	return jobs, nil
}

func stem(path string) string {
	return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
}

func readSound(path string, steps []float64) (recording, error) {
	f, err := audio.Open(path)
	if err != nil {
		return recording{}, err
	}
	defer f.Close()
	rec := recording{rate: float64(f.Rate())}
	var b audio.Block
	for {
		switch err := f.Read(&b); {
		case errors.Is(err, io.EOF):
			rec.truth = trial.Truth{Seconds: float64(len(rec.samples)) / rec.rate, Times: steps}
			return rec, nil
		case err != nil:
			return recording{}, err
		}
		rec.samples = append(rec.samples, b.Samples...)
	}
}

// readTimes reads one number a line.
func readTimes(path string) ([]float64, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var times []float64
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		t, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %q is not a time in s", path, n, text)
		}
		times = append(times, t)
	}
	return times, lines.Err()
}
