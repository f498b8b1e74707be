package review

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review/circular"
	"steadfoot/coach/review/figure"
	"steadfoot/profiles"
)

// long is a name that tries the layout, and what must be escaped in it.
const long = `Mira-Annabel Tal-Hohenwaldstetten <script>alert("1")</script> & the Harrow Vale Walkers' second team`

// sessions are made ones of every kind.
func sessions() map[string]struct {
	head   logbook.Header
	info   logbook.Info
	events []event.Event
} {
	type one = struct {
		head   logbook.Header
		info   logbook.Info
		events []event.Event
	}
	h, i := testHeader(), testInfo()
	longH, longI := h, i
	longH.Athlete, longH.Label, longH.Plan = long, long+" "+long, long
	longI.Note, longI.Tags = "Headwind on the far straight.\n"+long, []string{"drill", "wind", strings.Repeat("tag", 13)}
	cut := i
	cut.Complete = false
	return map[string]one{
		"empty":    {h, cut, nil},
		"standing": {h, i, made(leg{60, 0})},
		"walk":     {h, i, longWalk()},
		"one-rep":  {h, i, reps(1, 400, "")},
		"six-reps": {longH, longI, reps(6, 1000, long)},
		"60-reps":  {h, i, reps(60, 200, "")},
		"laps":     {h, i, laps400(12, 5, 192, 1.06)},
		"no-set":   {logbook.Header{}, logbook.Info{}, longWalk()},
	}
}

// TestPages writes the page of every kind of session and reads it as XML, which it
// is but for the doctype. With STEADFOOT_PAGES=folder the pages are kept, to be
// looked at.
func TestPages(t *testing.T) {
	for name, s := range sessions() {
		var b strings.Builder
		r := NewReport(s.head, s.info, s.events)
		if err := r.WriteHTML(&b); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		page := b.String()
		if dir := os.Getenv("STEADFOOT_PAGES"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, name+".html"), []byte(page), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		checkPage(t, name, page)
	}
}

