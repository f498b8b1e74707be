package detect

// link is one step of a traced walk: its frame, the state it opened, and the
// probability of a step there when the trace was made.
type link struct {
	frame, state int
	share        float64
}

// trace follows the most likely past of a step at frame t back to the beginning
// of the walk, or to the first step before frame limit, which is left out. The
// steps are appended latest first.
func (f *filter) trace(dst []link, t, limit int) []link {
	row := f.past[t%len(f.past)]
	s := argmax(row)
	dst = append(dst, link{t, s, f.share(t)})
	for {
		pt, ps, ok := f.before(t, s)
		if !ok || pt < limit || pt <= f.t-len(f.past) {
			return dst
		}
		t, s = pt, ps
		dst = append(dst, link{t, s, 1})
	}
}

// before finds the likeliest step before the one at t that opened state s; ok is
// false when the walk more likely began at t.
func (f *filter) before(t, s int) (pt, ps int, ok bool) {
	nu, np := len(f.uneven), len(f.periods)
	best := f.idleAt[t%len(f.idleAt)] * f.start * f.prior[s]
	i, j := s/nu, nu-1-s%nu
	for di := -1; di <= 1; di++ {
		for dj := -1; dj <= 1; dj++ {
			pi, pj := i+di, j+dj
			if pi < 0 || pi >= np || pj < 0 || pj >= nu {
				continue
			}
			w := (1 - stopChance) * (1 - jumpChance) * chance(di, periodMove) * chance(dj, unevenMove)
			if m, at := f.arrival(t, pi*nu+pj, w); m > best {
				best, pt, ps, ok = m, at, pi*nu+pj, true
			}
		}
	}
	w := (1 - stopChance) * jumpChance * f.prior[s]
	for k := range f.prior {
		if m, at := f.arrival(t, k, w); m > best {
			best, pt, ps, ok = m, at, k, true
		}
	}
	return pt, ps, ok
}

// arrival is the largest mass that came to frame t from a step that opened
// state s, and the frame of that step.
func (f *filter) arrival(t, s int, weight float64) (best float64, at int) {
	n := len(f.past)
	for i, h := range f.kernel[s] {
		from := t - f.lag[s] - i
		if from < 0 || from <= f.t-n {
			break
		}
		if f.total[from%n] == 0 {
			continue
		}
		if m := f.past[from%n][s] * h * weight; m > best {
			best, at = m, from
		}
	}
	return best, at
}

func chance(d int, move float64) float64 {
	if d == 0 {
		return 1 - 2*move
	}
	return move
}

func argmax(x []float64) int {
	k := 0
	for i, v := range x {
		if v > x[k] {
			k = i
		}
	}
	return k
}
