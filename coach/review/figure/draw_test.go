package figure

import (
	"bytes"
	"image/png"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

func TestTimeTicks(t *testing.T) {
	for _, c := range []struct {
		lo, hi      float64
		most        int
		first, last string
	}{
		{0, 180, 6, "0:00", "3:00"},
		{0, 6210, 12, "0:00", "1:40:00"},
		{286, 321, 4, "4:50", "5:20"},
		{0, 1e6, 5, "0:00", "256:00:00"},
	} {
		ticks := TimeTicks{c.most}.Ticks(c.lo, c.hi)
		if len(ticks) > c.most+1 || len(ticks) < 2 {
			t.Errorf("%v: %d ticks", c, len(ticks))
			continue
		}
		if first, last := ticks[0].Label, ticks[len(ticks)-1].Label; first != c.first || last != c.last {
			t.Errorf("%v: from %s to %s", c, first, last)
		}
	}
}

func TestDateTicks(t *testing.T) {
	day := 20573.0 // 30 April 2026, a Thursday
	for _, c := range []struct {
		days float64
		most int
		want string
	}{
		{20, 5, "4 May,11 May,18 May"},
		{70, 12, "May 2026,Jun,Jul"},
		{400, 4, "Jul 2026,Jan 2027"},
	} {
		var have []string
		for _, k := range (dateTicks{c.most}).Ticks(day, day+c.days) {
			have = append(have, k.Label)
		}
		if got := strings.Join(have, ","); got != c.want {
			t.Errorf("%v days: %s, want %s", c.days, got, c.want)
		}
	}
}

// TestInline: the picture takes its colours from the page, tells its name, and what
// a person wrote is text in it.
func TestInline(t *testing.T) {
	k := Course{Heading: "cadence", Duration: 600, BandName: "band <&>", Band: []Strip{{0, 600, 186, 194}}, Laps: []float64{300},
		Parts: []Segment{{0, 600, `<b>"hips"</b>`, "1", false}}, Signs: []Sign{{100, Quicken}, {200, Ease}},
		Lines: []Line{{Points: []Spot{{10, 190}, {20, 191}, {30, math.NaN()}, {40, 189}}}}}
	svg, err := Inline(k, 700, 230, "x", `what "it" is`, "a <desc>")
	if err != nil {
		t.Fatal(err)
	}
	words := svgText(t, []byte(svg))
	for _, want := range []string{`what "it" is`, "a <desc>", "band <&>", `<b>"hips"</b>`, "quicken", "ease", "lap", "190"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in %s", want, words)
		}
	}
	for _, want := range []string{"var(--blue)", "var(--grey)", `role="img"`, `aria-labelledby="x-t x-d"`, `viewBox="0 0 700 230"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in the picture", want)
		}
	}
	for _, bad := range []string{"#000000", "font-family", "NaN", "<?xml"} {
		if strings.Contains(svg, bad) {
			t.Errorf("%q is in the picture", bad)
		}
	}
}

// ink is the share of pixels of a drawing that are not white.
func ink(t *testing.T, d Drawing, w, h vg.Length) float64 {
	t.Helper()
	c := vgimg.PngCanvas{Canvas: vgimg.New(w, h)}
	d.Draw(draw.New(c))
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	n, box := 0, img.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if r, g, b, _ := img.At(x, y).RGBA(); r+g+b < 3*0xffff {
				n++
			}
		}
	}
	return float64(n) / float64(box.Dx()*box.Dy())
}

// TestEmpty: what has nothing to show draws nothing, and says so where it can.
func TestEmpty(t *testing.T) {
	for name, d := range map[string]Drawing{"course": Course{Heading: "x", Duration: 10, Lines: []Line{{Points: []Spot{{1, math.NaN()}}}}}, "season": Season{Heading: "x"}} {
		if n := ink(t, d, 300, 200); n > 0 {
			t.Errorf("%s: %v of it is drawn", name, n)
		}
		if e, ok := d.(interface{ Empty() bool }); !ok || !e.Empty() {
			t.Errorf("%s is not empty", name)
		}
	}
}

// TestRose: the fullest sector reaches the circle where its angles are, and the
// others stay inside of it by the root of their count.
func TestRose(t *testing.T) {
	all := make([]float64, 100)
	for i := range all {
		all[i] = 2 * math.Pi * float64(i) / 100
	}
	even, one := ink(t, Rose{Angles: all}, 300, 300), ink(t, Rose{Angles: []float64{1}}, 300, 300)
	if !(even > 3*one && one > 0) {
		t.Errorf("even angles cover %v, one %v", even, one)
	}
	for name, r := range map[string]Rose{"none": {}, "far": {Angles: []float64{-7, 100}}, "arrow": {Angles: []float64{1}, Mean: 1, R: 1}} {
		if n := ink(t, r, 300, 300); n == 0 {
			t.Errorf("%s: nothing is drawn", name)
		}
	}
	ink(t, Rose{Angles: all, Up: "x"}, 10, 10) // too small for anything
}

func TestSeason(t *testing.T) {
	s := Season{Heading: "x", From: 20000, To: 20100, MeanName: "mean", Dots: []Day{{20000, 1}, {20100, 3}},
		Means: []Mean{{20010, 2, 0.2}, {20050, 2.5, math.NaN()}}, Line: []Day{{20000, 1}, {20100, 3}}}
	if lo, hi := s.span(); lo > 1 || hi < 3 || hi > 3.5 {
		t.Errorf("from %v to %v", lo, hi)
	}
	if n := ink(t, s, 400, 200); n < 0.01 {
		t.Errorf("only %v is drawn", n)
	}
	s.Means[0].SE, s.Highest = 100, 5
	if lo, hi := s.span(); lo < 0 || hi > 5 {
		t.Errorf("from %v to %v, beyond what can be", lo, hi)
	}
	bars := Season{Heading: "x", From: 20000, To: 20014, BarName: "in a week", Bars: []Bar{{20000, 20007, 40}, {20007, 20014, 0}}}
	if lo, hi := bars.span(); lo != 0 || hi < 40 {
		t.Errorf("bars from %v to %v", lo, hi)
	}
}
