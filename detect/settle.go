package detect

import "math"

const (
	leastStep   = 0.1  // share of gravity, usual height of steps at leastHz or quicker
	leastHz     = 2.0  // slower ones may be lower: half a centimetre up and down
	firstShare  = 0.5  // of the usual height: the first step is at least so high
	weakShare   = 0.4  // a lower step is told when others follow; only lower ones are no walk
	weakMost    = 3    // steps held back before that is decided
	knownShare  = 0.6  // of a step: nearer ones are the same
	missedShare = 1.6  // of a step: farther ones are not neighbours
	refChange   = 1.05 // of the usual height, a step
	refHalfS    = 10   // half-life of the height of a walk that has ended
)

// begin opens a walk with the steps the gear has kept, unless they are much
// weaker than those of a walk just ended.
func (s *stretch) begin(g *gear) bool {
	// Before the walk there may be handling, lower than steps: three quarters.
	ref, _ := quantile(g.kept, 0.75)
	slow := math.Min(1, 1/(leastHz*g.period()))
	if ref < math.Max(leastStep*slow*slow, weakShare*s.ref*math.Exp2((s.refAt-s.now)/refHalfS)) {
		return false
	}
	s.ref, s.fresh, s.wait = ref, false, s.wait[:0]
	k := 0
	for k < len(g.kept) && g.kept[k].height < firstShare*ref {
		k++
	}
	g.kept = g.kept[:copy(g.kept, g.kept[k:])]
	return true
}

// settle tells the steps up to the last high one. Weak ones after it wait: in a
// walk others follow, and where it has ended they are none.
func (s *stretch) settle(g *gear) {
	done := 0
	for i, c := range s.wait {
		if !c.heard || c.height < weakShare*s.ref {
			if i-done < weakMost {
				continue
			}
			h, heard := quantile(s.wait[done:i+1], 0.5)
			if heard < weakMost || h < weakShare*s.ref {
				s.stop(g)
				return
			}
			s.ref = h
		}
		for ; done <= i; done++ {
			s.tell(s.wait[done])
		}
		s.refAt = s.now
		if c.height > s.ref {
			s.ref *= refChange
		} else {
			s.ref /= refChange
		}
	}
	s.wait = s.wait[:copy(s.wait, s.wait[done:])]
}

// known tells whether another gear has told this step already.
func (s *stretch) known(c candidate) bool {
	return s.told && c.t < s.last+knownShare*c.period
}

func (s *stretch) tell(c candidate) {
	if s.known(c) {
		return
	}
	c.begins = !s.told || c.t > s.last+missedShare*c.period
	s.last, s.told = c.t, true
	s.out = append(s.out, c)
}

// quantile is the height that share q of the heard steps do not exceed, and how
// many were heard.
func quantile(steps []candidate, q float64) (height float64, heard int) {
	var h [gearKept]float64
	for _, c := range steps {
		if !c.heard {
			continue
		}
		k := heard
		for ; k > 0 && h[k-1] > c.height; k-- {
			h[k] = h[k-1]
		}
		h[k] = c.height
		heard++
	}
	return h[int(q*float64(heard))], heard
}
