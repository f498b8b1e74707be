package coach

import (
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// tune is what a mode wants to be heard from now on.
type tune struct {
	cadence float64 // of the beat, steps/min; 0: silence
	shift   float64 // s by which the next interval is to be longer
	level   float64 // dB
	turn    bool    // the feet are the other way round
}

// pacer makes the beat: it asks the mode what is to be heard, and puts that into
// the beat map. A change takes over from a beat of the piece before it, so that
// no interval is odd.
type pacer struct {
	set   Settings
	beats BeatMap
	last  event.Beat // the last piece given; Period 0: silence
	tuned tune       // what the last piece was made for
	free  float64    // no beat before this, s
	now   float64

	goal goal
	mode BeatMode
	feet feet

	lead   leader
	phase  phaser
	demand demand
	shared sharer
}

func newPacer(s Settings) pacer {
	p := pacer{set: s}
	p.beats.Only, p.beats.Every, p.beats.Accent = s.Beat.Foot, s.Beat.Every, s.Beat.Accent
	return p
}

// aim takes up what holds now.
func (p *pacer) aim(now float64, g goal) {
	p.now = now
	mode := g.mode
	if mode == "" {
		mode = Steady
	}
	if mode != p.mode {
		p.begin(mode)
	}
	if !g.beat {
		p.lead.stop()
	}
	p.goal = g
}

// begin changes the mode. A beat that can be heard goes on from where it is.
func (p *pacer) begin(mode BeatMode) {
	p.mode = mode
	p.phase, p.demand = phaser{habit: p.phase.habit}, demand{}
	p.lead.stop()
	p.lead.reach, p.lead.slack = leadReach, leadSlack
	if mode == Follow {
		p.lead.reach, p.lead.slack = followReach, followSlack
	}
	if p.tuned.cadence > 0 && mode != Demand {
		p.lead.begin(p.now, p.tuned.cadence)
	}
}

// step takes in a footfall.
func (p *pacer) step(now float64, s detect.Step) {
	p.now = now
	p.feet.step(now, s)
	if p.mode == Follow && p.last.Period > 0 {
		p.phase.step(now, s, p.set.Ahead, p.grid(now+p.set.Policy.Lead))
	}
}

// tick takes in a rhythm, by way of the watch.
func (p *pacer) tick(now float64, r detect.Rhythm, w *watch) {
	p.now = now
	p.feet.see(now, r, w.sure())
	if p.feet.gone() {
		p.lead.stop()
		p.demand.still()
		return
	}
	if p.mode == Shared {
		return
	}
	if p.mode == Demand {
		p.demand.tick(now, w)
		if p.demand.silent() {
			p.lead.stop()
			return
		}
	}
	if p.mode != Steady && p.goal.beat && p.goal.cadence > 0 && w.sure() &&
		(p.lead.cadence > 0 || w.walking.held() >= leadAfter) {
		p.lead.tick(now, p.feet.cadence, p.goal.cadence)
	}
}

// tune is what is to be heard now.
func (p *pacer) tune() tune {
	if !p.goal.beat || p.goal.cadence == 0 {
		return tune{}
	}
	switch p.mode {
	case Lead:
		return tune{cadence: p.lead.cadence}
	case Follow:
		return tune{cadence: p.lead.cadence, shift: p.phase.shift, turn: p.phase.turned()}
	case Demand:
		return tune{cadence: p.lead.cadence, level: p.demand.level}
	case Shared:
		return tune{cadence: p.tuned.cadence}
	}
	return tune{cadence: p.goal.cadence}
}

// play brings the map into line with what is to be heard, and tells the piece
// it takes, if any.
func (p *pacer) play(dst []event.Event, now float64) []event.Event {
	p.now = now
	if p.mode == Shared {
		return p.share(dst)
	}
	t := p.tune()
	at := now + p.set.Policy.Lead
	switch {
	case t.cadence == 0:
		return p.stop(dst, now)
	case p.last.Period == 0:
		p.phase.shift, t.shift, t.turn = 0, 0, false
		return p.give(dst, p.first(at, t), t)
	}
	return p.change(dst, at, t)
}

// stop silences the beat.
func (p *pacer) stop(dst []event.Event, now float64) []event.Event {
	p.now = now
	if !p.beats.soundsFrom(now + p.set.Policy.Lead) {
		return dst
	}
	return p.give(dst, event.Beat{Start: now + p.set.Policy.Lead}, tune{})
}

// first is the piece that begins after a silence. The modes that go by the feet
// begin with them; for the others the phase is left as it falls, as people bring
// their feet to a beat within a few steps (Front Hum Neurosci 2014;8:724).
func (p *pacer) first(at float64, t tune) event.Beat {
	b := event.Beat{Start: max(at, p.free), Period: 60 / t.cadence, Side: p.set.FirstFoot, Level: t.level}
	if b.Side == detect.Unknown {
		b.Side = detect.Left
	}
	if p.mode == Steady || !p.feet.stepped {
		return b
	}
	foot := event.Beat{Start: max(p.feet.last.T+p.set.Ahead+p.phase.habit, 0), Period: b.Period, Side: p.feet.last.Side}
	if foot.Side == detect.Unknown {
		foot.Side = b.Side
	}
	k := firstBeat(foot, b.Start)
	b.Start, b.Side = foot.Start+float64(k)*foot.Period, sideOf(foot, k)
	return b
}

// hardly is by how much two intervals may differ and count as the same, s. It is
// far below what is heard, 2.5 % of an interval (Friberg and Sundberg 1995).
const hardly = 0.0002

// change makes the piece that takes over from the present one.
func (p *pacer) change(dst []event.Event, at float64, t tune) []event.Event {
	p.phase.shift = 0
	k := firstBeat(p.last, at)
	if k == 0 {
		t.shift += p.tuned.shift // the last shift has not been played yet
	}
	if t.cadence == p.tuned.cadence && t.level == p.tuned.level && !t.turn && math.Abs(t.shift-p.tuned.shift) <= hardly {
		return dst
	}
	b := event.Beat{
		Start:  p.last.Start + float64(k)*p.last.Period,
		Period: 60/t.cadence + t.shift,
		Side:   sideOf(p.last, k),
		N:      p.last.N + k,
		Level:  t.level,
	}
	if t.turn {
		b.Side = b.Side.Other()
		p.phase.turn = 0
	}
	return p.give(dst, b, t)
}

// give enters a piece into the map and tells it.
func (p *pacer) give(dst []event.Event, b event.Beat, t tune) []event.Event {
	b.T = p.now
	p.beats.Add(b)
	p.last, p.tuned = b, t
	return append(dst, b)
}

// grid is the beat as it will be from a time on when nothing more is changed:
// the first beat whose time is settled, at the period without a shift.
func (p *pacer) grid(at float64) event.Beat {
	k := firstBeat(p.last, at)
	b := event.Beat{Start: p.last.Start + float64(k)*p.last.Period, Period: 60 / p.tuned.cadence, Side: sideOf(p.last, k)}
	if k == 0 && p.tuned.shift != 0 {
		b.Start, b.Side = p.last.Start+p.last.Period, p.last.Side.Other()
	}
	return b
}

// playing tells whether there is a beat.
func (p *pacer) playing() bool {
	if p.mode == Shared {
		piece, ok := p.beats.At(p.now + p.set.Policy.Lead)
		return ok && piece.Period > 0
	}
	return p.last.Period > 0 && p.last.Start <= p.now+p.set.Policy.Lead+p.last.Period
}
