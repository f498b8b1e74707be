package trial

import (
	"math"
	"slices"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// Both is one walk that is heard and felt at once.
type Both struct {
	Group string
	Sound made.Spec
	Mute  bool            // the sound is digital silence
	Felt  made.MotionSpec // its steps are those of Sound
	Late  float64         // by which the times of the rows are late, s
}

// places are those at which a sensor may be worn, in the order of the cases.
var places = []made.Place{made.Waist, made.Wrist, made.Pocket, made.Armband}

// The groups of Boths with a bar of their own.
const (
	BothFailGroup = "pink -12 dB, busy hands" // neither does well alone
	HandsGroup    = "nobody walks, busy hands"
)

// Boths are walks of 30 s that are heard and felt, each walks of a kind.
func Boths(each int) []Both {
	var all []Both
	for k, g := range []struct {
		group  string
		change func(*Both)
	}{
		{"clean", func(*Both) {}},
		{"pink -10 dB", func(b *Both) { b.noise(made.Pink, -10) }},
		{"wind -6 dB", func(b *Both) { b.noise(made.Wind, -6) }},
		{"grass, pink +0 dB", func(b *Both) { b.noise(made.Pink, 0); b.Sound.Surface = footsteps.Surface("grass") }},
		{"sensor on a table", func(b *Both) { b.Felt.Cadence = nil }},
		{"no sound", func(b *Both) { b.Mute = true }},
		{"pink +0 dB, sensor 0.2 s late", func(b *Both) { b.noise(made.Pink, 0); b.Late = 0.2 }},
		{BothFailGroup, func(b *Both) { b.noise(made.Pink, -12); b.Felt.Place, b.Felt.Gestures = made.Wrist, 0.5 }},
	} {
		for i := range each {
			b := Both{Group: g.group, Sound: walker(800+7*i+k, made.Steady(cadences[(i+k)%len(cadences)]))}
			b.Felt = made.MotionSpec{
				Seed: b.Sound.Seed, Duration: b.Sound.Duration, Gait: b.Sound.Gait,
				Place: places[(i+k)%len(places)], Turning: 0.3,
			}
			g.change(&b)
			all = append(all, b)
		}
	}
	return all
}

// Hands are stretches of a minute in which nobody walks, with hands that move and
// noise, so many of them.
func Hands(count int) []Both {
	var all []Both
	for i, c := range Idle()[1:] {
		if i == count {
			break
		}
		b := Both{Group: HandsGroup, Felt: c.Spec, Sound: made.Spec{Seed: uint64(i), Duration: 60}}
		b.Sound.Noises = []made.Noise{[]made.Noise{{Kind: made.Voices, Count: 4}, {Kind: made.Wind}, {Kind: made.Pink}}[i%3]}
		b.Felt.Duration = b.Sound.Duration
		all = append(all, b)
	}
	return all
}

func (b *Both) noise(kind made.Kind, snr float64) {
	b.Sound.Noises = []made.Noise{{Kind: kind, SNR: snr}}
}

// Walk makes sound and rows, and the truth about them.
func (b Both) Walk() (made.Walk, []made.Row, Truth) {
	w := b.Sound.Walk()
	if b.Mute {
		clear(w.Samples)
	}
	rows := b.Felt.Motion().Rows
	for i := range rows {
		rows[i].T += b.Late
	}
	return w, rows, Of(w)
}

// HearBoth runs the sound detector over a recording and the rows of a sensor that
// was worn meanwhile. Each row is fed when its time has come, as in a live walk.
func HearBoth(samples []float32, rate float64, rows []made.Row) (Heard, error) {
	return hear(detect.SoundConfig{Rate: rate, Felt: true}, samples, rows)
}

// Centred is h with its steps moved by the median of how far they are off: what a
// sensor told of the steps if it were known where it is worn and how late it is.
// An error is looked for from 75 ms before a step to 300 ms after it.
func Centred(h Heard, truth Truth) Heard {
	var off []float64
	for _, t := range h.Times {
		best := math.Inf(1)
		for _, s := range truth.Times {
			if d := t - s; d >= -0.075 && d < best {
				best = d
			}
		}
		if best < 0.300 {
			off = append(off, best)
		}
	}
	if len(off) == 0 {
		return h
	}
	slices.Sort(off)
	h.Times = slices.Clone(h.Times)
	for i := range h.Times {
		h.Times[i] -= off[len(off)/2]
	}
	return h
}

// Judged is how well a walk that is heard and felt was found in each way.
type Judged struct {
	Sound, Felt, Joined Outcome
	FeltCentred         Outcome // as of Centred: a bound, for nobody knows its lag
}

// Judge makes the walk of b and has it found in each way.
func (b Both) Judge() (j Judged, err error) {
	w, rows, truth := b.Walk()
	sound, err := Hear(w.Samples, w.Rate)
	if err != nil {
		return j, err
	}
	felt, err := HearMotion(rows)
	if err != nil {
		return j, err
	}
	for i := range felt.Times { // its times count from the first row
		felt.Times[i] += rows[0].T
	}
	joined, err := HearBoth(w.Samples, w.Rate, rows)
	if err != nil {
		return j, err
	}
	return Judged{Judge(sound, truth), Judge(felt, truth), Judge(joined, truth), Judge(Centred(felt, truth), truth)}, nil
}

// Add joins what was found in another walk to j.
func (j *Judged) Add(o Judged) {
	j.Sound.Add(o.Sound)
	j.Felt.Add(o.Felt)
	j.Joined.Add(o.Joined)
	j.FeltCentred.Add(o.FeltCentred)
}

// Gain is by how much F within 50 ms is better than that of the better of the two
// alone.
func (j Judged) Gain() float64 {
	return j.Joined.At50.F() - max(j.Sound.At50.F(), j.Felt.At50.F())
}
