package coach

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

func sharedSettings() Settings {
	s := testSettings()
	s.Beat.Mode = Shared
	return s
}

// captain makes the pieces of a group's beat, on its own clock, and tells a coach of
// them by what it takes the two clocks to be.
type captain struct {
	rng    *rand.Rand
	pieces []event.Beat // by Start
	offset float64      // what is added to its time to give the session's, s
	told   event.Shared
	past   []event.Shared // all that were told
}

func newCaptain(seed uint64) *captain {
	l := &captain{rng: rand.New(rand.NewPCG(seed, 11)), offset: -300}
	l.pieces = []event.Beat{{Start: 290.123, Period: 60 / 188.0, Side: detect.Left}}
	return l
}

// change has another tempo take over from a beat some time after now.
func (l *captain) change(now, cadence float64) {
	last := l.pieces[len(l.pieces)-1]
	k := firstBeat(last, now+1.5)
	l.pieces = append(l.pieces, event.Beat{
		Start: last.Start + float64(k)*last.Period, Period: 60 / cadence, Side: sideOf(last, k), N: last.N + k, Level: -float64(len(l.pieces) % 3),
	})
}

// shared is what holds at a time of the session, and what follows.
func (l *captain) shared(now, lead float64) event.Shared {
	e := event.Shared{T: now}
	for i, p := range l.pieces {
		if i == 0 || p.Start+l.offset <= now+lead {
			e.Beat, e.Then = p, event.Beat{}
			if i+1 < len(l.pieces) {
				e.Then = l.pieces[i+1]
			}
		}
	}
	e.Beat.Start += l.offset
	if e.Then.Start > 0 {
		e.Then.Start += l.offset
	}
	return e
}

// heard is one beat with its number.
type heard struct {
	Beat
	n int
}

// earbuds take beats up to a time, once and for all, as a player does.
type earbuds struct {
	c  *Coach
	at float64
	is []heard
}

func (p *earbuds) play(until float64) {
	p.c.Beats().Between(p.at, until, func(b Beat) {
		// The piece of a beat is the last that began, or the one before where that
		// has not come to the number yet.
		piece, _ := p.c.Beats().At(b.T)
		p.is = append(p.is, heard{b, piece.N + b.Index})
	})
	p.at = max(p.at, until)
}

// TestSharedNoBeatTwice walks with a leader whose clock is estimated anew again and
// again, by fractions of a millisecond to milliseconds, whose tempo changes, and
// whose news is now and then late by less than the time that changes are told
// ahead. Each beat must come once, in order, with its foot, and at a time that the
// leader's piece gives to the bit.
func TestSharedNoBeatTwice(t *testing.T) {
	for seed := range uint64(150) {
		l := newCaptain(seed)
		c := newTestCoach(t, sharedSettings())
		p := &earbuds{c: c}
		lead := c.set.Policy.Lead
		c.Handle(nil, event.Mark{Name: event.MarkStart})
		for i := 1; i < 1200; i++ {
			now := float64(i) / 10
			if l.rng.IntN(100) == 0 {
				l.change(now-l.offset, 180+20*l.rng.Float64())
			}
			l.offset += 0.002 * l.rng.NormFloat64() * float64(l.rng.IntN(3)/2)
			p.play(now + lead) // what comes before cannot be changed any more
			e := l.shared(now, lead)
			moved := e.Beat != l.told.Beat || e.Then != l.told.Then
			if late := l.rng.IntN(4) == 0; moved && !late {
				c.Handle(nil, e)
				l.told, l.past = e, append(l.past, e)
			}
		}
		l.check(t, seed, p)
		if t.Failed() {
			return
		}
	}
}

func (l *captain) check(t *testing.T, seed uint64, p *earbuds) {
	t.Helper()
	if len(p.is) < 300 {
		t.Fatalf("seed %d: %d beats", seed, len(p.is))
	}
	for i, b := range p.is {
		if i > 0 && (b.n != p.is[i-1].n+1 || b.Side != p.is[i-1].Side.Other()) {
			t.Fatalf("seed %d: beat %d %+v follows %d %+v", seed, b.n, b.Beat, p.is[i-1].n, p.is[i-1].Beat)
		}
		off := math.Inf(1)
		for _, e := range l.past {
			for _, piece := range []event.Beat{e.Beat, e.Then} {
				off = min(off, math.Abs(b.T-piece.Start-float64(b.n-piece.N)*piece.Period))
			}
		}
		if off > 1e-9 {
			t.Fatalf("seed %d: beat %d at %v is %v s off all that was told", seed, b.n, b.T, off)
		}
	}
}

