package screen

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"

	"steadfoot/coach/event"
)

// hand presses keys on a model and notes what the walk was asked for.
type hand struct {
	t     *testing.T
	m     tea.Model
	asked []string
	deny  bool
}

func newHand(t *testing.T, s Snapshot, caution string) *hand {
	h := &hand{t: t}
	o := Options{In: strings.NewReader(""), Caution: caution, Wishes: Wishes{
		Mark: func(m event.Mark) bool {
			h.asked = append(h.asked, strings.TrimSuffix(fmt.Sprintf("%s %g", m.Name, m.Value), " 0"))
			return !h.deny
		},
		Volume: func(n int) bool {
			h.asked = append(h.asked, fmt.Sprintf("volume %d", n))
			return !h.deny
		},
	}}
	h.m = newModel(o, func() Snapshot { return s })
	h.m, _ = h.m.Update(tick(s))
	return h
}

// press gives keys to the model, and back what its commands answer. It tells
// whether the screen wants to end.
func (h *hand) press(keys ...tea.KeyPressMsg) (quit bool) {
	for _, k := range keys {
		var cmd tea.Cmd
		h.m, cmd = h.m.Update(k)
		if cmd == nil {
			continue
		}
		switch msg := cmd().(type) {
		case tea.QuitMsg:
			return true
		case refused:
			h.m, _ = h.m.Update(msg)
		}
	}
	return false
}

func (h *hand) frames(n int, s Snapshot) {
	for range n {
		h.m, _ = h.m.Update(tick(s))
	}
}

func (h *hand) sees(text string) bool {
	return strings.Contains(styling.ReplaceAllString(h.m.View().Content, ""), text)
}

func r(c rune) tea.KeyPressMsg { return tea.KeyPressMsg{Code: c, Text: string(c)} }

func code(c rune) tea.KeyPressMsg { return tea.KeyPressMsg{Code: c} }

var ctrlC = tea.KeyPressMsg{Code: 'c', Mod: tea.ModCtrl}

func TestKeys(t *testing.T) {
	running := Snapshot{State: InBand, Beat: Beat{On: true, Playing: true}}
	paused := Snapshot{State: InBand, Paused: true}
	for _, c := range []struct {
		key  tea.KeyPressMsg
		snap Snapshot
		want string
	}{
		{code(tea.KeySpace), running, "lap"},
		{code(tea.KeyEnter), running, "lap"},
		{r('n'), running, "skip"},
		{r('p'), running, "pause"},
		{r('p'), paused, "resume"},
		{r('P'), paused, "resume"},
		{code(tea.KeyUp), running, "target 1"},
		{code(tea.KeyDown), running, "target -1"},
		{r('+'), running, "volume 1"},
		{r('='), running, "volume 1"},
		{r('-'), running, "volume -1"},
		{r('b'), running, "beat off"},
		{r('b'), paused, "beat on"},
		{r('x'), running, ""},
		{r('y'), running, ""},
		{code(tea.KeyEsc), running, ""},
		{r('é'), running, ""},
	} {
		h := newHand(t, c.snap, "")
		if h.press(c.key) {
			t.Errorf("%s ended the walk", c.key)
		}
		if got := strings.Join(h.asked, ", "); got != c.want {
			t.Errorf("%s asks for %q, want %q", c.key, got, c.want)
		}
	}
}

// Only y after q, or Ctrl-C, ends a walk.
func TestEnd(t *testing.T) {
	s := Snapshot{State: InBand}
	h := newHand(t, s, "")
	if h.press(r('q')) || !h.sees("End this walk?") {
		t.Fatal("q must ask")
	}
	if h.press(r('n')) || len(h.asked) > 0 || h.sees("End this walk?") {
		t.Fatalf("another key must only take the question away; asked for %v", h.asked)
	}
	if h.press(r('y')) {
		t.Fatal("y alone ended the walk")
	}
	h.press(r('q'))
	h.frames(patience, s)
	if h.sees("End this walk?") || h.press(r('y')) {
		t.Fatal("the question waited too long")
	}
	if !h.press(r('q'), r('y')) || !h.m.(Model).ended {
		t.Fatal("q y did not end the walk")
	}
	for _, before := range [][]tea.KeyPressMsg{{}, {r('?')}, {r('q')}} {
		h := newHand(t, s, "Mind the traffic.")
		h.press(before...)
		if !h.press(ctrlC) || !h.m.(Model).ended {
			t.Errorf("Ctrl-C after %v did not end the walk", before)
		}
	}
}

