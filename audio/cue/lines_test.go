package cue

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"steadfoot/audio"
)

// record writes seconds of f as a mono WAV at the given rate.
func record(t testing.TB, path string, rate int, seconds float64, f func(t float64) float64) {
	t.Helper()
	x := make([]float32, int(seconds*float64(rate)))
	for i := range x {
		x[i] = float32(f(float64(i) / float64(rate)))
	}
	if err := audio.WriteWAV(path, rate, 1, audio.S16, x); err != nil {
		t.Fatal(err)
	}
}

// kinds are recordings that are hard to level, by name: a whisper, a shout, a
// voice-like pulse train with high peaks, and one word after a long silence.
func kinds() map[string]func(t float64) float64 {
	r := rand.New(rand.NewPCG(7, 9))
	return map[string]func(t float64) float64{
		"whisper": func(float64) float64 { return 0.003 * r.NormFloat64() },
		"shout":   func(t float64) float64 { return max(-1, min(1, 3*math.Sin(2*math.Pi*440*t))) },
		"pulses": func(t float64) float64 {
			since := math.Mod(t, 1./110)
			return 0.8 * math.Exp(-since/0.0016) * math.Cos(2*math.Pi*1500*since)
		},
		"late": func(t float64) float64 {
			if t < 0.6 || t > 1.1 {
				return 0
			}
			return 0.1 * math.Sin(2*math.Pi*700*t)
		},
	}
}

// recordings makes a folder of the kinds.
func recordings(t testing.TB) string {
	dir := t.TempDir()
	for name, f := range kinds() {
		record(t, filepath.Join(dir, name+".wav"), 44100, 1.2, f)
	}
	return dir
}

func newVoice(t testing.TB, layer Layer, folder string) (*Voice, []string) {
	t.Helper()
	v, warnings, err := NewVoice(layer, folder)
	if err != nil {
		t.Fatal(err)
	}
	return v, warnings
}

func clipOf(t testing.TB, v *Voice, name string, value float64, line string) *Clip {
	t.Helper()
	c, ok := v.Clip(name, value, line)
	if !ok {
		t.Fatalf("no sound for %q", name)
	}
	return c
}

func TestLinesAreReadAndTrimmed(t *testing.T) {
	dir := recordings(t)
	for _, ext := range []string{"flac", "ogg", "mp3"} { // fractions of a second
		data, err := os.ReadFile("../testdata/tiny." + ext)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, ext+"."+ext), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	v, _ := newVoice(t, Tones, dir)
	want := []string{"flac", "late", "mp3", "ogg", "pulses", "shout", "whisper"}
	if got := v.Recorded(); !slices.Equal(got, want) {
		t.Errorf("read %q, want %q", got, want)
	}
	if got := clipOf(t, v, "reminder", 0, "late").Seconds(); math.Abs(got-0.52) > 0.01 {
		t.Errorf("half a second of sound with 10 ms before and after it is %.3f s", got)
	}
	if got := clipOf(t, v, "reminder", 0, "shout").Seconds(); math.Abs(got-1.2) > 0.02 {
		t.Errorf("1.2 s of sound are %.3f s", got)
	}
}

// Peaks are turned down smoothly: the gain hardly changes from a sample to the
// next, where clipping would have it change with the wave.
func TestLinesAreLimitedNotClipped(t *testing.T) {
	x := make([]float64, audio.Rate)
	f := kinds()["pulses"]
	for i := range x {
		x[i] = f(float64(i) / audio.Rate)
	}
	y, short := level(x)
	if short > 0.1 {
		t.Errorf("%.2f LU too quiet", short)
	}
	if p := peak(y); p > roomPeak || p < 0.99*roomPeak {
		t.Errorf("peak %.4f, want %.4f: this tried nothing", p, roomPeak)
	}
	least, most, worst, last := math.Inf(1), 0.0, 0.0, 0.0
	for i := range x {
		if math.Abs(x[i]) < 1e-3 {
			continue
		}
		g := y[i] / x[i]
		least, most = min(least, g), max(most, g)
		if last > 0 && math.Abs(x[i-1]) >= 1e-3 {
			worst = max(worst, math.Abs(g/last-1))
		}
		last = g
	}
	if down := 20 * math.Log10(most/least); worst > 0.02 || down < 3 {
		t.Errorf("the gain jumps by %.3f from one sample to the next, and turns the peaks down by %.1f dB", worst, down)
	}
}

func TestLinesTakeTurns(t *testing.T) {
	dir := t.TempDir()
	for i, name := range []string{"quicken 1", "quicken 2", "Quicken_10", "posture", "9", "Warm-Up"} {
		record(t, filepath.Join(dir, name+".wav"), 16000, 0.3+0.1*float64(i), kinds()["shout"])
	}
	v, _ := newVoice(t, Lines, dir)
	var got []string
	for range 4 {
		got = append(got, fmt.Sprintf("%.1f", clipOf(t, v, "quicken", 0, "").Seconds()))
	}
	// In the order of the files' names, capitals first.
	if want := []string{"0.5", "0.3", "0.4", "0.5"}; !slices.Equal(got, want) {
		t.Errorf("lengths %v, want %v", got, want)
	}
	if a, b := clipOf(t, v, "quicken 2", 0, ""), clipOf(t, v, "reminder", 0, "quicken 2"); a != b {
		t.Error("a take cannot be asked for by its full name")
	}
	for _, name := range []string{"Warm-Up", "warm-up", "warm up"} {
		if c := clipOf(t, v, "reminder", 0, name); math.Abs(c.Seconds()-0.8) > 0.01 {
			t.Errorf("%q is not Warm-Up.wav", name)
		}
	}
	tones, _ := newVoice(t, Tones, dir)
	if clipOf(t, tones, "quicken", 0, "") != bank()[Quicken] {
		t.Error("the layer of tones speaks")
	}
	if c := clipOf(t, tones, "reminder", 0, "posture"); math.Abs(c.Seconds()-0.6) > 0.01 {
		t.Error("a reminder is not the coach's own line in every layer")
	}
	if clipOf(t, v, "ease", 0, "") != speech().cues[Ease] || clipOf(t, v, "reminder", 0, "hips") != bank()[Reminder] {
		t.Error("what has no recording is not spoken, or has no tone")
	}
	if c := clipOf(t, v, "cadence", 99, ""); math.Abs(c.Seconds()-1.4-gap) > 0.02 {
		t.Errorf("99 by two recordings of 0.7 s takes %.2f s", c.Seconds())
	}
	if c := clipOf(t, v, "cadence", 199, ""); c.Seconds() > 1.4 {
		t.Error("a figure is told in two voices")
	}
}

