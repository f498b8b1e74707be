package sim

import "math"

// What the measures go by, s.
const (
	startS   = 10.0 // the first seconds are not judged: getting going is no mistake
	reachedS = 5.0  // in the band for so long is reached
	outS     = 3.0  // out of the band for less is no excursion
	overS    = 60.0 // overshoot comes within this of leaving the other side
)

// Cadence returns the true cadence every half second, over the last 4 s as the
// detector takes it, in steps/min. Its first value is at time from, s.
func (r *Result) Cadence() (from float64, cadence []float64) {
	first, n := 0, 0
	for tick := 1; float64(tick)*tickS <= r.Duration; tick++ {
		t := float64(tick) * tickS
		for n < len(r.Steps) && r.Steps[n].T <= t {
			n++
		}
		for first < n && r.Steps[first].T <= t-cadenceS {
			first++
		}
		count := (n - first - 1) &^ 1
		if count < 4 {
			continue
		}
		if cadence == nil {
			from = t
		}
		cadence = append(cadence, 60*float64(count)/(r.Steps[n-1].T-r.Steps[n-1-count].T))
	}
	return from, cadence
}

// Band is how a session went with regard to the band.
type Band struct {
	Inside    float64   // share of the time after the first 10 s, 0 to 1
	Off       float64   // mean of the cadence minus the target, after the first 10 s, steps/min
	Reached   float64   // when the band was reached, to be held for 5 s, s; infinite: never
	Out       []float64 // lengths of the excursions of 3 s or more after that, s
	Overshoot float64   // how far the cadence went beyond one end within a minute of being beyond the other, worst, steps/min
}

// Band measures the session by the true cadence.
func (r *Result) Band() Band {
	from, cadence := r.Cadence()
	b := Band{Reached: math.Inf(1)}
	skip := min(len(cadence), max(0, int((startS-from)/tickS)))
	judged := cadence[skip:]
	for _, c := range judged {
		b.Off += (c - r.Walker.Target) / float64(len(judged))
		if r.zone(c) == 0 {
			b.Inside += 1 / float64(len(judged))
		}
	}
	var last spell // the last one out of the band
	for _, s := range r.spells(from, cadence) {
		switch {
		case s.zone == 0:
			if s.length() >= reachedS {
				b.Reached = min(b.Reached, s.from)
			}
			continue
		case s.from > b.Reached && s.length() >= outS:
			b.Out = append(b.Out, s.length())
		}
		if s.zone == -last.zone && s.from-last.to <= overS {
			b.Overshoot = max(b.Overshoot, s.most)
		}
		last = s
	}
	return b
}

// zone is -1 below the band, 1 above it and 0 within.
func (r *Result) zone(cadence float64) int {
	switch {
	case cadence < r.Low:
		return -1
	case cadence > r.High:
		return 1
	}
	return 0
}

// spell is a time in one zone.
type spell struct {
	zone     int
	from, to float64 // s
	most     float64 // how far out the cadence was, steps/min
}

func (s spell) length() float64 { return s.to - s.from }

func (r *Result) spells(from float64, cadence []float64) []spell {
	var all []spell
	for i, c := range cadence {
		t, zone := from+float64(i)*tickS, r.zone(c)
		if n := len(all); n == 0 || all[n-1].zone != zone {
			all = append(all, spell{zone: zone, from: t})
		}
		s := &all[len(all)-1]
		s.to, s.most = t+tickS, max(s.most, r.Low-c, c-r.High)
	}
	return all
}

// Words counts what was said.
type Words struct {
	PerMinute float64 // cues a minute over the whole session
	Most      int     // cues in the fullest minute
}

// Words counts the cues that the walker heard.
func (r *Result) Words() Words {
	w := Words{PerMinute: 60 * float64(len(r.Cues)) / r.Duration}
	first := 0
	for i, c := range r.Cues {
		for r.Cues[first].T <= c.T-60 {
			first++
		}
		w.Most = max(w.Most, i-first+1)
	}
	return w
}

// Beat is how the feet went with the beat, over all steps that had one near
// them, followed or not. The asynchrony is step minus beat: negative when the
// foot leads.
type Beat struct {
	Steps    int     // with a beat near them
	With     float64 // share of them that followed it, 0 to 1
	Mean, SD float64 // asynchrony, s
	R        float64 // length of the mean vector of the phases, 0 to 1
	Heard    float64 // share of all steps that had a beat near them, 0 to 1
}

// Beat measures the steps against the beat.
func (r *Result) Beat() Beat {
	var b Beat
	var with, sum, squares, c, s float64
	for _, step := range r.Steps {
		if step.Period == 0 {
			continue
		}
		a := step.T - step.Beat
		b.Steps++
		sum, squares = sum+a, squares+a*a
		sin, cos := math.Sincos(2 * math.Pi * a / step.Period)
		c, s = c+cos, s+sin
		if step.With {
			with++
		}
	}
	if b.Steps == 0 {
		return b
	}
	n := float64(b.Steps)
	b.Mean = sum / n
	b.SD = math.Sqrt(max(0, squares/n-b.Mean*b.Mean))
	b.R = math.Hypot(c, s) / n
	b.With, b.Heard = with/n, n/float64(len(r.Steps))
	return b
}