func TestPages(t *testing.T) {
	s := Snapshot{State: TooSlow, Cadence: 180, Target: 192, Low: 188, High: 196}
	h := newHand(t, s, "Keep one ear open near traffic.")
	if !h.sees("one ear open") || h.sees("TOO SLOW") {
		t.Error("the caution does not come first")
	}
	h.press(code(tea.KeySpace))
	if len(h.asked) > 0 || !h.sees("TOO SLOW") {
		t.Error("the key that takes away the caution must do nothing else")
	}
	h.press(r('?'))
	for _, w := range wishes {
		if !h.sees(w.shown) || !h.sees(w.what) {
			t.Errorf("the help does not explain %s", w.shown)
		}
	}
	h.press(r('b'))
	if len(h.asked) > 0 || h.sees("any key goes back") {
		t.Error("the key that leaves the help must do nothing else")
	}
	golden(t, "help", framed(styling.ReplaceAllString(help(&s, &blockGlyphs, 80, 24).render(80, 24), ""), 80, 24))
}

// What was asked for is confirmed for a while, and a refusal is told.
func TestNotes(t *testing.T) {
	s := Snapshot{State: InBand}
	h := newHand(t, s, "")
	h.press(code(tea.KeyUp))
	if !h.sees("target up by 1") {
		t.Error("no word about the key")
	}
	h.frames(noteStays, s)
	if h.sees("target up by 1") {
		t.Error("the word stays for ever")
	}
	h.deny = true
	h.press(code(tea.KeyUp))
	if !h.sees(refusal) {
		t.Error("a refusal is not told")
	}
}

// A frame without news keeps the text, so that nothing is drawn again.
func TestNothingNew(t *testing.T) {
	s := made()[2].snap
	m, _ := newModel(Options{}, nil).Update(tick(s))
	was := m.View().Content
	if n := testing.AllocsPerRun(100, func() { _, _ = m.Update(tick(s)) }); n > 10 {
		t.Errorf("%v allocations for a frame without news", n)
	}
	if m.View().Content != was || m.(Model).snap != s {
		t.Error("the screen changed")
	}
}

// Without any colour the three verdicts differ in words, sign and place.
func TestVerdictsWithoutColour(t *testing.T) {
	var seen []string
	for _, m := range made() {
		if !slices.Contains([]string{"right", "too-slow", "too-quick"}, m.name) {
			continue
		}
		for _, g := range []*glyphs{&blockGlyphs, &asciiGlyphs} {
			rows := m.snap.gauge(g, 30, 8)
			sc := m.snap.newScale(30)
			sign := map[string]string{"right": g.right, "too-slow": g.rightward, "too-quick": g.leftward}[m.name]
			if text := rows.render(30, 8); !strings.Contains(text, sign) || !strings.Contains(text, string(g.marker)) {
				t.Errorf("%s has no sign %q or no marker:\n%s", m.name, sign, text)
			}
			seen = append(seen, fmt.Sprint(sc.at < sc.from, sc.at >= sc.to, m.snap.verdict().word))
		}
	}
	slices.Sort(seen)
	if n := len(slices.Compact(seen)); n != 3 {
		t.Errorf("%d different verdicts, want 3: %v", n, seen)
	}
}

// luminance is the relative luminance of sRGB as WCAG 2.1 defines it.
func luminance(c color.Color) float64 {
	lin := func(v uint32) float64 {
		x := float64(v) / 0xffff
		if x <= 0.03928 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	r, g, b, _ := c.RGBA()
	return 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
}

// Both colours can be seen on black and on white: a contrast of at least 3:1,
// what WCAG 2.1 (success criterion 1.4.11) asks for large shapes.
func TestContrast(t *testing.T) {
	for _, c := range []string{blue, orange} {
		l := luminance(lipgloss.Color(c))
		if onBlack, onWhite := (l+0.05)/0.05, 1.05/(l+0.05); onBlack < 3 || onWhite < 3 {
			t.Errorf("%s: %.1f:1 on black, %.1f:1 on white", c, onBlack, onWhite)
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	s := made()[3].snap
	m := newModel(Options{}, func() Snapshot { return s })
	b.ReportAllocs()
	for i := range b.N {
		s.Time = float64(i)
		_, _ = m.Update(tick(s))
	}
}
