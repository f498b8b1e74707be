package sensor_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"steadfoot/audio/sensor"
)

// feedLive gives lines that come 10 ms apart, and returns the rows.
func feedLive(l *sensor.Live, from float64, lines ...string) (rows []sensor.Row) {
	for i, s := range lines {
		if r, ok := l.Line([]byte(s), from+0.01*float64(i), false); ok {
			rows = append(rows, r)
		}
	}
	return rows
}

func faultsOf(l *sensor.Live) string {
	var all []string
	for f := l.Fault(); f != ""; f = l.Fault() {
		all = append(all, f)
	}
	return strings.Join(all, "\n")
}

func TestLiveForms(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		want  sensor.Row
	}{
		{"header", []string{"t,ax_g,ay_g,az_g", "5,0,0,1"}, sensor.Row{Z: 9.80665}},
		{"bare", []string{"5,1,2,3"}, sensor.Row{X: 1, Y: 2, Z: 3}},
		{"bare without times", []string{"1,2,3"}, sensor.Row{X: 1, Y: 2, Z: 3}},
		{"header without times", []string{"ax,ay,az", "1,2,3"}, sensor.Row{X: 1, Y: 2, Z: 3}},
		{"magnitude", []string{"t_s,mag_raw", "7,4096"}, sensor.Row{X: 4096}},
		{"objects", []string{`{"t":3,"ax":1,"ay":2,"az":3}`}, sensor.Row{X: 1, Y: 2, Z: 3}},
		{"header after rows", []string{"1,2,3", "t,ax,ay,az", "9,1,2,3"}, sensor.Row{X: 1, Y: 2, Z: 3}},
	} {
		l := sensor.NewLive("line", sensor.Options{})
		rows := feedLive(l, 2, c.lines...)
		if len(rows) == 0 {
			t.Errorf("%s: no row", c.name)
			continue
		}
		got := rows[len(rows)-1]
		if math.Abs(got.T-2) > 0.03 {
			t.Errorf("%s: at %v s, want about 2 s, when it came", c.name, got.T)
		}
		if got.T = 0; got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// What is no row is left out and told once; the rows around it are given.
func TestLiveGarbage(t *testing.T) {
	l := sensor.NewLive("line", sensor.Options{})
	if _, ok := l.Line([]byte("5,1,2,3"), 0, true); ok {
		t.Error("the first line of a connection may be half a line, and was taken")
	}
	rows := feedLive(l, 0, "t,ax,ay,az", "0,1,2,3", "\x00\xff", "0.01,1,2", "0.02,1,2,x", "NaN,1,1,1", "0.05,,1,1", "0.06,1,2,3", strings.Repeat("9", 5000))
	if len(rows) != 2 {
		t.Errorf("%d rows, want 2: %v", len(rows), rows)
	}
	if f := faultsOf(l); strings.Count(f, "no rows") != 1 {
		t.Errorf("told: %q", f)
	}
}

// Datagrams come twice or in another order: times rise, and nothing is told.
func TestLiveDisorder(t *testing.T) {
	l := sensor.NewLive("udp", sensor.Options{})
	rng := rand.New(rand.NewPCG(1, 1))
	last, n := -1.0, 0
	for i := range 3000 {
		k := i
		if rng.Float64() < 0.1 {
			k += 5 - rng.IntN(10)
		}
		r, ok := l.Line(fmt.Appendf(nil, "%.2f,0,0,9.8", 100+0.01*float64(k)), 0.01*float64(i), false)
		if !ok {
			continue
		}
		n++
		if r.T <= last {
			t.Fatalf("row at %v s after one at %v s", r.T, last)
		}
		if off := r.T - 0.01*float64(i); math.Abs(off) > 0.07 {
			t.Fatalf("row %d is %.3f s off", i, off)
		}
		last = r.T
	}
	if n < 2000 || faultsOf(l) != "" {
		t.Errorf("%d of 3000 rows; told %q", n, faultsOf(l))
	}
}

// A sensor that starts anew, wraps around, leaps or stands still is told, and time
// goes on as it passed.
func TestLiveJumps(t *testing.T) {
	for name, c := range map[string]struct{ to, hole float64 }{
		"reset": {0, 0}, "reset after a hole": {0, 12}, "ahead": {5000, 0}, "back by a second": {99, 0}, "stood still": {100, 8},
	} {
		l := sensor.NewLive("line", sensor.Options{})
		now, stamp := 3.0, 70.0
		var last sensor.Row
		give := func(n int) {
			for range n {
				if r, ok := l.Line(fmt.Appendf(nil, "%.3f,0,0,9.8", stamp), now, false); ok {
					last = r
				}
				now, stamp = now+0.01, stamp+0.01
			}
		}
		give(3000)
		if off := last.T - now; math.Abs(off) > 0.02 {
			t.Fatalf("%s: %.3f s off before the jump", name, off)
		}
		now, stamp = now+c.hole, c.to
		give(1000)
		if off := last.T - now; math.Abs(off) > 0.1 {
			t.Errorf("%s: %.3f s off after the jump", name, off)
		}
		if f := faultsOf(l); strings.Count(f, "jumped") != 1 {
			t.Errorf("%s: told %q", name, f)
		}
	}
}

// A sensor that is plugged in again, or sends its header again, counts from zero: its
// rows go on by when they come, which is no news.
func TestLiveStartedAgain(t *testing.T) {
	for _, header := range []bool{false, true} {
		l := sensor.NewLive("line", sensor.Options{})
		feedLive(l, 0, "t,ax,ay,az", "70,0,0,1", "70.01,0,0,1")
		if header {
			feedLive(l, 5, "t,ax,ay,az")
		} else {
			l.Line([]byte("0.0,0,1"), 5, true)
		}
		r, ok := l.Line([]byte("0.01,0,0,1"), 5.01, false)
		if !ok || !l.Reset() || math.Abs(r.T-5.01) > 0.1 {
			t.Errorf("header %v: row %v, %v, a new count %v; want one at 5.01 s", header, r, ok, l.Reset())
		}
		if f := faultsOf(l); f != "" {
			t.Errorf("header %v: told %q", header, f)
		}
		feedLive(l, 6, "1,0,0,1")
		feedLive(l, 7, "99,0,0,1")
		if f := faultsOf(l); !strings.Contains(f, "jumped") {
			t.Errorf("header %v: a jump within a count is not told: %q", header, f)
		}
	}
}

// A jam of the network, after which all rows come at once, is no jump.
func TestLiveJam(t *testing.T) {
	l := sensor.NewLive("udp", sensor.Options{})
	for i := range 3000 {
		s := 0.01 * float64(i)
		came := s
		if s > 10 && s < 14 {
			came = 14
		}
		r, ok := l.Line(fmt.Appendf(nil, "%.2f,0,0,9.8", s), came, false)
		if !ok || math.Abs(r.T-s) > 1e-3 {
			t.Fatalf("row at %v s was given %v, %v", s, r.T, ok)
		}
	}
	if f := faultsOf(l); f != "" {
		t.Errorf("told %q", f)
	}
}

// Times in milliseconds are no seconds: rows are then taken as they come.
func TestLiveWrongTimes(t *testing.T) {
	l := sensor.NewLive("line", sensor.Options{})
	var last sensor.Row
	n := 0
	for i := range 2000 {
		if r, ok := l.Line(fmt.Appendf(nil, "%d,0,0,9.8", 20000*i), 0.02*float64(i), false); ok {
			last = r
			n++
		}
	}
	if math.Abs(last.T-39.98) > 0.1 || n < 1990 {
		t.Errorf("%d rows, the last at %.2f s", n, last.T)
	}
	if f := faultsOf(l); !strings.Contains(f, "do not run in seconds") {
		t.Errorf("told %q", f)
	}
}

// Rows without times come in bursts of ten and are spread evenly.
func TestLiveTimeless(t *testing.T) {
	l := sensor.NewLive("line", sensor.Options{})
	last, worst := 0.0, 0.0
	for i := range 6000 {
		r, _ := l.Line([]byte("0,0,9.8"), 0.1*float64(i/10), false)
		if d := r.T - last; i > 3000 {
			worst = max(worst, math.Abs(d-0.01))
		}
		last = r.T
	}
	if worst > 0.004 || math.Abs(last-60) > 0.15 {
		t.Errorf("up to %.4f s off an even pace; the last row at %.2f s, want 60", worst, last)
	}
}

// Rows that are 20 to 150 ms on the way, by a clock that is 80 ppm slow, are put
// where they were measured but for the least time on the way.
func TestAlign(t *testing.T) {
	const least, slow = 0.020, 80e-6
	rng := rand.New(rand.NewPCG(2, 2))
	var a sensor.Align
	worst, last := 0.0, 0.0
	for i := range 3 * 3600 * 25 {
		true := 0.04 * float64(i)
		came := math.Max(last, true+least+0.03*rng.ExpFloat64())
		last = came
		got := a.Map(7000+true*(1-slow), came)
		if true > 300 {
			worst = max(worst, math.Abs(got-true-least))
		}
	}
	if worst > 0.006 {
		t.Errorf("up to %.4f s off", worst)
	}
	if off := a.Drift() - slow; math.Abs(off) > 15e-6 {
		t.Errorf("drift %.1f ppm, want 80", 1e6*a.Drift())
	}
}

func FuzzLive(f *testing.F) {
	f.Add("t,ax,ay,az\n0,1,2,3\n0.01,1,2,3")
	f.Add("1,2,3\n{\"ax\":1,\"ay\":2,\"az\":null}\n5,6")
	f.Add("t,mag_raw\n1e300,5\n-1e300,5\n0,5")
	f.Fuzz(func(t *testing.T, text string) {
		l := sensor.NewLive("x", sensor.Options{})
		var a sensor.Align
		last := math.Inf(-1)
		for i, line := range strings.Split(text, "\n") {
			r, ok := l.Line([]byte(line), 0.02*float64(i), i == 0)
			if !ok {
				continue
			}
			if !(r.T > last) || math.IsInf(r.T, 0) {
				t.Fatalf("row at %v s after one at %v s", r.T, last)
			}
			last = r.T
			a.Map(r.T, 0.02*float64(i))
			l.Fault()
		}
		l.Warnings()
	})
}
