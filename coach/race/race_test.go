package race

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfoot/coach"
	"steadfoot/profiles"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

func solve(t *testing.T, pace, cadence, length float64) Goal {
	t.Helper()
	g, err := Solve(pace, cadence, length, nil)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Worked values: 20 km in 1:20:00 (computed by hand: 4800 s / 20 km = 240 s/km,
// 1000/240 m/s, 0.4 km a lap).
func TestTwentyKm(t *testing.T) {
	g := solve(t, 240, 200, 0)
	g.Distance, g.Lap = 20000, 400
	near(t, "step length", g.StepLength, 1.25, 1e-12)
	near(t, "time", g.Time(), 4800, 1e-9)
	near(t, "speed", g.Speed(), 4.166666666667, 1e-9)
	near(t, "lap", g.LapTime(), 96, 1e-9)
	near(t, "cadence at 1.20 m", solve(t, 240, 0, 1.2).Cadence, 208.3333333333, 1e-9)
	for length, steps := range map[float64]float64{1.11: 18018.02, 1.20: 16666.67} {
		g := solve(t, 240, 0, length)
		g.Distance = 20000
		near(t, "steps", g.Steps(), steps, 0.005)
	}
}

// One inch more on a step of 1 m: 10.16 m in 400 steps, 508 m in 20,000, and
// -2.477 % of 1:20:00, which is 118.9 s (rule of thumb of the trade, common
// practice; the figures computed from 2.54 cm).
func TestAnInch(t *testing.T) {
	g := solve(t, 240, 0, 1)
	g.Distance = 400
	near(t, "a lap's metres", g.LengthWorth(0.0254).Metres, 10.16, 1e-9)
	g.Distance = 20000
	w := g.LengthWorth(0.0254)
	near(t, "metres", w.Metres, 508, 1e-9)
	near(t, "seconds", w.Seconds, 118.9, 0.05)
	near(t, "share", w.Seconds/g.Time(), 0.02477, 5e-6)
	// One step a minute at 250/min is 1/251 of the time.
	near(t, "a step a minute", g.CadenceWorth(1).Seconds, 4800.0/251, 1e-9)
}

// Elite walkers at the 2008 World Cup (Hanley, Bissas and Drake, "Kinematics of
// Elite Race Walking"): step length times cadence is the speed, within 1 %.
func TestElite(t *testing.T) {
	for _, row := range []struct{ kmh, length, hz float64 }{{13.29, 1.08, 3.41}, {14.80, 1.23, 3.35}, {14.14, 1.22, 3.23}} {
		g := solve(t, 0, 60*row.hz, row.length)
		near(t, "speed", g.Speed()*3.6, row.kmh, row.kmh/100)
	}
}

// Records: pace and time of a 400 m lap. Men's 20 km 1:16:10 (Yamanishi, Kobe
// 2025, worldathletics.org), women's 1:23:49 (Yang, Huangshan 2021,
// worldathletics.org), men's 35 km 2:20:43 (Stano, Podebrady 2025).
func TestRecords(t *testing.T) {
	for _, r := range []struct{ distance, time, pace, lap float64 }{
		{20000, 4570, 228.50, 91.40}, {20000, 5029, 251.45, 100.58}, {35000, 8443, 241.23, 96.49},
	} {
		g := solve(t, r.time/r.distance*1000, 200, 0)
		g.Distance, g.Lap = r.distance, 400
		near(t, "pace", g.Pace, r.pace, 0.005)
		near(t, "lap", g.LapTime(), r.lap, 0.005)
	}
}

// The two halves of the men's 20 km at London 2017 were 39:50 and 39:03, in all
// 1:18:53 (sport-olympic.gr).
func TestHalves(t *testing.T) {
	g := solve(t, (39*60+50+39*60+3)/20.0, 200, 0)
	g.Distance = 20000
	first, last := g.Halves(1 - (39*60+3)/(39*60+50.0))
	near(t, "first half", first*10, 39*60+50, 1e-9)
	near(t, "second half", last*10, 39*60+3, 1e-9)
	s, err := g.Splits(10000, 1-(39*60+3)/(39*60+50.0))
	if err != nil || len(s) != 2 {
		t.Fatalf("%v, %v", s, err)
	}
	near(t, "second part", s[1].Part, 39*60+3, 1e-9)
}

// Any two of pace, cadence and step length give the third back, and splits of
// any plan add up to the race.
func TestProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 500 {
		g := solve(t, 0, 120+100*r.Float64(), 0.7+0.6*r.Float64())
		near(t, "cadence", solve(t, g.Pace, 0, g.StepLength).Cadence, g.Cadence, 1e-9)
		near(t, "length", solve(t, g.Pace, g.Cadence, 0).StepLength, g.StepLength, 1e-9)
		g.Distance = 1000 + 49000*r.Float64()
		g.Curve = profiles.Curve{{Cadence: 150, Length: 0.9}, {Cadence: 210, Length: 1.2}}
		splits, err := g.Splits(100+r.Float64()*5000, 0.1*(2*r.Float64()-1))
		if err != nil {
			t.Fatal(err)
		}
		var length, time, steps float64
		for _, s := range splits {
			length, time, steps = length+s.Length, time+s.Part, steps+s.Steps
			near(t, "cadence of a split", s.Cadence, s.Steps/s.Part*60, 1e-9)
		}
		near(t, "sum of lengths", length, g.Distance, 1e-6)
		near(t, "sum of times", time, g.Time(), 1e-6)
		near(t, "last time", splits[len(splits)-1].Time, g.Time(), 1e-6)
		near(t, "steps", steps, g.Steps(), 0.02*g.Steps()) // another length at another pace
	}
}

func TestSolveRefuses(t *testing.T) {
	for _, c := range [][3]float64{{240, 200, 1.25}, {240, 0, 0}, {0, 0, 0}, {0, 0, 1.2}, {240, 400, 0}, {130, 0, 0.3}, {math.NaN(), 200, 0}} {
		if g, err := Solve(c[0], c[1], c[2], nil); err == nil {
			t.Errorf("%v gives %+v", c, g)
		}
	}
}

func TestSolveByCurve(t *testing.T) {
	curve := profiles.Curve{{Cadence: 180, Length: 1.0}, {Cadence: 200, Length: 1.1}}
	g, err := Solve(0, 190, 0, curve)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "step length", g.StepLength, 1.05, 1e-12)
	h, err := Solve(g.Pace, 0, 0, curve)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "cadence", h.Cadence, 190, 1e-9)
	c, l := g.at(coach.PaceOf(200, 1.1))
	near(t, "cadence at another pace", c, 200, 1e-9)
	near(t, "length there", l, 1.1, 1e-9)
}

