package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"steadfoot/audio"
	"steadfoot/detect"
	"steadfoot/detect/score/aubio"
)

// against is the processor time of one program on the file that all get.
type against struct {
	name string
	cpu  time.Duration
}

// compareCost runs the detector and aubioonset, each in a process of its own, on
// one file of so many seconds at costRate, in turn, and takes the least time of
// each. ours is the first.
func compareCost(seconds float64, runs int) ([]against, error) {
	dir, err := os.MkdirTemp("", "eval")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "walk.wav")
	if err := os.WriteFile(path, aubio.WAV(costWalk(costRate, seconds), costRate), 0o600); err != nil {
		return nil, err
	}
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	all := []against{{name: "steadfoot"}}
	commands := [][]string{{self, "--cost-feed", path}}
	for _, m := range aubio.Methods {
		all = append(all, against{name: "aubioonset, " + m})
		commands = append(commands, aubio.Command(path, m))
	}
	for range runs {
		for i, c := range commands {
			cpu, err := childTime(c)
			if err != nil {
				return nil, err
			}
			if all[i].cpu == 0 || cpu < all[i].cpu {
				all[i].cpu = cpu
			}
		}
	}
	return all, nil
}

// childTime runs a command and returns the processor time it used.
func childTime(command []string) (time.Duration, error) {
	c := exec.Command(command[0], command[1:]...)
	c.Stderr = os.Stderr
	if err := c.Run(); err != nil {
		return 0, fmt.Errorf("%s: %w", command[0], err)
	}
	return c.ProcessState.UserTime() + c.ProcessState.SystemTime(), nil
}

// feedFile runs the detector over a sound file, as aubioonset does: it prints a
// line for every step.
func feedFile(path string, out io.Writer) error {
	f, err := audio.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	det, err := detect.NewSound(detect.SoundConfig{Rate: float64(f.Rate())})
	if err != nil {
		return err
	}
	var b audio.Block
	var events []detect.Event
	for {
		switch err := f.Read(&b); {
		case errors.Is(err, io.EOF):
			return printTimes(out, det.Flush(events[:0]))
		case err != nil:
			return err
		}
		events = det.Feed(events[:0], b.Samples)
		if err := printTimes(out, events); err != nil {
			return err
		}
	}
}

func printTimes(out io.Writer, events []detect.Event) error {
	for _, e := range events {
		if e.Kind != detect.KindStep {
			continue
		}
		if _, err := fmt.Fprintf(out, "%f\n", e.Step.T); err != nil {
			return err
		}
	}
	return nil
}