// checkPage: one file, no script, no network, every picture with a text of its
// own, no id twice, nothing that is no number.
func checkPage(t *testing.T, name, page string) {
	t.Helper()
	for _, bad := range []string{"<script", "src=", "href=", "@import", "url(", "NaN", "+Inf", "ZgotmplZ", "%!"} {
		if strings.Contains(page, bad) {
			t.Errorf("%s: the page has %q", name, bad)
		}
	}
	if n, m := strings.Count(page, "<svg"), strings.Count(page, `role="img"`); n != m {
		t.Errorf("%s: %d pictures, %d with a role", name, n, m)
	}
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	ids := map[string]bool{}
	marks := 0
	for inside := ""; ; {
		tok, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if tok.Name.Local == "svg" {
				inside, marks = attr(tok, "aria-labelledby"), 0
			}
			if tok.Name.Local == "path" {
				marks++
			}
			if id := attr(tok, "id"); id != "" {
				if ids[id] {
					t.Errorf("%s: id %q twice", name, id)
				}
				ids[id] = true
			}
		case xml.EndElement:
			if tok.Name.Local == "svg" {
				for _, id := range strings.Fields(inside) {
					if !ids[id] {
						t.Errorf("%s: a picture is named by %q, which is not there", name, id)
					}
				}
				if marks < 5 {
					t.Errorf("%s: picture %q is empty", name, inside)
				}
			}
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// TestRows: the reps of a made session are measured by their marks, and the beat
// they were walked to is found.
func TestRows(t *testing.T) {
	r := NewReport(testHeader(), testInfo(), reps(6, 1000, "hips"))
	if r.By != ByPart || len(r.Rows) != 13 {
		t.Fatalf("%d rows by %v", len(r.Rows), r.By)
	}
	for i := range 6 {
		row := r.Rows[1+2*i]
		if row.Role != event.RoleRep || row.Distance != 1000 || !row.Measured || row.In == nil || row.Unevenness == nil || row.Variability == nil {
			t.Fatalf("rep %d: %+v", i+1, row)
		}
		want := 1.12 * (1 - 0.04*float64(i)/6)
		if err := about(row.Length.Value, want, 0.03); err != nil {
			t.Errorf("step length of rep %d: %v", i+1, err)
		}
		if err := about(row.Length.Value*row.At*row.Pace, 60000, 60); err != nil {
			t.Errorf("rep %d: length times cadence is not speed: %v", i+1, err)
		}
		// 4 ms more for every right step: an index of 4/310.
		if err := about(*row.Unevenness, 100*4/310., 0.4); err != nil {
			t.Errorf("unevenness of rep %d: %v", i+1, err)
		}
		if want := (i%3 == 1); (row.Cues > 0) != want {
			t.Errorf("rep %d: %d cues", i+1, row.Cues)
		}
	}
	if rest := r.Rows[2]; rest.In != nil || rest.Measured || rest.Length.Value != 0 {
		t.Errorf("recovery: %+v", rest)
	}
	if r.Met == nil || r.Met.Period != 60/195.0 {
		t.Fatalf("beat: %+v", r.Met)
	}
}

// TestMet: feet that come down 15 ms before every beat, give or take 5 ms, and a
// beat on every second step of which only these count.
func TestMet(t *testing.T) {
	m := newMaker(3)
	const period = 0.3
	set := testHeader()
	m.add(event.Beat{Start: 1, Period: period})
	for k := range 400 {
		t := 1 + period*float64(k) - 0.015 + 0.005*m.r.NormFloat64()
		m.events = append(m.events, stepAt(t, m.r.Float64() < 0.9))
	}
	m.add(event.Mark{T: 121, Name: event.MarkEnd})
	r := NewReport(set, testInfo(), m.events)
	if r.Met == nil {
		t.Fatal("no beat")
	}
	if err := about(r.Met.Asynchrony(), -0.015, 0.001); err != nil {
		t.Errorf("asynchrony: %v", err)
	}
	if err := about(r.Met.Spread(), 0.005, 0.001); err != nil {
		t.Errorf("spread: %v", err)
	}
	if err := about(float64(r.Met.N), 360, 25); err != nil || r.Met.R < 0.98 {
		t.Errorf("%v, R %v", err, r.Met.R)
	}
	half := r.settings
	half.Beat.Every = 4
	if every := meet(half, m.events, r.steps, 121); math.Abs(float64(every.N)-float64(r.Met.N)/4) > 20 || every.Period != period {
		t.Errorf("every fourth: %d of %d steps, period %v", every.N, r.Met.N, every.Period)
	}
}

// TestFewMet: few steps are said to be few, a beat that follows is said to, and
// without a direction none is told.
func TestFewMet(t *testing.T) {
	m := newMaker(4)
	m.add(event.Beat{Start: 1, Period: 0.3})
	for k := range 20 {
		m.events = append(m.events, stepAt(1.01+0.3*float64(k), true))
	}
	r := NewReport(testHeader(), testInfo(), append(m.events, event.Mark{T: 9, Name: event.MarkEnd}))
	r.Met.Modes = modes(coach.Settings{Beat: coach.BeatChoice{Mode: coach.Lead}, Plan: &profiles.Plan{Parts: []profiles.PlanPart{
		{Role: profiles.PlanRep, Beat: "follow"}, {Role: profiles.PlanRecovery}, {Role: profiles.PlanRep, Beat: "off"}}}})
	words := strings.Join(r.Met.words(), " ")
	for want, is := range map[string]bool{"Only 20 steps": true, "10 ms after the beat": true, "followed the feet": true, "the beat led": false, "p below 0.001": true} {
		if strings.Contains(words, want) != is {
			t.Errorf("%q: want %v in %s", want, is, words)
		}
	}
	even := Met{Summary: circular.Summary{N: 100, R: 0.02}, Period: 0.3}
	if words := strings.Join(even.words(), " "); !strings.Contains(words, "No direction") || strings.Contains(words, "deviation") || !strings.Contains(words, "p = 0.96") {
		t.Error(words)
	}
}

// TestPictures: the pictures of a session are written as PNG and SVG; a pace that
// only marks tell is drawn.
func TestPictures(t *testing.T) {
	dir := t.TempDir()
	events := laps400(3, 5, 192, 1.06)
	for i, e := range events {
		if r, ok := e.(event.Rhythm); ok {
			r.Pace, r.Distance = 0, 0
			events[i] = r
		}
	}
	h := testHeader()
	h.Settings = nil
	var names []string
	for _, f := range NewReport(h, testInfo(), events).Figures() {
		names = append(names, f.Name)
		for _, end := range []string{".svg", ".png"} {
			path := filepath.Join(dir, f.Name+end)
			if err := figure.Save(path, f.Wide, f.WideSize[0], f.WideSize[1]); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if end == ".png" {
				if img, err := png.Decode(bytes.NewReader(data)); err != nil || img.Bounds().Dx() < 600 {
					t.Errorf("%s: %v", path, err)
				}
			} else if !strings.Contains(string(data), "</svg>") || f.Name == "pace" && strings.Count(string(data), "stroke:#D55E00") < 3 {
				t.Errorf("%s is not whole", path)
			}
		}
	}
	if got := strings.Join(names, " "); got != "cadence pace plane even" {
		t.Errorf("pictures: %s", got)
	}
}
