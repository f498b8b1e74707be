package cue

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"

	"steadfoot/audio"
)

func TestNames(t *testing.T) {
	for _, s := range All() {
		if got, ok := Named(s.String()); !ok || got != s {
			t.Errorf("Named(%q) = %v, %v", s, got, ok)
		}
	}
	if _, ok := Named("gong"); ok {
		t.Error("a gong was found")
	}
	if got := Sound(99).String(); got != "sound 99" {
		t.Error(got)
	}
}

// A frequency that is no whole number must still be exact after a long time.
func TestWaveIsExact(t *testing.T) {
	const freq = 987.654321 // 3600 s hold 3 555 555.5556 turns: sin(2π·0.5556)
	want := math.Sin(2 * math.Pi * (freq*3600 - 3555555))
	if got := wave(freq, 0, 3600*audio.Rate); math.Abs(got-want) > 1e-6 {
		t.Errorf("%.9f, want %.9f", got, want)
	}
}

// Every sound gives two strong partials between 1 and 3.1 kHz, and 95 % of its
// power stays between 500 Hz and 4 kHz: over wind, inside what old ears have.
func TestPowerLiesWhereItIsHeard(t *testing.T) {
	for _, s := range All() {
		power, hz := spectrum(heard(t, s, 0))
		band := func(lo, hi float64) float64 { return floats.Sum(power[int(lo/hz):int(hi/hz)]) }
		if share := band(500, 4000) / floats.Sum(power); share < 0.95 {
			t.Errorf("%v: only %.3f of the power in 500-4000 Hz", s, share)
		}
		strong := 0
		for lo := 1000.0; lo < 3100; lo += 350 { // partials of one note are further apart
			if band(lo, lo+350) > 0.02*floats.Sum(power) {
				strong++
			}
		}
		if strong < 2 {
			t.Errorf("%v: %d strong partials in 1-3.1 kHz", s, strong)
		}
	}
}

func TestFeetDifferInPitchAndSide(t *testing.T) {
	top := func(s Sound, ear int) float64 { // strongest frequency
		power, hz := spectrum(heard(t, s, ear))
		return float64(floats.MaxIdx(power)) * hz
	}
	for ear := range 2 {
		if ratio := top(ClickRight, ear) / top(ClickLeft, ear); ratio < 1.3 {
			t.Errorf("ear %d: right over left is %.2f in pitch", ear, ratio)
		}
	}
	for s, nearEar := range map[Sound]int{ClickLeft: 0, ClickRight: 1} {
		db := 20 * math.Log10(rms(heard(t, s, nearEar))/rms(heard(t, s, 1-nearEar)))
		if db < 2 || db > 6 {
			t.Errorf("%v: near ear %.2f dB over the far one", s, db)
		}
	}
	for _, s := range All()[Start:] {
		if d := rms(heard(t, s, 0)) - rms(heard(t, s, 1)); d != 0 {
			t.Errorf("%v leans to a side", s)
		}
	}
}

// What a listener tells cues apart by, measured from the sound. A note is s for
// short, under 0.15 s, or l; before it = + or - for its pitch against the note
// before, and a dot for a pause of half a second or more; after it ~ when it is
// rough, ~> when it is rough at its start only, > when it dies away.
func TestCuesHaveDifferentTraits(t *testing.T) {
	want := map[Sound]string{
		Start: "s=s=l", End: "l=l=l", Quicken: "l+l", Ease: "l-l", Settled: "l>", Hold: "l=l",
		Fade: "s-l-l", Uneven: "s=l=s=l", Lost: "l~=l~", Back: "l~>",
		Countdown: "s.=s.=s", RepStart: "l", HalfWay: "l+l-l", LastPart: "s+s+s",
		RepEnd: "s=s=s-l", Recovered: "s=s=s+l",
		Reminder: "s", Fault: "l~-l~-l~", Paused: "s-l+s-l", Resumed: "s+l-s+l", Lap: "s=s",
		Muted: "s~=s~=s~=s~", Quiet: "l~+l~", Loud: "l~-l~", Wind: "l~+l~-l~", Battery: "s~-s~-s~-s~",
	}
	seen := map[string]Sound{}
	for _, s := range All()[Start:] {
		got := measure(heard(t, s, 1))
		if got != want[s] {
			t.Errorf("%v: measured %q, want %q", s, got, want[s])
		}
		if other, ok := seen[got]; ok {
			t.Errorf("%v and %v cannot be told apart", s, other)
		}
		seen[got] = s
	}
}

func measure(x []float64) string {
	var b strings.Builder
	last, end := 0.0, 0
	for i, s := range segments(x) {
		head, tail := x[s[0]+400:s[0]+400+3200], x[s[1]-1000-3200:s[1]-1000]
		if i > 0 && s[0]-end > audio.Rate/2 {
			b.WriteByte('.')
		}
		now := pitch(head)
		switch {
		case i == 0:
		case now > 1.1*last:
			b.WriteByte('+')
		case now < 0.9*last:
			b.WriteByte('-')
		default:
			b.WriteByte('=')
		}
		if s[1]-s[0] < audio.Rate*15/100 {
			b.WriteByte('s')
		} else {
			b.WriteByte('l')
		}
		if roughness(head) > 0.2 {
			b.WriteByte('~')
		}
		if roughness(head) > 0.2 && roughness(tail) < 0.2 || rms(tail) < rms(head)/2 {
			b.WriteByte('>')
		}
		last, end = now, s[1]
	}
	return b.String()
}

// segments finds stretches of sound parted by at least 10 ms at under a tenth
// of the peak.
func segments(x []float64) (segs [][2]int) {
	limit := floats.Max(x) / 10
	last := -audio.Rate
	for i, v := range x {
		if math.Abs(v) < limit {
			continue
		}
		if i-last > audio.Rate/100 {
			segs = append(segs, [2]int{i, i})
		}
		segs[len(segs)-1][1], last = i, i
	}
	return segs
}

// pitch is the fundamental of x in Hz by autocorrelation, 400 to 1400 Hz.
func pitch(x []float64) float64 {
	best, at := 0.0, 0
	for lag := audio.Rate / 1400; lag <= audio.Rate/400; lag++ {
		a, b := x[:len(x)-lag], x[lag:]
		if r := floats.Dot(a, b) / (floats.Norm(a, 2) * floats.Norm(b, 2)); r > best+0.02 {
			best, at = r, lag
		}
	}
	return audio.Rate / float64(at)
}

// roughness is the depth of level changes at 40 to 110 Hz, against the mean level.
func roughness(x []float64) float64 {
	const frame = 120 // 2.5 ms
	level := make([]float64, len(x)/frame)
	for i := range level {
		level[i] = rms(x[i*frame : (i+1)*frame])
	}
	mean := floats.Sum(level) / float64(len(level))
	depth := 0.0
	for f := 40.0; f <= 110; f += 5 {
		var re, im float64
		for i, v := range level {
			sin, cos := math.Sincos(2 * math.Pi * f * float64(i*frame) / audio.Rate)
			re, im = re+(v-mean)*cos, im+(v-mean)*sin
		}
		depth = max(depth, 2*math.Hypot(re, im)/float64(len(level))/mean)
	}
	return depth
}
