package main

import (
	"fmt"
	"math"
	"strings"
)

// felt judges what was found by an accelerometer, made and recorded.
func (j *judge) felt(all []felt) {
	data := with("needs --data")
	in := func(folder string) []felt {
		return feltIn(all, func(f felt) bool { return f.folder == folder })
	}
	madeOnes := in(madeFolder)
	off, name := farthest(madeOnes)
	j.most(1.5, off, "%", "sensor: total of a made walk, most: "+name)
	j.least(95, nearShare(madeOnes), "%", "sensor: windows with the cadence within 2 steps/min, made walks")
	rate, name := busiest(in(idleFolder))
	j.most(3, rate, "per min", "sensor: steps with nobody walking, made; most: "+name, inFull)

	walks := in("phone_walks")
	off, name = farthest(walks)
	j.most(1.5, off, "%", "sensor: total of each of phone_walks, most: "+name, data)
	j.least(95, nearShare(walks), "%", "sensor: windows with the cadence within 2 steps/min, phone_walks", data)
	counts := in("phone_counts")
	within := len(feltIn(counts, func(f felt) bool { return math.Abs(f.off()) <= 3 }))
	j.most(3, math.Abs(pooledOff(counts)), "%", fmt.Sprintf("sensor: total of phone_counts together (%d of %d within 3 %% alone)", within, len(counts)), data)
	still := feltIn(in("wrist"), func(f felt) bool { return !strings.Contains(f.name, "walking") })
	rate, name = busiest(still)
	j.most(3, rate, "per min", "sensor: steps of wrist without walking, most: "+name, data)
}

func feltIn(all []felt, fits func(felt) bool) []felt {
	var some []felt
	for _, f := range all {
		if fits(f) {
			some = append(some, f)
		}
	}
	return some
}

// farthest is the total that is farthest off, %; NaN without any.
func farthest(all []felt) (off float64, name string) {
	off = math.NaN()
	for _, f := range all {
		if d := math.Abs(f.off()); !(d <= off) {
			off, name = d, f.name
		}
	}
	return off, name
}

// busiest is the most steps a minute, and where that was; NaN without any.
func busiest(all []felt) (rate float64, name string) {
	rate = math.NaN()
	for _, f := range all {
		if r := f.perMinute(); !(r <= rate) {
			rate, name = r, f.name
		}
	}
	if rate == 0 {
		name = "none in any"
	}
	return rate, name
}

// nearShare is the share of windows with the cadence near the truth, %.
func nearShare(all []felt) float64 {
	near, n := 0, 0
	for _, f := range all {
		near, n = near+f.cadence.Close, n+f.cadence.N
	}
	return 100 * float64(near) / float64(n)
}

// pooledOff is how far off the sum of the totals is, %; NaN without any.
func pooledOff(all []felt) float64 {
	want, got := 0, 0
	for _, f := range all {
		want, got = want+f.want, got+f.got
	}
	return 100 * float64(got-want) / float64(want)
}
