package detect

const (
	trustForget = 0.2  // of the memory, a loud hop
	trustSize   = 1.5  // loud hops, and
	trustLeast  = 0.5  // the share of what is expected that must be heard before it is believed
	trustLose   = 0.2  // and at any time
	trustMoved  = 0.5  // less of what was right: the path has changed
	trustSure   = 0.8  // and more: it is right
	settledHops = 1500 // hops for which it was right
	wrongHops   = 400  // hops after which a path that is never right is given up
)

// leakTrust tells whether what a path expects is heard. Only then it may be taken
// out: where nothing leaks, nothing changes.
type leakTrust struct {
	match, size float64 // of what was expected to what was heard, and to itself
	loud        float64 // recent power of what was expected
	trusted     bool
	right       int // hops for which it was right
	wrong       int // hops since it was trusted
}

// rival is how much more another delay must explain to be aimed at: anything
// will do where this path was never right, or is no longer.
func (t *leakTrust) rival() float64 {
	switch {
	case t.right > 0 && t.match < trustMoved*t.size || t.wrong > wrongHops:
		return 0
	case t.isRight():
		return 3
	}
	return 1.3
}

// isRight tells that what is expected is heard.
func (t *leakTrust) isRight() bool { return t.trusted && t.match > trustSure*t.size }

// settled tells that the path has been right for long, so that learning may be
// slower.
func (t *leakTrust) settled() bool { return t.right > settledHops }

// judge compares what was expected with what is heard. Loud hops count more, but
// those with a step in them do not.
func (t *leakTrust) judge(expected, hop []float64) {
	var gg, gh, hh float64
	for i, g := range expected {
		gg += g * g
		gh += g * hop[i]
		hh += hop[i] * hop[i]
	}
	t.loud = max(0.995*t.loud, gg)
	all := gg + hh + 0.1*t.loud
	if all < quietest {
		return
	}
	keep := 1 - trustForget*gg/all
	t.match = keep*t.match + gh/all
	t.size = keep*t.size + gg/all
	if t.trusted {
		t.trusted, t.wrong = t.match > trustLose*t.size, 0
	} else {
		t.wrong++
		t.trusted = t.size > trustSize && t.match > trustLeast*t.size
	}
	if t.isRight() {
		t.right++
	} else {
		t.right = min(t.right, settledHops)
	}
}
