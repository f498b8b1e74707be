package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// lapStore makes a store with one walk: laps of 400 m, by turns normal (190
// steps/min, 1.05 m) and with a step longer by 2 % at the same cadence.
func lapStore(t *testing.T, laps int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.db")
	s, err := logbook.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	w, err := s.Begin(logbook.Header{Started: time.Unix(1.7e9, 0), Athlete: "Mira Tal", Settings: []byte("{}")})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(6, 1))
	now := 1.0
	add := func(e event.Event) {
		if err := w.Append(e); err != nil {
			t.Fatal(err)
		}
	}
	add(event.Mark{T: 0, Name: event.MarkStart})
	step := func() {
		add(event.Step{Step: detect.Step{T: now, Heard: true, Confidence: 1, Side: detect.Left}})
	}
	step()
	add(event.Mark{T: now, Name: event.MarkLap})
	for lap := range laps {
		length, label := 1.05*(1+0.004*r.NormFloat64()), "normal"
		if lap%2 == 1 {
			length, label = length*1.02, "hips"
		}
		cadence := 190 * (1 + 0.004*r.NormFloat64())
		steps := 400 / length
		end := now + steps/cadence*60
		for ; now < end-60/cadence; step() {
			now += 60 / cadence
		}
		add(event.Mark{T: end, Name: event.MarkLap, Note: label})
	}
	now += 60 / 190.0
	step()
	add(event.Mark{T: now + 1, Name: event.MarkEnd})
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	return path
}

func runIn(t *testing.T, args ...string) (out, errs string, status int) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(context.Background(), stdio{strings.NewReader(""), &o, &e}, args)
	return o.String(), e.String(), status
}

// TestCompareFinds: the 2 % that were put into the step, none into the cadence.
func TestCompareFinds(t *testing.T) {
	store := lapStore(t, 16)
	out, errs, status := runIn(t, "compare", "1:normal", "1:hips", "--store", store, "--distance", "400m", "--json")
	if status != 0 {
		t.Fatal(errs)
	}
	var r resultJSON
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if !(r.LogLength.Low < math.Log(1.02) && r.LogLength.High > math.Log(1.02) && r.LogLength.Low > 0) {
		t.Errorf("length %+v", r.LogLength)
	}
	if r.LogCadence.Low > 0 || r.LogCadence.High < 0 {
		t.Errorf("cadence %+v", r.LogCadence)
	}
	if d := r.LogLength.Value + r.LogCadence.Value - r.LogSpeed.Value; math.Abs(d) > 1e-12 {
		t.Errorf("the parts miss the whole by %g", d)
	}
	words, errs, status := runIn(t, "compare", "last:normal", "last:hips", "--store", store, "--lane", "1")
	if status != 0 || !strings.Contains(words, "faster by") || !strings.Contains(words, "that it cost cadence is not shown") || !strings.Contains(words, "over 20 km") {
		t.Errorf("%s%s", words, errs)
	}
}

func TestCompareRefuses(t *testing.T) {
	store := lapStore(t, 6)
	for want, args := range map[string][]string{
		"3 of at least 4 reps":           {"1:normal", "1:hips", "--distance", "400m"},
		"its distance is not known":      {"1:normal", "1:hips"},
		`no lap is labelled "run"`:       {"1:run", "1:hips", "--distance", "400m"},
		"there is no lap 9; there are 6": {"1:9", "1:hips", "--distance", "400m"},
		"name two sets":                  {"1:normal"},
		"is not a walk":                  {"x:normal", "1:hips"},
		"an even number":                 {"--order", "a,b", "--reps", "3"},
		"want two names":                 {"--order", "a"},
		"give one":                       {"1", "1", "--distance", "400m", "--lane", "1"},
		"no such session: 7":             {"7", "1", "--distance", "400m"},
	} {
		out, errs, status := runIn(t, append([]string{"compare", "--store", store}, args...)...)
		if status == 0 || !strings.Contains(errs, want) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: %d %s%s, want %q", args, status, out, errs, want)
		}
	}
}

// TestCompareOrder: the session that is written can be walked, and is never
// written over another file.
func TestCompareOrder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "drill.toml")
	out, errs, status := runIn(t, "compare", "--order", "normal,hips", "--reps", "2", "--session", path)
	if status != 0 || !strings.HasPrefix(out, " 1  normal\n 2  hips\n 3  hips\n 4  normal\n") {
		t.Fatalf("%s%s", out, errs)
	}
	if out, errs, status = runIn(t, "session", "check", path); status != 0 {
		t.Errorf("%s%s", out, errs)
	}
	if _, _, status = runIn(t, "compare", "--order", "normal,hips", "--session", path); status != 1 {
		t.Errorf("it was written over: %d", status)
	}
}

// TestMeasureLaps: the laps of a stored walk, each within its uncertainty.
func TestMeasureLaps(t *testing.T) {
	out, errs, status := runIn(t, "measure", "last", "--store", lapStore(t, 4), "--distance", "400m", "--json")
	if status != 0 {
		t.Fatal(errs)
	}
	n := 0
	for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
		var p passJSON
		if err := json.Unmarshal([]byte(line), &p); err != nil {
			t.Fatal(err)
		}
		if p.Kind != "pass" {
			continue
		}
		n++
		if want := 1.05 * (1 + 0.02*float64((n-1)%2)); math.Abs(p.Length.Value-want) > 0.02 || p.Source != fmt.Sprintf("walk last, lap %d", n) {
			t.Errorf("%+v, want about %v", p, want)
		}
	}
	if n != 4 {
		t.Errorf("%d passes:\n%s", n, out)
	}
}
