package sim

import (
	"math/rand/v2"

	"steadfoot/coach"
	"steadfoot/profiles"
)

// Population draws n walkers. Of every ten, five are responsive, two slow, two
// inattentive, and one does not respond; of those that do, one in eight
// overreacts. The same seed gives the same walkers, and a smaller n the first of
// them.
//
// They are asked for a cadence 2 to 5 % above the one they walk unasked: who
// walks the target unasked needs no coach, and more than some 5 % is not asked
// for at once (Heiderscheit et al. 2011 studied runners at 5 and 10 % above
// theirs). They know the number but not how it feels, so they set off anywhere
// between the two; alone they drift back to their own, and tire. So they fall out
// of the usual band of ±4 steps/min, which is ±2 %, on its slow side.
func Population(seed uint64, n int) []Walker {
	all := make([]Walker, n)
	for i := range all {
		all[i] = draw(seed+uint64(i)*0x9e3779b97f4a7c15, classOf(i), i/10%8 == i%8)
	}
	return all
}

func classOf(i int) Class {
	return [10]Class{Responsive, Slow, Responsive, Inattentive, Responsive, Responsive, Slow, Responsive, Inattentive, NotResponding}[i%10]
}

// draw draws one walker. The ranges are the project's choice around the values
// that the fields' comments name, and the same in all classes where a class does
// not say otherwise.
func draw(seed uint64, class Class, over bool) Walker {
	r := stream(seed, partPerson)
	w := Walker{Seed: seed, Class: class}
	w.Gait = Gait{
		Preferred:  span{165, 195}.draw(r),
		Length:     span{0.95, 1.15}.draw(r),
		Unevenness: span{-2, 2}.draw(r),
		StrideCV:   span{1.0, 1.6}.draw(r),
		LongRange:  span{0.4, 0.6}.draw(r),
		Motor:      span{0.3, 0.5}.draw(r),
	}
	w.Target = w.Gait.Preferred * (1 + span{0.02, 0.05}.draw(r))
	w.Fatigue.ShortensAt = span{240, 600}.draw(r)
	w.Fatigue.Shortens = span{0.2, 0.6}.draw(r)
	w.Fatigue.SlowsAt = w.Fatigue.ShortensAt + span{60, 360}.draw(r)
	w.Fatigue.Slows = span{0.1, 0.3}.draw(r)
	w.Effort = Effort{
		Start:      span{0, 1}.draw(r),
		StartError: 2,
		Most:       span{8, 12}.draw(r),
		Fades:      span{90, 240}.draw(r),
		FadesAway:  span{20, 60}.draw(r),
	}
	w.Sync = Sync{
		Alpha: span{0.2, 0.8}.draw(r),
		Beta:  span{0.02, 0.10}.draw(r),
		Lead:  span{0.020, 0.080}.draw(r),
		Reach: span{4, 8}.draw(r),
		Drops: 0.2,
	}
	w.Attention = Attention{On: span{90, 240}.draw(r), Off: span{8, 20}.draw(r), Wakes: 0.8}
	w.Answer = Answer{Chance: 0.95, Latency: span{1, 3}.draw(r), Size: span{2, 4}.draw(r), Digits: span{0.7, 1.3}.draw(r), Scatter: 0.3}
	w.as(class, r)
	if over && class != NotResponding {
		w.Over = true
		w.Answer.Size, w.Answer.Digits = span{6, 9}.draw(r), span{1.2, 2}.draw(r)
	}
	return w
}

// as changes what the class changes.
func (w *Walker) as(class Class, r *rand.Rand) {
	switch class {
	case Slow:
		w.Sync.Alpha = span{0.2, 0.4}.draw(r)
		w.Sync.Beta = span{0.01, 0.03}.draw(r)
		w.Answer = Answer{Chance: 0.9, Latency: span{4, 9}.draw(r), Size: span{1, 2}.draw(r), Digits: span{0.4, 0.8}.draw(r), Scatter: 0.3}
	case Inattentive:
		w.Sync.Drops = 0.6
		w.Attention = Attention{On: span{30, 60}.draw(r), Off: span{30, 90}.draw(r), Wakes: 0.5}
		w.Answer.Chance = 0.7
	case NotResponding:
		w.Sync.Alpha, w.Answer.Chance = 0, 0
	}
}

// Settings are those of a coach for w, with everything that the walker's profile
// would leave at its default.
func (w Walker) Settings(beat coach.BeatChoice) (coach.Settings, error) {
	a := profiles.Defaults()
	a.Name = "Mira Tal"
	a.Target.Cadence = w.Target
	s, err := coach.For(a)
	s.Beat = beat
	return s, err
}
