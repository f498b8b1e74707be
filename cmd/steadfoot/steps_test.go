package main

import (
	"bytes"
	"context"
	"io"
	"math"
	"strings"
	"testing"

	"steadfoot/detect"
)

// TestStepsInterrupted ends a live pipe by Ctrl-C: what was heard is told.
func TestStepsInterrupted(t *testing.T) {
	for name, args := range map[string][]string{
		"sound":  {"--rate", "8000", "-"},
		"sensor": {"-"},
	} {
		t.Run(name, func(t *testing.T) {
			r, w := io.Pipe()
			defer w.Close()
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			var out, errs bytes.Buffer
			done := make(chan int)
			go func() {
				status := run(ctx, stdio{r, &out, &errs}, append([]string{"steps"}, args...))
				r.Close() // ends the writing below should it have ended early
				done <- status
			}()
			text := make([]byte, 16000) // a second of digital silence
			if name == "sensor" {
				text = []byte("t,ax,ay,az\n0,0,9.8,0\n0.5,0,9.8,0\n1,0,9.8,0\n")
			}
			for range 4 { // the reader has taken a piece once the next but two is written
				if _, err := w.Write(text); err != nil {
					t.Fatal(err)
				}
				if name == "sensor" {
					text = []byte("# nothing\n")
				}
			}
			cancel()
			if status := <-done; status != exitFailed {
				t.Errorf("status %d", status)
			}
			if !strings.Contains(out.String(), "No steps found in 0:0") || !strings.Contains(errs.String(), "steadfoot steps: interrupted after ") {
				t.Errorf("out %q, err %q", out.String(), errs.String())
			}
		})
	}
}

// step makes a step event.
func step(t float64, heard bool) detect.Event {
	return detect.Event{Kind: detect.KindStep, Step: detect.Step{T: t, Heard: heard}}
}

func rhythm(uneven, variability float64) detect.Event {
	return detect.Event{Kind: detect.KindRhythm, Rhythm: detect.Rhythm{State: detect.Walking, Unevenness: uneven, Variability: variability}}
}

// TestSummary walks two stretches of 4 and 3 steps, 1/3 s apart, with a stop
// after which left and right have changed names.
func TestSummary(t *testing.T) {
	var s summary
	if !math.IsNaN(s.cadence()) || !math.IsNaN(s.unevenness()) || !math.IsNaN(s.variability()) {
		t.Error("a measure of no steps is a number")
	}
	for _, e := range []detect.Event{
		step(1, true), step(1+1./3, false), step(1+2./3, true), rhythm(3, 2), step(2, true), rhythm(5, 3),
		{Kind: detect.KindRhythm}, // standing: not part of any mean
		step(7, true), step(7+1./3, true), rhythm(-4, 4), step(7+2./3, true),
	} {
		s.add(e)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"steps", float64(s.steps), 7},
		{"bridged", float64(s.bridged), 1},
		{"walking", s.walking(), 1 + 2./3},
		{"cadence", s.cadence(), 180},
		{"unevenness", s.unevenness(), 4},
		{"variability", s.variability(), 3},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s is %g, want %g", c.name, c.got, c.want)
		}
	}
}

func TestClockTime(t *testing.T) {
	for s, want := range map[float64]string{0: "0:00.0", 9.96: "0:10.0", 59.96: "1:00.0", 83.4: "1:23.4", 36061.5: "10:01:01.5"} {
		if got := clockTime(s); got != want {
			t.Errorf("clockTime(%g) = %q, want %q", s, got, want)
		}
	}
}
