package cue

import (
	"bytes"
	"encoding/binary"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/floats"

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
		shelf, high := kWeight()
		return 20 * math.Log10(shelf.response(freq)*high.response(freq))
	}
	for _, freq := range []float64{50, 200, 2000, 6000} {
		want := gain(freq) - gain(997) - 3.01
		if got := Loudness(sine(freq, 1, 2*audio.Rate)); math.Abs(got-want) > 0.05 {
			t.Errorf("%g Hz: %.2f LKFS, want %.2f", freq, got, want)
		}
	}
}

// gridLoudness is the momentary loudness every 100 ms, as ffmpeg's meter takes it:
// element k is that of the 400 ms before (k+1)/10 s.
func gridLoudness(frames [][2]float64) []float64 {
	power := powerOf(frames)[:len(frames)]
	var all []float64
	for end := audio.Rate / 10; end <= len(power); end += audio.Rate / 10 {
		all = append(all, lkfs(floats.Sum(power[max(0, end-momentary):end])/momentary))
	}
	return all
}

// everyClip gives all cues of all layers by name, with recordings among them.
func everyClip(t testing.TB) (names []string, clips []*Clip) {
	folder := recordings(t)
	for _, layer := range []Layer{Tones, Speech} {
		v, _ := newVoice(t, layer, "")
		for _, name := range Names() {
			names = append(names, layer.String()+" "+name)
			clips = append(clips, clipOf(t, v, name, 192, ""))
		}
	}
	v, _ := newVoice(t, Lines, folder)
	for _, name := range v.Recorded() {
		names = append(names, "line "+name)
		clips = append(clips, clipOf(t, v, "reminder", 0, name))
	}
	for d := range 10 {
		names = append(names, "digit "+strconv.Itoa(d))
		clips = append(clips, clipOf(t, v, "cadence", float64(d), ""))
	}
	return names, clips
}

func TestCuesAreEquallyLoud(t *testing.T) {
	names, clips := everyClip(t)
	for i, c := range clips {
		if d := Loudness(c.frames()) - CueLoudness; math.Abs(d) > 0.5 {
			t.Errorf("%s: %+.2f LU against the others", names[i], d)
		}
		if p := peakOf(c.frames()); p > roomPeak*(1+1e-6) {
			t.Errorf("%s: peak %.4f leaves no room for a click", names[i], p)
		}
	}
	left, right := powerOf(bank()[ClickLeft].frames()), powerOf(bank()[ClickRight].frames())
	if d := 10 * math.Log10(floats.Sum(left)/floats.Sum(right)); math.Abs(d) > 0.05 {
		t.Errorf("left click: %+.2f dB of energy against right", d)
	}
}

// An independent meter on what the player puts out, all cues of all layers one
// after another: ffmpeg's ebur128 must read the momentary loudness that ours
// reads, within 0.1 LU, and all of them within 1 LU.
func TestLoudnessAgainstFFmpeg(t *testing.T) {
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("ffmpeg is not installed: no second loudness meter")
	}
	names, clips := everyClip(t)
	p := newPlayer(t, Options{Volume: 1})
	var frames [][2]float64
	var ends []int // of each clip and the silence after it, in tenths of a second
	for _, c := range clips {
		if err := p.PlayClip(c, p.EarliestClip(c)); err != nil {
			t.Fatal(err)
		}
		tenths := int(math.Ceil(10*c.Seconds())) + 5
		for _, f := range render(p, tenths*audio.Rate/10) {
			frames = append(frames, [2]float64{float64(f[0]), float64(f[1])})
		}
		ends = append(ends, len(frames)*10/audio.Rate)
	}
	ours, theirs := gridLoudness(frames), ebur128(t, ffmpeg, frames)
	if len(theirs) < len(ours)-1 {
		t.Fatalf("ffmpeg gave %d readings, want %d", len(theirs), len(ours))
	}
	low, high, from := math.Inf(1), math.Inf(-1), 0
	for i, name := range names {
		a, b := floats.Max(ours[from:ends[i]-1]), floats.Max(theirs[from:ends[i]-1])
		if math.Abs(a-b) > 0.1 {
			t.Errorf("%v: ffmpeg %.1f LUFS, ours %.2f", name, b, a)
		}
		low, high, from = min(low, b), max(high, b), ends[i]
	}
	t.Logf("%d cues from %.1f to %.1f LUFS", len(names), low, high)
	if high-low > 1 {
		t.Errorf("cues span %.1f LU", high-low)
	}
}

var momentaryLine = regexp.MustCompile(` M:\s*(\S+)`)

// ebur128 is the momentary loudness every 100 ms by ffmpeg.
func ebur128(t *testing.T, ffmpeg string, frames [][2]float64) (all []float64) {
	t.Helper()
	var in bytes.Buffer
	if err := binary.Write(&in, binary.LittleEndian, frames); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(ffmpeg, "-nostdin", "-hide_banner", "-f", "f64le", "-ar", "48000", "-ac", "2",
		"-i", "pipe:0", "-af", "ebur128=framelog=info", "-f", "null", "-")
	cmd.Stdin = &in
	text, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	for _, m := range momentaryLine.FindAllSubmatch(text, -1) {
		v, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(v) { // silence
			v = math.Inf(-1)
		}
		all = append(all, v)
	}
	return all
}
