package screen

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	tea "charm.land/bubbletea/v2"
)

// inside checks that text stays within a screen.
func inside(t *testing.T, text string, w, h int) {
	t.Helper()
	if text == "" {
		return
	}
	if !utf8.ValidString(text) {
		t.Fatalf("%d x %d: %q is not UTF-8", w, h, text)
	}
	lines := strings.Split(text, "\n")
	if len(lines) > h {
		t.Fatalf("%d x %d: %d lines:\n%s", w, h, len(lines), text)
	}
	for _, l := range lines {
		if n := width(l); n > w {
			t.Fatalf("%d x %d: %d columns in %q", w, h, n, l)
		}
		if strings.ContainsAny(styling.ReplaceAllString(l, ""), "\x1b\r\t\a\b\u202e") {
			t.Fatalf("%d x %d: control characters in %q", w, h, l)
		}
	}
}

// every page of s at one size, through the model.
func everyPage(t *testing.T, s Snapshot, ascii bool, w, h int) {
	t.Helper()
	o := Options{ASCII: ascii, Caution: s.Label, In: strings.NewReader("")}
	var m tea.Model = newModel(o, func() Snapshot { return s })
	m, _ = m.Update(tick(s))
	m, _ = m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	for _, k := range []rune{'x', 'x', '?', 'x', 'q', 'x', 'p'} {
		inside(t, m.View().Content, w, h)
		m, _ = m.Update(tea.KeyPressMsg{Code: k, Text: string(k)})
	}
	inside(t, m.View().Content, w, h)
}

func TestEverySize(t *testing.T) {
	all := made()
	for w := 0; w < 130; w += 1 + w/40 {
		for i, h := range []int{w % 11, 10 + w%9, 19 + w%13, 32 + w%17} {
			everyPage(t, all[(4*w+i)%len(all)].snap, i == w%4, w, h)
		}
	}
	for i, z := range [][2]int{{-1, 5}, {5, -1}, {1000, 3}, {3, 300}, {300, 100}} {
		for _, m := range all {
			everyPage(t, m.snap, i == 0, z[0], z[1])
		}
	}
}

// anything is a snapshot made of seed, with text put in everywhere.
func anything(seed uint64, text string) Snapshot {
	r := rand.New(rand.NewPCG(seed, 1))
	num := func() float64 {
		switch r.IntN(10) {
		case 0:
			return math.NaN()
		case 1:
			return math.Inf(1 - 2*r.IntN(2))
		case 2:
			return 0
		case 3:
			return math.Float64frombits(r.Uint64())
		}
		return (r.Float64() - 0.2) * math.Pow(10, float64(r.IntN(6)))
	}
	part := func() Part {
		return Part{Role: text, Label: text, Set: r.IntN(99) - 9, Rep: int(r.Int64() >> r.IntN(64)), Of: int(r.Int64() >> r.IntN(64)), Length: num(), Duration: num()}
	}
	return Snapshot{
		Time: num(), Athlete: text, Label: text, Distance: num(), State: State(r.IntN(10)), Paused: r.IntN(5) == 0,
		Cadence: num(), CadenceSD: num(), Target: num(), Low: num(), High: num(), Pace: num(), TargetPace: num(), Unevenness: num(),
		Part: part(), Next: part(), Done: num(), Left: num(),
		Beat:   Beat{On: r.IntN(2) == 0, Playing: r.IntN(2) == 0, Mode: text, Level: num()},
		Volume: num(), Said: text, SaidAt: num(), Heard: num(), Trouble: text, Fault: text, FaultAt: num(), Log: text,
	}
}

func FuzzScreen(f *testing.F) {
	f.Add(uint64(1), "Mira Tal", uint16(80), uint16(24), false)
	f.Add(uint64(2), "渡辺\x1b[2J\r\n\xff\u200d👩‍👧", uint16(37), uint16(9), false)
	f.Add(uint64(3), "", uint16(3), uint16(2), true)
	f.Add(uint64(4), "\u0301\u0301é", uint16(61), uint16(31), true)
	f.Fuzz(func(t *testing.T, seed uint64, text string, w, h uint16, ascii bool) {
		if len(text) > 1000 {
			return
		}
		everyPage(t, anything(seed, text), ascii, int(w%400), int(h%120))
	})
}

// The marker never lies about the band, however narrow the gauge.
func TestMarkerTellsTheBand(t *testing.T) {
	for w := 6; w < 100; w++ {
		for c := 150.0; c < 230; c += 0.1 {
			s := Snapshot{State: InBand, Cadence: c, Target: 192, Low: 188, High: 196}
			switch {
			case c < s.Low:
				s.State = TooSlow
			case c > s.High:
				s.State = TooQuick
			}
			sc := s.newScale(w)
			in := sc.at >= sc.from && sc.at < sc.to
			if in != (s.State == InBand) || s.State == TooSlow && sc.at >= sc.from || s.State == TooQuick && sc.at < sc.to {
				t.Fatalf("width %d: %.1f steps/min is at column %d, the band at %d to %d", w, c, sc.at, sc.from, sc.to)
			}
		}
	}
}
