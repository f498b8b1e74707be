package review

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"steadfoot/coach"
)

// season makes walks of an athlete, three a week over n days: laps whose step length
// is 1.08 m at 190 steps/min, 2 mm more for every step/min more, perDay more with
// every day, and another by day some SD of 5 mm.
func season(name string, n int, perDay float64, r *rand.Rand) []Walk {
	var out []Walk
	for day := 0; day < n; day += 2 + day%3/2 {
		form := 0.005 * r.NormFloat64()
		uneven := 2 + 0.3*r.NormFloat64()
		w := Walk{Started: time.Date(2026, 3, 2+day, 18, 0, 0, 0, time.FixedZone("", 3600)), Athlete: name,
			Digest: Digest{Walking: 1800, Distance: 6000, Aimed: 1700, In: 1700 * (0.7 + 0.05*r.NormFloat64()), Uneven: &uneven}}
		for range 6 {
			cadence := 190 + 4*r.NormFloat64()
			length := 1.08 + 0.002*(cadence-190) + perDay*float64(day) + form + 0.003*r.NormFloat64()
			w.Laps = append(w.Laps, Paced{cadence, coach.PaceOf(cadence, length)})
		}
		out = append(out, w)
	}
	return out
}

// TestTrendFinds: a step that grows by 2 mm in four weeks, at a cadence that the
// laps are only around; cadence at a pace then falls as the identity says.
func TestTrendFinds(t *testing.T) {
	const perDay = 0.002 / fourWeeks
	all := Trends(season("Mira Tal", 180, perDay, rand.New(rand.NewPCG(1, 1))), Reference{Cadence: 190})
	if len(all) != 1 || all[0].Cadence != 190 || math.Mod(all[0].Pace, 5) != 0 {
		t.Fatalf("%+v", all)
	}
	tr := all[0]
	d := tr.Drifts[StepLength]
	if !(d.Shown() && d.Low < perDay && d.High > perDay) {
		t.Errorf("step length: %+v, want %v", d, perDay)
	}
	if err := about(d.Scatter, math.Hypot(0.005, 0.003/math.Sqrt(6)), 0.0012); err != nil {
		t.Errorf("scatter: %v", err)
	}
	if c := tr.Drifts[CadenceAt]; !(c.High < 0) {
		t.Errorf("cadence at a pace: %+v", c)
	}
	for _, p := range append(tr.Months, tr.Weeks...) {
		l := p.Levels[StepLength]
		begin := 1.08 + perDay*(dayOf(p.Start)-dayOf(tr.Walks[0].Started))
		if l.N != p.Walks || math.Abs(l.Value-begin) > 4*l.SE+31*perDay || !(l.SE > 0.001 && l.SE < 0.007) {
			t.Errorf("%s: %+v, want about %v", p.Name, l, begin)
		}
		if want := 30 * float64(p.Walks); p.Minutes != want || math.Abs(p.Km-6*float64(p.Walks)) > 1e-9 {
			t.Errorf("%s: %v min, %v km", p.Name, p.Minutes, p.Km)
		}
	}
	if first := tr.Weeks[0]; first.Name != "2 Mar 2026" || first.Start.Weekday() != time.Monday {
		t.Errorf("the first week is %q", first.Name)
	}
	if tr.Months[0].Name != "2026-03" || len(tr.Months) != 6 {
		t.Errorf("%d months from %q", len(tr.Months), tr.Months[0].Name)
	}
}

// TestTrendCovers: where nothing changes, the interval of the line leaves out 0 once
// in twenty times, and the interval of a month its truth likewise.
func TestTrendCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	const tries = 400
	wrong, months, missed := 0, 0, 0
	for range tries {
		tr := Trends(season("Mira Tal", 90, 0, r), Reference{Cadence: 190})[0]
		if tr.Drifts[StepLength].Shown() {
			wrong++
		}
		for _, p := range tr.Months {
			l := p.Levels[StepLength]
			months++
			if math.Abs(l.Value-1.08) > 1.96*l.SE {
				missed++
			}
		}
	}
	if share := float64(wrong) / tries; share > 0.09 || share < 0.02 {
		t.Errorf("a change is shown in %.3f of the seasons without one, want 0.05", share)
	}
	if share := float64(missed) / float64(months); share > 0.08 || share < 0.03 {
		t.Errorf("%.3f of the months miss the truth by more than 1.96 SE, want about 0.05", share)
	}
}

// TestTrendSlopes: between months the walker goes at other cadences; what cadence
// does to a step is not taken for a change of the step.
func TestTrendSlopes(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	var walks []Walk
	for day := range 60 {
		w := Walk{Started: time.Date(2026, 3, 1+day, 8, 0, 0, 0, time.UTC), Digest: Digest{Walking: 600}}
		for range 5 {
			cadence := 184 + 0.2*float64(day) + 3*r.NormFloat64()
			w.Laps = append(w.Laps, Paced{cadence, coach.PaceOf(cadence, 1.08+0.002*(cadence-190)+0.002*r.NormFloat64())})
		}
		walks = append(walks, w)
	}
	tr := Trends(walks, Reference{Cadence: 190})[0]
	if !tr.Adjusted[StepLength] {
		t.Fatal("not brought to the reference")
	}
	if d := tr.Drifts[StepLength]; math.Abs(d.Slope) > 0.0004/7 {
		t.Errorf("a step that does not change drifts by %v m a day", d.Slope)
	}
}