// TestSharedEveryFourth: the beats that are given are those of the leader's numbers,
// for one who comes in the middle and when the leader changes the choice.
func TestSharedEveryFourth(t *testing.T) {
	c := newTestCoach(t, sharedSettings())
	p := &earbuds{c: c}
	c.Handle(nil, event.Mark{Name: event.MarkStart})
	e := event.Shared{T: 1, Beat: event.Beat{Start: -500.1, Period: 0.3125, Side: detect.Right, N: 3}, Every: 4, Accent: 2}
	c.Handle(nil, e)
	p.play(20.25)
	e.T, e.Beat.Start, e.Accent = 20, e.Beat.Start+0.0005, 3
	c.Handle(nil, e)
	p.play(40)
	if len(p.is) < 28 {
		t.Fatalf("%d beats", len(p.is))
	}
	for i, b := range p.is {
		accent := 2
		if b.T > 20.25 {
			accent = 3
		}
		if b.n%4 != 0 || i > 0 && b.n != p.is[i-1].n+4 || b.Side != sideOf(e.Beat, b.n-3) || b.Accent != (b.n/4%accent == 0) {
			t.Errorf("beat %d %+v", b.n, b.Beat)
		}
	}
}

// TestSharedLate: who has the news of another tempo only when it has long begun
// goes over to the common beat at once, and hears no two beats close together.
func TestSharedLate(t *testing.T) {
	for seed := range uint64(100) {
		l := newCaptain(seed)
		c := newTestCoach(t, sharedSettings())
		p := &earbuds{c: c}
		lead := c.set.Policy.Lead
		c.Handle(nil, event.Mark{Name: event.MarkStart})
		c.Handle(nil, l.shared(0.5, lead))
		p.play(10 + lead)
		l.change(5-l.offset, 180+20*l.rng.Float64())
		now := 10 + 5*l.rng.Float64()
		p.play(now + lead)
		c.Handle(nil, l.shared(now, lead))
		p.play(now + 10)
		last := l.pieces[1]
		for i, b := range p.is {
			if i > 0 && b.T-p.is[i-1].T < 0.5*last.Period {
				t.Fatalf("seed %d: %v s between beats %d and %d", seed, b.T-p.is[i-1].T, p.is[i-1].n, b.n)
			}
			if want := last.Start + l.offset + float64(b.n-last.N)*last.Period; b.T > now+lead+last.Period && math.Abs(b.T-want) > 1e-9 {
				t.Fatalf("seed %d: beat %d at %v, the leader has it at %v", seed, b.n, b.T, want)
			}
		}
	}
}

// TestSharedSilence: the beat falls silent and comes back with the leader's pieces,
// and with the walker's own key, which does not move it.
func TestSharedSilence(t *testing.T) {
	c := newTestCoach(t, sharedSettings())
	p := &earbuds{c: c}
	piece := event.Beat{Start: 0.1, Period: 0.3}
	c.Handle(nil, event.Mark{Name: event.MarkStart})
	c.Handle(nil, event.Shared{T: 1, Beat: piece, Then: event.Beat{Start: 10.05}})
	p.play(15)
	c.Handle(nil, event.Shared{T: 15, Beat: event.Beat{Start: 20.2, Period: 0.3}})
	c.Handle(nil, event.Mark{T: 25, Name: event.MarkBeatOff})
	if c.Status().Beat {
		t.Error("a beat after the key")
	}
	c.Handle(nil, event.Mark{T: 30, Name: event.MarkBeatOn})
	c.Handle(nil, event.Mark{T: 33, Name: event.MarkPause})
	c.Handle(nil, event.Mark{T: 36, Name: event.MarkResume})
	p.play(40)
	for _, b := range p.is {
		k := (b.T - 0.1) / 0.3
		quiet := b.T > 10.05 && b.T < 20 || b.T > 25.25 && b.T < 30.25 || b.T > 33.25 && b.T < 36.25 || b.T < 1.25
		if math.Abs(k-math.Round(k)) > 1e-9 || quiet {
			t.Errorf("%+v", b)
		}
	}
	if n := len(p.is); n < 29+17+9+12 {
		t.Errorf("%d beats", n)
	}
}

// TestSharedUnplayable: what nobody could walk to is silence.
func TestSharedUnplayable(t *testing.T) {
	for _, piece := range []event.Beat{
		{Start: 3, Period: 0.01}, {Start: 3, Period: 5}, {Start: math.NaN(), Period: 0.3}, {Start: 3, Period: math.NaN()},
		{Start: 1e300, Period: 0.3}, {Start: 3, Period: 0.3, N: -1}, {Start: 3, Period: 0.3, N: 1 << 31}, {Start: 3, Period: 0.3, Level: 3}, {Start: 3, Period: 0.3, Side: 7},
	} {
		c := newTestCoach(t, sharedSettings())
		c.Handle(nil, event.Mark{Name: event.MarkStart})
		c.Handle(nil, event.Shared{T: 1, Beat: piece})
		if got := collect(c.Beats(), 0, 100); len(got) > 0 {
			t.Errorf("%+v gives %d beats", piece, len(got))
		}
	}
}
