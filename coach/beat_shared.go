package coach

import (
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

const (
	// sharedSame is how far a beat may be moved, as a share of the period, and still
	// be the same one by its number. The clocks of a group agree far better.
	sharedSame = 0.25
	// sharedApart is the least distance, as a share of the period, between the
	// beats before and after a jump: where the leader's news came late.
	sharedApart = 0.6
	// sharedMost bounds the numbers of beats: what a log can hold, and more than
	// anybody's steps.
	sharedMost = 1e9
)

// sharer is the leader's beat. It is played as it is, never moved to the walker.
type sharer struct {
	want [2]event.Beat // the leader's piece, and the one after it; Period 0: silence
	due  bool          // it is not in the map yet
}

// take takes up what the leader wants, and which beats are to be given.
func (s *sharer) take(e event.Shared, m *BeatMap) {
	want := [2]event.Beat{e.Beat, e.Then}
	for i := range want {
		if want[i].T = 0; !playable(want[i]) {
			want[i] = event.Beat{}
		}
	}
	choice := BeatChoice{Foot: e.Foot, Every: e.Every, Accent: e.Accent}
	if choice.Validate() != nil {
		choice = BeatChoice{}
	}
	if want == s.want && choice.Foot == m.Only && choice.Every == m.Every && choice.Accent == m.Accent {
		return
	}
	s.want, s.due = want, true
	m.Only, m.Every, m.Accent = choice.Foot, choice.Every, choice.Accent
}

// playable tells whether a piece is one that somebody can walk to, or silence; NaN
// is none.
func playable(b event.Beat) bool {
	return math.Abs(b.Start) <= lastTime && (b.Period == 0 || within(b.Period, 0.95*60/detect.Fastest, 1.05*60/detect.Slowest)) &&
		within(float64(b.N), 0, sharedMost) && b.Level <= 0 && b.Side <= detect.Right
}

// share brings the map into line with what the leader wants.
func (p *pacer) share(dst []event.Event) []event.Event {
	s := &p.shared
	if !p.goal.beat {
		s.due = true // when the walker wants it again
		return p.stop(dst, p.now)
	}
	if !s.due {
		return dst
	}
	s.due = false
	at := max(p.now+p.set.Policy.Lead, p.free)
	now, then := s.want[0], s.want[1]
	if then.Start > 0 && then.Start <= at {
		now, then = then, event.Beat{}
	}
	dst = p.keepTo(dst, now, at)
	if then.Start > 0 {
		dst = p.keepTo(dst, then, at)
	}
	return dst
}

// keepTo has a piece of the leader's take over from its first beat that can still
// be played, at or after a time.
//
// A beat is known by its number. Where the clocks were brought nearer to each
// other and a beat is therefore moved a little, it comes once, at its new time or,
// where that has just gone by, at its old one.
func (p *pacer) keepTo(dst []event.Event, want event.Beat, at float64) []event.Event {
	if want.Period == 0 {
		return p.hush(dst, max(want.Start, at))
	}
	prev, ok := p.beats.At(max(at, want.Start))
	if !ok || prev.Period == 0 {
		return p.takeOver(dst, want, firstBeat(want, at))
	}
	n := max(prev.N+firstBeat(prev, at), want.N)
	was := prev.Start + float64(n-prev.N)*prev.Period
	is := want.Start + float64(n-want.N)*want.Period
	switch {
	case math.Abs(is-was) > sharedSame*want.Period:
		return p.jump(dst, want, at)
	case is < at:
		n++
	}
	return p.takeOver(dst, want, n-want.N)
}

// takeOver gives a piece of the leader's from beat k on.
func (p *pacer) takeOver(dst []event.Event, want event.Beat, k int) []event.Event {
	b := event.Beat{
		Start: want.Start + float64(k)*want.Period, Period: want.Period,
		Side: sideOf(want, k), N: want.N + k, Level: want.Level,
	}
	return p.give(dst, b, tune{cadence: 60 / b.Period, level: b.Level})
}

// hush gives silence from a time on.
func (p *pacer) hush(dst []event.Event, from float64) []event.Event {
	if !p.beats.soundsFrom(from) {
		return dst
	}
	return p.give(dst, event.Beat{Start: from}, tune{})
}

// jump goes over to a beat that does not go on from the present one, with room
// between the two.
func (p *pacer) jump(dst []event.Event, want event.Beat, at float64) []event.Event {
	from := max(at, want.Start-(1-sharedApart)*want.Period)
	dst = p.hush(dst, from)
	last := math.Inf(-1)
	p.beats.Between(from-want.Period, from, func(b Beat) { last = b.T })
	return p.takeOver(dst, want, firstBeat(want, max(from, last+sharedApart*want.Period)))
}