func TestTrendLittle(t *testing.T) {
	one := season("", 1, 0, rand.New(rand.NewPCG(1, 1)))
	bare := []Walk{{Started: time.Unix(1.7e9, 0).UTC(), Athlete: "Jon Ash", Digest: Digest{Walking: 60}}, {Started: time.Unix(1.7e9, 0).UTC(), Athlete: "jon ash", Digest: Digest{Walking: 5}},
		{Started: time.Unix(1.8e9, 0).UTC(), Athlete: "nobody"}}
	for name, walks := range map[string][]Walk{"one": one, "bare": bare, "all": append(one, bare...), "many": season("Mira Tal", 400, 0, rand.New(rand.NewPCG(1, 2)))} {
		all := Trends(walks, Reference{})
		var text, lines, page strings.Builder
		if err := PrintTrends(&text, all); err != nil {
			t.Fatal(err)
		}
		if err := TrendsJSON(&lines, all); err != nil {
			t.Fatal(err)
		}
		if err := WriteTrendsHTML(&page, all); err != nil {
			t.Fatal(err)
		}
		for _, l := range strings.Split(text.String(), "\n") {
			if len([]rune(l)) > lineWidth || l != strings.TrimRight(l, " ") {
				t.Errorf("%s: line %q", name, l)
			}
		}
		if strings.Contains(text.String(), "NaN") || strings.Count(lines.String(), "\n") != len(all) || !json.Valid([]byte(strings.Split(lines.String(), "\n")[0])) {
			t.Errorf("%s:\n%s%s", name, text.String(), lines.String())
		}
		checkPage(t, name, page.String())
	}
	if all := Trends(bare, Reference{}); len(all) != 1 || len(all[0].Walks) != 2 || all[0].Drifts[InBand].Known {
		t.Errorf("%+v", all)
	}
}

// TestDigest: a digest says of a session what the summary says, and comes back from
// the store's form.
func TestDigest(t *testing.T) {
	for name, s := range sessions() {
		d := NewDigest(s.head, s.events)
		sum := Analyse(s.head, s.events)
		data, err := d.Encode()
		if err != nil {
			t.Fatal(err)
		}
		back, err := DecodeDigest(data)
		if err != nil || fmt.Sprint(back.Laps, back.Walking, back.In) != fmt.Sprint(d.Laps, d.Walking, d.In) {
			t.Errorf("%s: %v comes back as %v, %v", name, d, back, err)
		}
		if d.Walking != sum.Walking || sum.Distance > 0 && d.Distance != sum.Distance || (d.Uneven == nil) != (sum.Unevenness == nil) {
			t.Errorf("%s: %+v", name, d)
		}
		if b := sum.Band; b != nil && math.Abs(d.In-b.In*b.Aimed) > 1e-9 {
			t.Errorf("%s: %v s in the band, want %v", name, d.In, b.In*b.Aimed)
		}
		want := map[string]int{"one-rep": 1, "six-reps": 6, "60-reps": 60, "laps": 12}[name]
		if len(d.Laps) != want {
			t.Errorf("%s: %d laps, want %d", name, len(d.Laps), want)
		}
	}
	for _, bad := range []string{"{", `{"walking":-1}`, `{"laps":[{"cadence":0,"pace":300}]}`, `{"aimed":10,"in":11}`, `{"uneven":-2}`} {
		if d, err := DecodeDigest([]byte(bad)); err == nil {
			t.Errorf("%s is read as %+v", bad, d)
		}
	}
}

// FuzzDigest: whatever is read as a digest makes a page of numbers.
func FuzzDigest(f *testing.F) {
	f.Add([]byte(`{"walking":1800,"distance":6000,"aimed":1700,"in":900,"uneven":1.2,"laps":[{"cadence":190,"pace":290},{"cadence":192,"pace":287}]}`))
	f.Add([]byte(`{"walking":1e6,"laps":[{"cadence":60,"pace":50},{"cadence":300,"pace":10000}]}`))
	f.Add([]byte(`{}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := DecodeDigest(data)
		if err != nil {
			return
		}
		var walks []Walk
		for day := range 6 {
			walks = append(walks, Walk{Started: time.Date(2026, 5, 1+3*day, 8, 0, 0, 0, time.UTC), Digest: d})
		}
		var page, lines strings.Builder
		all := Trends(walks, Reference{})
		if err := WriteTrendsHTML(&page, all); err != nil {
			t.Fatal(err)
		}
		if err := TrendsJSON(&lines, all); err != nil {
			t.Fatal(err)
		}
		checkPage(t, "fuzz", page.String())
	})
}
