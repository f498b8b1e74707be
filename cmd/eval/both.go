package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"steadfoot/detect/score/trial"
)

// bothRow is what was found in the walks of one kind that are heard and felt.
type bothRow struct {
	group string
	n     int
	trial.Judged
}

// heardAndFelt judges made walks with a microphone and a sensor.
func heardAndFelt(short bool, progress io.Writer) ([]*bothRow, error) {
	each, hands := 6, 6
	if short {
		each, hands = 1, 2
	}
	var rows []*bothRow
	all := append(trial.Boths(each), trial.Hands(hands)...)
	for i, b := range all {
		fmt.Fprintf(progress, "\r%d of %d walks heard and felt", i+1, len(all))
		j, err := b.Judge()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.Group, err)
		}
		if i == 0 || all[i-1].Group != b.Group {
			rows = append(rows, &bothRow{group: b.Group})
		}
		r := rows[len(rows)-1]
		r.n++
		r.Add(j)
	}
	fmt.Fprintln(progress)
	return rows, nil
}

// printBoth prints what was found by ear, by a sensor, and by both in one filter.
func printBoth(out io.Writer, rows []*bothRow) {
	fmt.Fprint(out, `
Steps of a walker who is heard and wears a sensor: F of the pairs within 50 ms (25 ms).
sensor, lag known: its steps moved by the median of their own errors, which nobody knows; shown only.
delay: ms from first contact until a right step was told, median. false: steps a minute, nobody walking.

`)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "condition\tn\tsound\t(25)\tsensor\tsensor, lag known\t(25)\tjoined\t(25)\tbias\tspread\tdelay\tfalse: sound\tsensor\tjoined\t")
	for _, r := range rows {
		if r.group == trial.HandsGroup {
			fmt.Fprintf(w, "%s\t%d\t-\t-\t-\t-\t-\t-\t-\t-\t-\t-\t%.1f\t%.1f\t%.1f\t\n", r.group, r.n,
				r.Sound.FalsePerMinute(), r.Felt.FalsePerMinute(), r.Joined.FalsePerMinute())
			continue
		}
		o := r.Joined
		fmt.Fprintf(w, "%s\t%d\t%.3f\t%.3f\t%.3f\t%.3f\t%.3f\t%.3f\t%.3f\t%+.1f\t%.1f\t%s\t-\t-\t-\t\n", r.group, r.n,
			r.Sound.At50.F(), r.Sound.At25.F(), r.Felt.At50.F(), r.FeltCentred.At50.F(), r.FeltCentred.At25.F(),
			o.At50.F(), o.At25.F(), 1000*o.At50.Bias(), 1000*o.At50.Spread(), cell(1000*o.When.Delay.Quantile(0.5), 0))
	}
	w.Flush()
}

// both judges that a sensor beside the sound never harms, and helps where neither
// does well alone.
func (j *judge) both(rows []*bothRow) {
	for _, r := range rows {
		switch r.group {
		case trial.HandsGroup:
			j.most(max(r.Sound.FalsePerMinute(), r.Felt.FalsePerMinute())+1, r.Joined.FalsePerMinute(), "per min",
				"joined: false steps with nobody walking and busy hands; limit: the worse of both alone, and 1")
		case trial.BothFailGroup:
			j.least(0.03, r.Gain(), "", "joined: F50 above the better of sound and sensor, "+r.group)
		default:
			j.least(-0.005, r.Gain(), "", "joined: F50 above the better of sound and sensor, "+r.group)
		}
	}
}