func TestGrid(t *testing.T) {
	g := solve(t, 240, 200, 0)
	g.Curve = profiles.Curve{{Cadence: 190, Length: 1.2}, {Cadence: 210, Length: 1.3}}
	gr := g.NewGrid(5, 7, 0.02, 2)
	near(t, "pace at the goal", gr.Pace[gr.Goal[0]][gr.Goal[1]], 240, 3) // 1.25 lies between two rows
	if gr.Cadences[gr.Goal[1]] != 200 || gr.Goal[1] != 3 {
		t.Errorf("columns %v, goal in %d", gr.Cadences, gr.Goal[1])
	}
	own := 0
	for i, row := range gr.Own {
		for j, o := range row {
			if o {
				own++
				near(t, "own length", gr.Lengths[i], g.Curve.Length(gr.Cadences[j]), 0.01)
			}
		}
	}
	if own == 0 {
		t.Error("the walker's own cells are not marked")
	}
}

func TestParsePlan(t *testing.T) {
	for s, want := range map[string]float64{"even": 0, "negative": 0.01, "1.5%": 0.015, "-2": -0.02} {
		if got, err := ParsePlan(s); err != nil || got != want {
			t.Errorf("%q is %v, %v", s, got, err)
		}
	}
	for _, s := range []string{"x", "30%", "NaN"} {
		if v, err := ParsePlan(s); err == nil {
			t.Errorf("%q is %v", s, v)
		}
	}
}

// Splits of records: women's 20 km 1:23:49, Yang, Huangshan 2021 (20:55, 41:52,
// 1:02:44; worldathletics.org) in 5 km parts of 1255, 1257, 1252 and 1265 s; men's
// 35 km 2:20:43, Stano, Podebrady 2025 (30 km 2:00:57): the last 5 km in 1186 s,
// 237.2 s/km; men's half marathon 1:20:34, Yamanishi, Kobe 2026 (20 km 1:16:26,
// japannews.yomiuri.co.jp): the last 1.0975 km in 248 s, 225.97 s/km.
func TestSegments(t *testing.T) {
	for text, want := range map[string][]float64{
		"5km 20:55, 10km 41:52, 15km 1:02:44, 20km 1:23:49": {1255, 1257, 1252, 1265},
		"30 km 2:00:57; 35 km 2:20:43":                      {7257, 1186},
		"20km 1:16:26,half marathon 1:20:34":                {4586, 248},
	} {
		p, err := ParsePassed(text)
		if err != nil {
			t.Fatal(err)
		}
		s := Segments(p)
		for i, w := range want {
			near(t, text, s[i].Part, w, 1e-9)
		}
		last := s[len(s)-1]
		switch pace := last.Part / last.Length * 1000; len(want) {
		case 2:
			near(t, "pace of the last part", pace, map[float64]float64{1186: 237.2, 248: 225.97}[want[1]], 0.01)
		}
	}
	for _, bad := range []string{"", "5km", "5km 20:55, 4km 30:00", "5km 20:55, 10km 20:55", "x 20:55", "5km x"} {
		if p, err := ParsePassed(bad); err == nil {
			t.Errorf("%q gives %v", bad, p)
		}
	}
}
