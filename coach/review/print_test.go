package review

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew; look at the difference")

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *rewrite {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
	for i, l := range strings.Split(got, "\n") {
		if n := utf8.RuneCountInString(l); n > lineWidth {
			t.Errorf("%s:%d is %d characters wide", name, i+1, n)
		}
	}
}

func printed(t *testing.T, style Style, h logbook.Header, i logbook.Info, events []event.Event) string {
	t.Helper()
	var b bytes.Buffer
	if err := Print(&b, style, h, i, events); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPrint(t *testing.T) {
	golden(t, "walk.txt", printed(t, Style{}, testHeader(), testInfo(), longWalk()))
	ascii := printed(t, Style{ASCII: true}, testHeader(), testInfo(), longWalk())
	golden(t, "walk_ascii.txt", ascii)
	for _, r := range ascii {
		if r > 126 {
			t.Fatalf("%q is not ASCII", r)
		}
	}
	cut := testInfo()
	cut.Complete = false
	golden(t, "empty.txt", printed(t, Style{}, logbook.Header{Started: testHeader().Started}, cut, nil))
}

// TestPrintHostile prints what a damaged or hostile store could hold.
func TestPrintHostile(t *testing.T) {
	h := testHeader()
	h.Athlete, h.Label, h.Input = "\x1b[31mMira\nTal", strings.Repeat("long ", 50), strings.Repeat("folder/", 30)
	var events []event.Event
	for i, c := range []float64{190, 1e300, -5, 1e9, math.SmallestNonzeroFloat64} {
		events = append(events,
			event.Rhythm{Rhythm: detect.Rhythm{T: float64(i) * 0.5, State: detect.Walking, Cadence: c}, Pace: c},
			event.Cue{T: -1e300, Name: "\x07", Reason: strings.Repeat("x", 500)},
			event.Step{Step: detect.Step{T: -float64(i), Heard: true}},
			event.Mark{T: 1e300, Name: event.MarkLap})
	}
	got := printed(t, Style{}, h, testInfo(), events)
	if strings.ContainsAny(got, "\x1b\x07") {
		t.Error("a control character came through")
	}
	for l := range strings.Lines(got[:strings.Index(got, "duration")]) {
		if utf8.RuneCountInString(l) > lineWidth+1 {
			t.Errorf("the head has a line of %d characters", len(l))
		}
	}
	if n := strings.Count(got, "\n"); n > 120 {
		t.Errorf("%d lines", n)
	}
}

func TestList(t *testing.T) {
	cut := testInfo()
	cut.ID, cut.Complete, cut.Duration = 1234, false, 36000
	cut.Athlete, cut.Label = "Jon Ash of the Harrow Vale Walkers", "häufig und lang, long and often"
	var b bytes.Buffer
	if err := List(&b, []logbook.Info{testInfo(), cut}); err != nil {
		t.Fatal(err)
	}
	golden(t, "list.txt", b.String())
}

func TestJSON(t *testing.T) {
	events := longWalk()
	var b bytes.Buffer
	if err := PrintJSON(&b, testHeader(), testInfo(), events); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != len(events)+2 {
		t.Fatalf("%d lines for %d events", len(lines), len(events))
	}
	var head struct {
		Kind     string
		ID       int64
		Started  time.Time
		Settings struct{ Cadence float64 }
	}
	if err := json.Unmarshal([]byte(lines[0]), &head); err != nil || head.Kind != "session" || head.ID != 12 ||
		!head.Started.Equal(testHeader().Started) || head.Settings.Cadence != 192 {
		t.Errorf("first line %s: %v", lines[0], err)
	}
	for i, want := range events {
		if got, err := event.ParseJSON([]byte(lines[i+1])); err != nil || got != want {
			t.Fatalf("line %d is %v, want %v: %v", i+2, got, want, err)
		}
	}
	var tail struct {
		Kind string
		Summary
	}
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &tail); err != nil || tail.Kind != "summary" ||
		tail.Steps != Analyse(testHeader(), events).Steps || tail.Band.Target != 192 {
		t.Errorf("last line %s: %v", lines[len(lines)-1], err)
	}
	b.Reset()
	if err := ListJSON(&b, []logbook.Info{testInfo(), testInfo()}); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); strings.Count(got, "\n") != 2 || !strings.HasPrefix(got, `{"kind":"session","id":12,`) {
		t.Errorf("list: %s", got)
	}
}

// TestManyFaults: a device that stutters does not push the rest off the screen.
func TestManyFaults(t *testing.T) {
	for n, want := range map[int]int{3: 0, faultsShown: 0, faultsShown + 5: 5} {
		shown, more := firstFaults(make([]Fault, n))
		if len(shown)+more != n || more != want {
			t.Errorf("%d faults: %d shown and %d more, want %d more", n, len(shown), more, want)
		}
	}
}
