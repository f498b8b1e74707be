package trial

import "steadfoot/detect/made"

// The groups in which it is measured how soon things are told.
const (
	ChangeGroup = "10 % change"
	StandGroup  = "stands for 6 s"
	LongGroup   = "70 s"
)

// Timed are walks in which something happens at a known time, or that are long
// enough for the unevenness, each walks of a kind: a cadence that jumps by 10 %
// and back again, clean and in noise; a pause in noise (Hard has it clean); and
// walks of 70 s, clean and in noise.
func Timed(each int) []Case {
	var changes, stands, long []Case
	for i := range each {
		c := cadences[i%len(cadences)]
		factor := 1.1
		if c*factor > 230 {
			factor = 0.9
		}
		s := walker(100+5*i, made.Jumps(c, made.Point{T: 10, V: factor * c}, made.Point{T: 20, V: c}))
		for _, n := range quietAndNot {
			s.Noises = n.noises
			jump := numbered(ChangeGroup+n.name, i, s)
			jump.Changes = []float64{10, 20}
			changes = append(changes, jump)
		}
		s = walker(120+5*i, made.Steady(c))
		s.Pauses = [][2]float64{{12, 18}}
		s.Noises = pink0
		stands = append(stands, numbered(StandGroup+", pink +0 dB", i, s))

		s = walker(140+5*i, made.Steady(c))
		s.Duration, s.Unevenness = 70, []float64{-4, 2, 6, 0}[i%4]
		for _, n := range quietAndNot {
			s.Noises = n.noises
			long = append(long, numbered(LongGroup+n.name, i, s))
		}
	}
	return append(append(changes, stands...), long...)
}

var (
	pink0       = []made.Noise{{Kind: made.Pink}} // as strong as the steps
	quietAndNot = []struct {
		name   string
		noises []made.Noise
	}{{"", nil}, {", pink +0 dB", pink0}}
)

// Pictured are walks, one in every kind of noise that gets hard, at an SNR in
// dB, on sharp or soft surfaces, each times over, for a picture of where hearing
// ends. All are of one group.
func Pictured(group string, onSoft bool, snr float64, each int) []Case {
	var cases []Case
	for k, n := range noises {
		if n.noise.Kind == made.Rustle || n.noise.Kind == made.White {
			continue // heard down to the last level of the picture
		}
		for i := range each {
			s := walker(200+k+7*i, made.Steady(cadences[(k+i)%len(cadences)]))
			if onSoft {
				s.Surface = surface(soft, k+i)
			}
			noise := n.noise
			noise.SNR = snr
			s.Noises = []made.Noise{noise}
			cases = append(cases, numbered(group, i, s))
		}
	}
	return cases
}
