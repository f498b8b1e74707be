package trial

import (
	"fmt"
	"slices"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// Both is one walk that is heard and felt at once.
type Both struct {
	Group string
	Sound made.Spec       // without a Cadence there is no sound at all
	Felt  made.MotionSpec // its steps are those of Sound
	Late  float64         // by which the times of the rows are late, s
}

// places are those at which a sensor may be worn, in the order of the cases.
var places = []made.Place{made.Waist, made.Wrist, made.Pocket, made.Armband}

// Boths are walks of 30 s that are heard and felt, each walks of a kind.
func Boths(each int) []Both {
	var all []Both
	for k, g := range []struct {
		group  string
		change func(*Both, int)
	}{
		{"clean", func(*Both, int) {}},
		{"pink -10 dB", func(b *Both, _ int) { b.noise(made.Pink, -10) }},
		{"wind -6 dB", func(b *Both, _ int) { b.noise(made.Wind, -6) }},
		{"soft grass", func(b *Both, _ int) { b.Sound.Surface = surface([]string{"grass"}, 0); b.noise(made.Pink, 0) }},
		{"sensor on a table", func(b *Both, _ int) { b.Felt.Cadence = nil }},
		{"no sound", func(b *Both, _ int) { b.Sound.Level = -300 }},
		{"sensor 0.2 s late", func(b *Both, _ int) { b.noise(made.Pink, 0); b.Late = 0.2 }},
		{"pink -12 dB and busy hands", func(b *Both, _ int) {
			b.noise(made.Pink, -12)
			b.Felt.Place, b.Felt.Gestures = made.Wrist, 0.5
		}},
	} {
		for i := range each {
			b := Both{Group: g.group, Sound: walker(800+7*i+k, made.Steady(cadences[(i+k)%len(cadences)]))}
			b.Felt = made.MotionSpec{Seed: b.Sound.Seed, Duration: b.Sound.Duration, Gait: b.Sound.Gait, Place: places[(i+k)%len(places)], Turning: 0.3}
			g.change(&b, i)
			all = append(all, b)
		}
	}
	return all
}

func (b *Both) noise(kind made.Kind, snr float64) {
	b.Sound.Noises = []made.Noise{{Kind: kind, SNR: snr}}
}

// Walk makes sound and rows, and the truth about them.
func (b Both) Walk() (made.Walk, []made.Row, Truth) {
	w := b.Sound.Walk()
	rows := b.Felt.Motion().Rows
	for i := range rows {
		rows[i].T += b.Late
	}
	return w, rows, Of(w)
}

// HearBoth runs the sound detector over a recording and the rows of a sensor that
// was worn meanwhile. Each row is fed when its time has come, as in a live walk.
func HearBoth(samples []float32, rate float64, rows []made.Row) (Heard, error) {
	d, err := detect.NewSound(detect.SoundConfig{Rate: rate, Felt: true})
	if err != nil {
		return Heard{}, err
	}
	var h Heard
	var events []detect.Event
	for fed := 0; fed < len(samples); {
		n := min(int(rate*pieceS), len(samples)-fed)
		for len(rows) > 0 && rows[0].T <= float64(fed)/rate {
			r := rows[0]
			if err := d.Feel(r.T, r.X, r.Y, r.Z); err != nil {
				return Heard{}, fmt.Errorf("joined: %w", err)
			}
			rows = rows[1:]
		}
		events = d.Feed(events[:0], samples[fed:fed+n])
		fed += n
		h.add(events, float64(fed)/rate)
	}
	h.add(d.Flush(events[:0]), float64(len(samples))/rate)
	return h, nil
}

// Centred is h with its steps moved by the median of how far they are off, as far
// as that is within reach s: what a sensor told of the steps if it were known where
// it is worn and how late it is.
func Centred(h Heard, truth Truth, reach float64) Heard {
	var off []float64
	for _, t := range h.Times {
		best := reach
		found := false
		for _, s := range truth.Times {
			if d := t - s; d >= -reach/4 && d < best {
				best, found = d, true
			}
		}
		if found {
			off = append(off, best)
		}
	}
	if len(off) == 0 {
		return h
	}
	slices.Sort(off)
	c := h
	c.Times = slices.Clone(h.Times)
	for i := range c.Times {
		c.Times[i] -= off[len(off)/2]
	}
	return c
}
