package main

import (
	"fmt"
	"math"
	"strings"

	"steadfoot/detect/score/trial"
)

// sound judges the rows of sound.
func (j *judge) sound(rows []*row) {
	// Walks on surfaces with a strike, by noise; what is judged by something
	// else than its noise has no SNR and is not among them.
	sharp := only(rows, func(r *row) bool { return r.made() && !r.soft() })
	good := only(sharp, func(r *row) bool { return r.snr >= 0 })
	clean := only(sharp, func(r *row) bool { return math.IsInf(r.snr, 1) })
	even := only(sharp, func(r *row) bool { return r.snr == 0 })

	j.found(rows, sharp, good, clean)
	j.quality("clean", clean, 3, 0.5, 2)
	j.quality("0 dB", even, 6, 1, 3)
	j.told(rows, good)
	j.tempo(rows, good, clean)
	j.near(rows)
	j.nobody(rows)
	j.recorded(rows)
	j.compared(good)
}

// found are the bars for the share of steps found.
func (j *judge) found(rows, sharp, good, clean []*row) {
	j.least(0.99, f50(good), "", "F50 at 0 dB and better")
	j.least(0.98, f25(good), "", "F25 at 0 dB and better")
	f, name := lowestF(good)
	j.least(0.97, f, "", "F50 of every condition at 0 dB and better; lowest: "+name)
	f, name = lowestF(begun(clean, trial.CleanGroup))
	j.least(0.98, f, "", "F50 of plain clean walks; lowest: "+name)
	at := func(snr float64) []*row { return only(sharp, func(r *row) bool { return r.snr == snr }) }
	j.least(0.98, f50(at(-6)), "", "F50 at -6 dB, sharp surfaces")
	j.least(0.80, f50(at(-12)), "", "F50 at -12 dB, sharp surfaces", inFull)
	soft := named(rows, trial.SoftGroup)
	o := sum(soft)
	j.least(0.90, f50(soft), "", fmt.Sprintf("F50 on soft surfaces without noise; spread %.1f ms", 1000*o.At50.Spread()), inFull)
	f, name = lowestF(begun(rows, trial.LevelGroup))
	j.least(0.99, f, "", "F50 at levels 60 dB apart; lowest: "+name)
}

// quality are the bars for how exact what is told is.
func (j *judge) quality(name string, rows []*row, spread, cadence, lock float64) {
	o := sum(rows)
	j.most(3, some(o, 1000*math.Abs(o.At50.Bias())), "ms", "timing bias, "+name)
	j.most(spread, some(o, 1000*o.At50.Spread()), "ms", "timing spread, "+name)
	j.most(cadence, some(o, o.OwnSteps.MeanAbs), "steps/min", "error of the cadence told, over its own steps, "+name)
	j.most(cadence, some(o, o.Cadence.MeanAbs), "steps/min", "error of the cadence over 10 s, "+name)
	j.most(lock, strict(o.When.Lock), "s", "time to lock, "+name)
	j.most(2, strict(o.When.Change), "s", "time to lock after a 10 % change, "+name)
	j.most(0.7, o.When.Uneven.Worst(), "points", "unevenness error over 60 s, worst, "+name)
}

// told are the bars for what is said, and when.
func (j *judge) told(rows, good []*row) {
	o := sum(good)
	j.between(90, 99, 100*o.When.Coverage(), "%", "true cadences inside the 95 % band, 0 dB and better")
	j.most(0, some(o, float64(o.Swaps)), "", "left and right swapped, 0 dB and better")
	j.most(1, o.When.Invented.Worst(), "steps", "invented after a stop, most")
	j.most(1.5, strict(o.When.Stop), "s", "time to 'not walking'")
	j.most(3, strict(o.When.Resume), "s", "time to lock after a pause")
	j.most(40, 1000*o.When.Delay.Quantile(0.5), "ms", "report delay from first contact, median, 0 dB and better")
	j.most(80, 1000*o.When.Delay.Quantile(0.95), "ms", "report delay from first contact, 95 %, 0 dB and better")
}

// tempo are the bars for following the right one of the rhythms there are.
func (j *judge) tempo(rows, good, clean []*row) {
	for _, r := range begun(rows, trial.TempoGroup) {
		j.most(0, halves([]*row{r}), "", "half or double tempo, "+r.group)
	}
	j.most(0, halves(good), "", "half or double tempo, 0 dB and better")
	o := sum(begun(clean, trial.CleanGroup))
	j.most(1, some(o, o.Cadence.Worst), "steps/min", "error of the cadence over 10 s, worst, plain clean walks")
}

// near are the bars for what else keeps a rhythm: own clicks, other walkers.
func (j *judge) near(rows []*row) {
	own := only(rows, (*row).ownClicks)
	f, name := lowestF(own)
	j.least(0.99, f, "", "F50 with own clicks as loud as the steps; lowest: "+name)
	moved, name := highest(own, func(r *row) float64 { return 1000 * math.Abs(r.ours.At50.Bias()-r.bare.At50.Bias()) })
	j.most(3, moved, "ms", "timing bias moved by own clicks, most: "+name)
	j.least(0.98, f50(named(rows, trial.OthersGroup)), "", "F50 with "+trial.OthersGroup)
	o := sum(named(rows, trial.OneOtherGroup))
	j.least(0.9, 1-o.Strayed.Worst(), "", "F50 of the own walker once one other as loud has come, lowest", inFull)
}

// ownClicks tells whether a row is of own clicks as loud as the steps, at
// another tempo or 40 ms off the steps.
func (r *row) ownClicks() bool {
	for _, track := range []string{"other tempo", "same tempo, 40 ms off", "40 ms after the steps", "40 ms before the steps"} {
		if r.group == leakGroup+track {
			return true
		}
	}
	return false
}

// nobody are the bars for steps told while nobody walks.
func (j *judge) nobody(rows []*row) {
	still := only(rows, func(r *row) bool { return r.nobody() && !r.machine() })
	rate, name := highest(still, func(r *row) float64 { return r.ours.FalsePerMinute() })
	if rate == 0 {
		name = "none in any"
	}
	j.most(1, rate, "per min", "false steps with nobody walking; most: "+strings.TrimPrefix(name, trial.NobodyGroup))
	hum := only(still, func(r *row) bool { return steady[strings.TrimPrefix(r.group, trial.NobodyGroup)] })
	o := sum(hum)
	j.most(0, some(o, float64(o.At50.FP)), "steps", "in silence, noise, wind, traffic and voices")
}

// steady are the made sounds in which not one step may be found.
var steady = map[string]bool{"silence": true, "white": true, "pink": true, "wind": true, "traffic": true, "one voice": true, "voices": true}

// recorded are the bars for recorded or otherwise given walks.
func (j *judge) recorded(rows []*row) {
	f, name := lowestF(begun(rows, recorded))
	j.least(0.95, f, "", "F50 of every walk given; lowest: "+strings.TrimPrefix(name, recorded), with("needs --data"))
}

// compared is the bar beside aubio.
func (j *judge) compared(good []*row) {
	better, what := math.NaN(), "F50 above that of aubio's best method, 0 dB and better"
	if m := bestMethod(good); m != "" {
		ours, theirs := pooled(good, m)
		better = ours.F() - theirs.F()
		what = fmt.Sprintf("F50 above that of aubio's best method, %s (%.3f), 0 dB and better", m, theirs.F())
	}
	j.least(0.01, better, "", what, with("needs aubioonset"))
}
