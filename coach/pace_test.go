package coach

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tolerance)
	}
}

// TestElites checks speed = step length · cadence on the averages of 30 walkers
// a race at the World Cup in Cheboksary 2008 (Hanley, Bissas and Drake, slides
// "Kinematics of Elite Race Walking", kipdf.com): the printed values agree
// within their rounding, 1 %.
func TestElites(t *testing.T) {
	for _, e := range []struct {
		race                string
		speed, step, perSec float64 // km/h, m, steps/s
	}{
		{"20 km women", 13.29, 1.08, 3.41},
		{"20 km men", 14.80, 1.23, 3.35},
		{"50 km men", 14.14, 1.22, 3.23},
	} {
		pace := 3600 / e.speed
		near(t, e.race+" pace", PaceOf(e.perSec*60, e.step), pace, pace/100)
		near(t, e.race+" cadence", CadenceOf(pace, e.step), e.perSec*60, e.perSec*60/100)
		near(t, e.race+" step length", LengthOf(pace, e.perSec*60), e.step, e.step/100)
	}
}

// TestRecords checks the written pace of marks whose time and distance are
// published; the paces per km are arithmetic from those.
func TestRecords(t *testing.T) {
	for _, r := range []struct {
		mark  string
		s, km float64
		exact float64 // s/km
		text  string
	}{
		// worldathletics.org, Kobe report, 16 February 2025
		{"men's 20 km 1:16:10", 1*3600 + 16*60 + 10, 20, 228.50, "3:49"},
		// japannews.yomiuri.co.jp, Kobe, 15 February 2026
		{"men's half marathon 1:20:34", 1*3600 + 20*60 + 34, 21.0975, 229.13, "3:49"},
		// worldathletics.org, Huangshan, 20 March 2021
		{"women's 20 km 1:23:49", 1*3600 + 23*60 + 49, 20, 251.45, "4:11"},
		// watchathletics.com, Podebrady, 18 May 2025
		{"men's 35 km 2:20:43", 2*3600 + 20*60 + 43, 35, 241.23, "4:01"},
		// european-athletics.com, Podebrady, 21 May 2023
		{"women's 35 km 2:37:15", 2*3600 + 37*60 + 15, 35, 269.57, "4:30"},
	} {
		pace := r.s / r.km
		near(t, r.mark, pace, r.exact, 0.006)
		if got := FormatPace(pace); got != r.text {
			t.Errorf("%s: written %s, want %s", r.mark, got, r.text)
		}
		// A lap of the track takes 0.4 of the pace, by any cadence.
		near(t, r.mark+" steps of a lap", CadenceOf(pace, 1.1)*0.4*pace/60, 400/1.1, 1e-9)
	}
}

// TestPaceArithmetic has the worked values: 20 km in 1:20:00.
func TestPaceArithmetic(t *testing.T) {
	pace, err := ParsePace("4:00")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "step length at 200/min", LengthOf(pace, 200), 1.250, 1e-12)
	near(t, "cadence at 1.20 m", CadenceOf(pace, 1.20), 208.3333, 1e-4)
	// Steps of 20 km: cadence times time.
	near(t, "steps at 1.11 m", CadenceOf(pace, 1.11)*20*pace/60, 18018.02, 0.005)
	near(t, "steps at 1.20 m", CadenceOf(pace, 1.20)*20*pace/60, 16666.67, 0.005)

	// One inch more on a step of 1 m at the same cadence: 10.16 m in 400
	// steps, 508 m in 20 000, and 118.9 s off 1:20:00 (common practice, no
	// source; the figures are arithmetic).
	cadence := CadenceOf(pace, 1)
	longer := PaceOf(cadence, 1.0254)
	walked := func(pace, steps float64) float64 { return steps / cadence * 60 / pace * 1000 }
	near(t, "400 steps", walked(longer, 400)-walked(pace, 400), 10.16, 1e-9)
	near(t, "20 000 steps", walked(longer, 20000)-walked(pace, 20000), 508, 1e-7)
	near(t, "time of 20 km", 20*(longer-pace), -118.9, 0.05)
}

func TestPaceRoundTrip(t *testing.T) {
	for cadence := 90.0; cadence <= 240; cadence += 3.7 {
		for length := 0.5; length < 1.5; length += 0.07 {
			pace := PaceOf(cadence, length)
			near(t, "cadence", CadenceOf(pace, length), cadence, 1e-9)
			near(t, "length", LengthOf(pace, cadence), length, 1e-9)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN()} {
		if got := PaceOf(bad, 1); got != 0 {
			t.Errorf("PaceOf(%v, 1) is %v", bad, got)
		}
		if got := LengthOf(300, bad); got != 0 {
			t.Errorf("LengthOf(300, %v) is %v", bad, got)
		}
	}
}

func TestFormatPace(t *testing.T) {
	for pace, want := range map[float64]string{
		310: "5:10", 310.4: "5:10", 299.5: "5:00", 59.4: "0:59", 3600: "60:00",
		0: "-", -3: "-", math.NaN(): "-", math.Inf(1): "-", 1e300: "-",
	} {
		if got := FormatPace(pace); got != want {
			t.Errorf("%v: %q, want %q", pace, got, want)
		}
	}
}

// TestLapLength: the lap of each lane by arithmetic from the measures of the
// standard track, semicircles of 36.50 m, straights of 84.39 m, lanes of 1.22 m
// (vitaxamenity sheet, yumpu.com 53482665), measured 0.30 m from the kerb and
// 0.20 m from a line (IAAF rule text, trackathletics.tripod.com).
func TestLapLength(t *testing.T) {
	want := []float64{400.001, 407.038, 414.704, 422.369, 430.035, 437.700, 445.366, 453.031, 460.697}
	var laps []float64
	for i, w := range want {
		got, err := LapLength(i + 1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lane", got, w, 0.005)
		laps = append(laps, got)
	}
	near(t, "lane 2 adds", laps[1]-laps[0], 7.0372, 5e-5)
	for i := 2; i < len(laps); i++ {
		near(t, "each further lane adds", laps[i]-laps[i-1], 7.6655, 5e-5)
	}
	near(t, "25 laps in lane 8 counted as lane 1", 25*(laps[7]-laps[0]), 1325.75, 0.01)
	for _, lane := range []int{0, -1, 10} {
		if _, err := LapLength(lane); err == nil {
			t.Errorf("lane %d: no error", lane)
		}
	}
}
