package cue

import (
	"bytes"
	"encoding/binary"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"steadfoot/audio"
)

// ITU-R BS.1770: a 997 Hz sine of full scale in one channel reads -3.01 LKFS.
func TestLoudnessOfReferenceTone(t *testing.T) {
	tone := sine(997, 1, 2*audio.Rate)
	for _, c := range []struct {
		name   string
		change func(f [2]float64) [2]float64
		want   float64
	}{
		{"left", func(f [2]float64) [2]float64 { return f }, -3.01},
		{"both", func(f [2]float64) [2]float64 { return [2]float64{f[0], f[0]} }, 0},
		{"a tenth", func(f [2]float64) [2]float64 { return [2]float64{f[0] / 10} }, -23.01},
	} {
		frames := make([][2]float64, len(tone))
		for i, f := range tone {
			frames[i] = c.change(f)
		}
		if got := Loudness(frames); math.Abs(got-c.want) > 0.02 {
			t.Errorf("%s: %.3f LKFS, want %.2f", c.name, got, c.want)
		}
	}
	if got := Loudness(make([][2]float64, 100)); !math.IsInf(got, -1) {
		t.Errorf("silence: %g LKFS", got)
	}
}

// The filter must fall where hearing does and rise above 2 kHz. The gains are
// the response of the BS.1770 coefficients relative to 997 Hz, computed from
// their transfer function here.
func TestKWeightResponse(t *testing.T) {
	gain := func(freq float64) float64 {
		z1 := complex(math.Cos(2*math.Pi*freq/audio.Rate), -math.Sin(2*math.Pi*freq/audio.Rate))
		shelf, high := kWeight()
		db := 0.0
		for _, f := range []biquad{shelf, high} {
			num := complex(f.b0, 0) + complex(f.b1, 0)*z1 + complex(f.b2, 0)*z1*z1
			den := 1 + complex(f.a1, 0)*z1 + complex(f.a2, 0)*z1*z1
			h := num / den
			db += 10 * math.Log10(real(h)*real(h)+imag(h)*imag(h))
		}
		return db
	}
	for _, freq := range []float64{50, 200, 2000, 6000} {
		want := gain(freq) - gain(997) - 3.01
		if got := Loudness(sine(freq, 1, 2*audio.Rate)); math.Abs(got-want) > 0.05 {
			t.Errorf("%g Hz: %.2f LKFS, want %.2f", freq, got, want)
		}
	}
}

// gridLoudness is the greatest momentary loudness at steps of 100 ms, as
// ffmpeg's meter takes it.
func gridLoudness(frames [][2]float64) float64 {
	power := kPower(frames)[:len(frames)]
	most := math.Inf(-1)
	for end := momentary; end <= len(power); end += audio.Rate / 10 {
		sum := 0.0
		for _, p := range power[end-momentary : end] {
			sum += p
		}
		most = max(most, lkfs(sum/momentary))
	}
	return most
}

func TestCuesAreEquallyLoud(t *testing.T) {
	for _, s := range All()[Start:] {
		if d := Loudness(bank()[s].frames) - Loudness(bank()[Start].frames); math.Abs(d) > 0.05 {
			t.Errorf("%v: %+.2f LU against start", s, d)
		}
	}
	left, right := energy(bank()[ClickLeft].frames), energy(bank()[ClickRight].frames)
	if d := 10 * math.Log10(left/right); math.Abs(d) > 0.05 {
		t.Errorf("left click: %+.2f dB of energy against right", d)
	}
}

// An independent meter on what the player puts out: ffmpeg's ebur128 must read
// what ours reads, and all cues within 1 LU, both by the greatest momentary and
// by the gated integrated loudness.
func TestLoudnessAgainstFFmpeg(t *testing.T) {
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("ffmpeg is not installed: no second loudness meter")
	}
	var low, high [2]float64
	for _, s := range All()[Start:] {
		p := newPlayer(t, Options{Volume: 1})
		mustPlay(t, p, s, audio.Rate)
		out := render(p, 3*audio.Rate)
		frames := make([][2]float64, len(out))
		for i, f := range out {
			frames[i] = [2]float64{float64(f[0]), float64(f[1])}
		}
		m, i := ebur128(t, ffmpeg, out)
		t.Logf("%-12v momentary %.1f, integrated %.1f LUFS; ours %.2f", s, m, i, gridLoudness(frames))
		if d := m - gridLoudness(frames); math.Abs(d) > 0.1 {
			t.Errorf("%v: ffmpeg %+.2f LU against ours", s, d)
		}
		for k, v := range []float64{m, i} {
			if s == Start {
				low[k], high[k] = v, v
			}
			low[k], high[k] = min(low[k], v), max(high[k], v)
		}
	}
	for k, what := range []string{"momentary", "integrated"} {
		if high[k]-low[k] > 1 {
			t.Errorf("cues span %.1f LU %s", high[k]-low[k], what)
		}
	}
}

var (
	momentaryLine  = regexp.MustCompile(` M:\s*(-?[\d.]+)`)
	integratedLine = regexp.MustCompile(`Integrated loudness:\s+I:\s*(-?[\d.]+)`)
)

func ebur128(t *testing.T, ffmpeg string, out []audio.Frame) (momentary, integrated float64) {
	t.Helper()
	var in bytes.Buffer
	if err := binary.Write(&in, binary.LittleEndian, out); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(ffmpeg, "-nostdin", "-hide_banner", "-f", "f32le", "-ar", "48000", "-ac", "2",
		"-i", "pipe:0", "-af", "ebur128=framelog=info", "-f", "null", "-")
	cmd.Stdin = &in
	text, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	momentary = math.Inf(-1)
	for _, m := range momentaryLine.FindAllSubmatch(text, -1) {
		v, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		momentary = max(momentary, v)
	}
	m := integratedLine.FindSubmatch(text)
	if m == nil {
		t.Fatalf("ffmpeg gave no integrated loudness:\n%s", text)
	}
	integrated, err = strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return momentary, integrated
}
