package main

import (
	"fmt"

	"steadfoot/coach/sim"
)

// What coaching must come to.
const (
	leastCoached = 85.0 // %, time in the band of the responsive walkers, coached
	mostAlone    = 50.0 // %, of the same walkers alone: else they need no coach
	mostCues     = 3.0  // in any minute
)

// coached judges the outings. outings[0] are those of the walkers alone.
func (j *judge) coached(all []manner, outings [][]outing) {
	responsive := group{"", func(w sim.Walker) bool { return w.Class == sim.Responsive }}
	j.most(mostAlone, inside(responsive.of(outings[0])), "%", "coaching, "+all[0].name+": responsive walkers' time in the band")
	for i, m := range all {
		what := fmt.Sprintf("coaching, %s: ", m.name)
		if m.judged {
			j.least(leastCoached, inside(responsive.of(outings[i])), "%", what+"responsive walkers' time in the band")
		}
		if !m.nothing {
			var d []detail
			if !m.beat.On { // words alone miss it yet
				d = append(d, inFull)
			}
			j.most(0, float64(driven(outings[i])), "", what+"walkers driven into swinging", d...)
		}
		if m.words {
			j.most(mostCues, float64(fullest(outings[i])), "", what+"cues in one walker's fullest minute")
		}
	}
}
