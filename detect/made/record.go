package made

import "math"

// Mic is a microphone's response.
type Mic uint8

// Flat changes nothing. Phone has little below 150 Hz and above 9 kHz; Earbud
// is a wireless headset in call mode, 200 Hz to 7 kHz.
const (
	Flat Mic = iota
	Phone
	Earbud
)

// record turns the sum of all sounds, with the steps at unit power, into what
// a recorder would have written.
func (s Spec) record(sum []float64) []float64 {
	switch s.Mic {
	case Phone:
		highPass(sum, s.Rate, 150)
		lowPass(sum, s.Rate, 9000)
	case Earbud:
		highPass(sum, s.Rate, 200)
		lowPass(sum, s.Rate, 7000)
	}
	scale(sum, amplitude(s.Level))
	if s.Gain != nil {
		for i := range sum {
			sum[i] *= amplitude(s.Gain(float64(i) / s.Rate))
		}
	}
	if s.AGC {
		evenOut(sum, s.Rate)
	}
	return limit(sum, s.ClipDB)
}

// evenOut is an automatic gain: it falls within 10 ms and rises over 2 s, to
// hold the level near -20 dB re full scale.
func evenOut(x []float64, rate float64) {
	fall, rise := 1-math.Exp(-1/(0.010*rate)), 1-math.Exp(-1/(2*rate))
	level := 0.01
	for i, v := range x {
		p := v * v
		if p > level {
			level += fall * (p - level)
		} else {
			level += rise * (p - level)
		}
		x[i] = v * 0.1 / math.Sqrt(level+1e-8)
	}
}

// limit drives the peaks clip dB above full scale and cuts them there; with 0
// it only lowers what would not fit.
func limit(x []float64, clip float64) []float64 {
	var peak float64
	for _, v := range x {
		peak = max(peak, math.Abs(v))
	}
	switch {
	case peak == 0:
	case clip > 0:
		scale(x, amplitude(clip)/peak)
	case peak > 0.99:
		scale(x, 0.99/peak)
	}
	for i, v := range x {
		x[i] = min(max(v, -1), 1)
	}
	return x
}