func TestLinesThatCannotBeUsed(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	record(t, in("silent.wav"), 48000, 1, func(float64) float64 { return 0 })
	record(t, in("hum.wav"), 48000, 1, func(t float64) float64 { return 0.0005 * math.Sin(2*math.Pi*50*t) })
	record(t, in("long.wav"), 8000, 10.1, kinds()["shout"])
	record(t, in("snap.wav"), 48000, 1, func(t float64) float64 {
		return map[bool]float64{true: 0.9}[t > 0.5 && t < 0.5001]
	})
	for name, text := range map[string]string{"notes.txt": "posture", "text.wav": "posture", "empty.wav": "", ".hidden": "\x00"} {
		if err := os.WriteFile(in(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(in("older"), 0o700); err != nil {
		t.Fatal(err)
	}
	v, warnings := newVoice(t, Lines, dir)
	want := []string{"empty.wav", "hum.wav: silent", "long.wav: longer than 10 s", "silent.wav: silent", "snap.wav: too much", "text.wav"}
	if len(warnings) != len(want) {
		t.Errorf("%d warnings, want %d: %q", len(warnings), len(want), warnings)
	}
	for i := range min(len(want), len(warnings)) {
		if !strings.Contains(warnings[i], want[i]) || strings.Contains(warnings[i], "\n") {
			t.Errorf("warning %q, want one line with %q", warnings[i], want[i])
		}
	}
	if got := v.Recorded(); !slices.Equal(got, []string{"snap"}) {
		t.Errorf("used %q", got)
	}
	if _, _, err := NewVoice(Lines, in("nowhere")); err == nil {
		t.Error("a folder that is not there was taken")
	}
}

func TestSpans(t *testing.T) {
	for _, layer := range []Layer{Tones, Speech} {
		v, _ := newVoice(t, layer, "")
		if got := v.Spans(); len(got) != 1 || got["countdown"] != 3 {
			t.Errorf("%v: %v; want all but the countdown within %g s", layer, got, LongCue)
		}
		for _, name := range Names() {
			if c := clipOf(t, v, name, 200, ""); c.Seconds() > LongCue && name != "countdown" {
				t.Errorf("%v: %s lasts %.2f s", layer, name, c.Seconds())
			}
		}
		if got := v.longestFigure(); got > LongCue {
			t.Errorf("a figure may last %.2f s", got)
		}
	}
	dir := t.TempDir()
	for name, seconds := range map[string]float64{"hold 1": 2.5, "hold 2": 3, "posture": 4, "ease": 1} {
		record(t, filepath.Join(dir, name+".wav"), 16000, seconds, kinds()["shout"])
	}
	v, _ := newVoice(t, Lines, dir)
	got := v.Spans()
	for name, want := range map[string]float64{"countdown": 3, "hold": 3, "reminder:posture": 4, "reminder:hold": 3} {
		if math.Abs(got[name]-want) > 0.02 {
			t.Errorf("%s: %.2f s, want %g", name, got[name], want)
		}
	}
	if _, ok := got["ease"]; ok {
		t.Error("a short recording is listed as long")
	}
}

func TestFiguresThatAreNone(t *testing.T) {
	v, _ := newVoice(t, Speech, "")
	for _, x := range []float64{-1, 999.6, math.NaN(), math.Inf(1)} {
		if _, ok := v.Clip("cadence", x, ""); ok {
			t.Errorf("%g was told", x)
		}
	}
	for _, name := range []string{"", "gong", "click left"} {
		if _, ok := v.Clip(name, 0, ""); ok {
			t.Errorf("%q is a cue", name)
		}
	}
	if clipOf(t, v, "cadence", 191.6, "") != clipOf(t, v, "cadence", 192, "") {
		t.Error("191.6 is not told as 192")
	}
}

func TestLayers(t *testing.T) {
	for _, l := range []Layer{Tones, Speech, Lines} {
		if got, err := ParseLayer(l.String()); got != l || err != nil {
			t.Errorf("%v is read as %v, %v", l, got, err)
		}
	}
	if _, err := ParseLayer("song"); err == nil {
		t.Error("a song was taken")
	}
	if got := Layer(7).String(); got != "layer 7" {
		t.Error(got)
	}
}

func TestEveryCueIsDescribed(t *testing.T) {
	for _, name := range Names() {
		if tones, said := Describe(name); tones == "" || said == "" {
			t.Errorf("%s: %q, %q", name, tones, said)
		}
	}
	if tones, said := Describe("gong"); tones+said != "" {
		t.Error("a gong is described")
	}
}
