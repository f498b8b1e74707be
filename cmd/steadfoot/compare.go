package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"steadfoot/coach"
	"steadfoot/coach/compare"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
	"steadfoot/coach/units"
	"steadfoot/detect"
)

const compareHelp = `
Compares sets of reps: a drill against normal walking, before against after, with
the beat and without. Speed is step length times cadence, so a change of speed
splits into the part that came from length and the part that came from cadence;
both are given with their 95 % intervals, and no more is claimed than they allow.

A set is a stored walk and which of its laps: all of them, those with a label, or
by number.
  12              all laps of walk 12
  12:normal       the laps labelled 'normal' (by the session, or by the lap's note)
  12:2,4,6-8      laps 2, 4 and 6 to 8
  12:normal+15:normal   laps of two walks together

Laps count between two lap marks, the keys pressed at the line. Their length is
what the session says a lap is, or --lane, or --distance. A set needs 4 laps at
least; 6 or more tell more.

With --order it suggests in which order to walk two kinds of reps, so that tiring
falls on both alike, and with --session writes that as a session to walk.

A longer step in front of the body is no goal: what is gained is gained behind
it, and is the coach's to judge. Contact and knees are the judges' alone.

Examples:
  steadfoot compare 12:normal 12:drill
  steadfoot compare 12 15 --lane 1 --goal 20km
  steadfoot compare 12:1,3,5,7 12:2,4,6,8 --distance 200m --json
  steadfoot compare --order normal,hips --reps 4
  steadfoot compare --order normal,hips --reps 4 --distance 400m --session drill.toml`

// compareOptions are the flags of compare.
type compareOptions struct {
	store, distance, goal, units string
	lane                         int
	json                         bool
	order, session               string
	reps                         int
	seed                         uint64

	system      units.System
	length, far float64 // of a lap and of the goal, m
}

func runCompare(_ context.Context, std stdio, args []string) error {
	var o compareOptions
	fs := newFlags(std, "compare", "compare SET SET... [flags]", compareHelp)
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.StringVar(&o.distance, "distance", "", "length of a lap whose marks do not tell it, like 200m")
	fs.IntVar(&o.lane, "lane", 0, "the same, as the lane of a standard 400 m track, 1 to 9")
	fs.StringVar(&o.goal, "goal", "20km", "distance over which to tell what the change would be worth")
	fs.StringVar(&o.order, "order", "", "suggest an order for two kinds of reps, like normal,drill")
	fs.IntVar(&o.reps, "reps", 4, "how many of each, for --order")
	fs.StringVar(&o.session, "session", "", "write that order as a session to this file")
	fs.StringVar(&o.units, "units", "metric", "what is shown: metric or imperial")
	fs.BoolVar(&o.json, "json", false, "print JSON Lines, one comparison a line")
	fs.Uint64Var(&o.seed, "seed", 1, "of the bootstrap; the same seed gives the same intervals")
	rest, err := parseFlags(fs, args, 0, 50)
	if err != nil {
		return err
	}
	if err := o.read(); err != nil {
		return err
	}
	if o.order != "" {
		return o.writeOrder(std, rest)
	}
	if len(rest) < 2 {
		return usagef("name two sets, like 12:normal 12:drill; see 'steadfoot compare --help'")
	}
	return o.compare(std, rest)
}

func (o *compareOptions) read() (err error) {
	if o.system, err = units.ParseSystem(o.units); err != nil {
		return usagef("--units: %v", err)
	}
	if o.far, err = units.ParseDistance(o.goal); err != nil {
		return usagef("--goal: %v", err)
	}
	o.length, err = lapOf("distance", o.distance, o.lane)
	return err
}

// lapOf is the length of a lap in m by the flag of that name or --lane, 0 for
// neither.
func lapOf(flag, distance string, lane int) (float64, error) {
	switch {
	case distance != "" && lane != 0:
		return 0, usagef("--%s and --lane: give one", flag)
	case distance != "":
		d, err := units.ParseDistance(distance)
		if err != nil {
			return 0, usagef("--%s: %v", flag, err)
		}
		return d, nil
	case lane != 0:
		d, err := coach.LapLength(lane)
		if err != nil {
			return 0, usagef("--lane: %v", err)
		}
		return d, nil
	}
	return 0, nil
}

// compare reads the sets and compares each one after the first with the first.
func (o *compareOptions) compare(std stdio, names []string) error {
	store, err := openForReview(o.store)
	if err != nil {
		return err
	}
	defer store.Close()
	shelf := shelf{store: store, walks: map[int64]*measured{}}
	var sets []compare.Set
	for _, name := range names {
		set, err := shelf.set(name, o.length)
		if err != nil {
			return err
		}
		sets = append(sets, set)
	}
	b := bufio.NewWriter(std.out)
	defer b.Flush()
	if !o.json {
		printSets(b, sets, o.system)
	}
	for _, s := range sets[1:] {
		r, err := compare.Sets(sets[0], s, o.seed)
		if err != nil {
			return err
		}
		if o.json {
			err = json.NewEncoder(b).Encode(compareJSON(r, o.far))
		} else {
			o.print(b, r)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (o *compareOptions) print(w io.Writer, r compare.Result) {
	fmt.Fprintf(w, "\n%s against %s\n", r.To, r.From)
	fmt.Fprintf(w, "  %s\n", r.Verdict(o.system))
	share := func(c compare.Change) string { return fmt.Sprintf("%+.1f %%", 100*c.Value) }
	fmt.Fprintf(w, "  of the change of speed (as logarithms, which add up) %s is length, %s cadence, %s in all\n", share(r.LogLength), share(r.LogCadence), share(r.LogSpeed))
	fmt.Fprintf(w, "  %s\n", r.SecondsWords(o.far, o.system))
	for _, s := range r.Reading() {
		fmt.Fprintf(w, "  %s\n", s)
	}
}

func printSets(w io.Writer, sets []compare.Set, u units.System) {
	fmt.Fprintf(w, "%-20s  %4s  %10s  %8s  %8s  %11s\n", "Set", "Laps", "Time", "Cadence", "Length", "Pace")
	for _, s := range sets {
		for i, r := range s.Reps {
			name := ""
			if i == 0 {
				name = s.Name
			}
			fmt.Fprintf(w, "%-20s  %4s  %10s  %8.1f  %8s  %11s\n", name, r.Label, units.Time(r.Time, 1), r.Cadence(), u.Length(r.Length()), u.Pace(1000/r.Speed()))
		}
	}
}

// changeJSON is a change with its 95 % interval.
type changeJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type resultJSON struct {
	Kind       string     `json:"kind"` // "comparison"
	From       string     `json:"from"`
	To         string     `json:"to"`
	Reps       [2]int     `json:"reps"`
	Length     changeJSON `json:"step_length"` // m
	Cadence    changeJSON `json:"cadence"`     // steps/min
	Speed      changeJSON `json:"speed"`       // m/s
	LogLength  changeJSON `json:"log_step_length"`
	LogCadence changeJSON `json:"log_cadence"`
	LogSpeed   changeJSON `json:"log_speed"`
	Goal       float64    `json:"goal"`    // m
	Seconds    changeJSON `json:"seconds"` // over the goal; negative is faster
	Verdict    string     `json:"verdict"`
	Reading    []string   `json:"reading"`
}

func compareJSON(r compare.Result, far float64) resultJSON {
	c := func(c compare.Change) changeJSON { return changeJSON(c) }
	return resultJSON{Kind: "comparison", From: r.From, To: r.To, Reps: [2]int{r.FromN, r.ToN},
		Length: c(r.Length()), Cadence: c(r.Cadence()), Speed: c(r.Speed()),
		LogLength: c(r.LogLength), LogCadence: c(r.LogCadence), LogSpeed: c(r.LogSpeed),
		Goal: far, Seconds: c(r.Seconds(far)), Verdict: r.Verdict(units.Metric), Reading: r.Reading()}
}

// shelf reads walks once each.
type shelf struct {
	store *logbook.Store
	walks map[int64]*measured
}

// measured is what of a walk can be compared.
type measured struct {
	laps  []review.Stretch
	steps []detect.Step
}

func (s *shelf) walk(arg string) (*measured, error) {
	id, err := sessionID(s.store, arg)
	if err != nil {
		return nil, err
	}
	if w := s.walks[id]; w != nil {
		return w, nil
	}
	_, _, events, err := wholeWalk(s.store, id)
	if err != nil {
		return nil, err
	}
	w := &measured{review.Stretches(events), review.Steps(events)}
	s.walks[id] = w
	if len(w.laps) == 0 {
		return nil, fmt.Errorf("walk %d has no laps to compare: %w", id, compare.ErrUnmarked)
	}
	return w, nil
}

// set reads what the user named; length in m is that of a lap that does not tell
// its own.
func (s *shelf) set(name string, length float64) (compare.Set, error) {
	set := compare.Set{Name: name}
	for _, part := range strings.Split(name, "+") {
		id, which, _ := strings.Cut(part, ":")
		w, err := s.walk(id)
		if err != nil {
			return set, err
		}
		laps, err := choose(w.laps, which)
		if err != nil {
			return set, fmt.Errorf("%s: %w", part, err)
		}
		for _, l := range laps {
			p, err := l.Pass(w.steps, length)
			if err != nil {
				return set, fmt.Errorf("walk %s, %w", id, err)
			}
			set.Reps = append(set.Reps, compare.Rep{Distance: p.Distance, Time: p.Time, Steps: p.Steps, Label: strconv.Itoa(l.Lap)})
		}
	}
	return set, nil
}

// choose picks laps by number or by label; "" is all of them.
func choose(laps []review.Stretch, which string) ([]review.Stretch, error) {
	if which == "" {
		return laps, nil
	}
	if numbers, ok := parseNumbers(which); ok {
		var out []review.Stretch
		for _, n := range numbers {
			if n < 1 || n > len(laps) {
				return nil, fmt.Errorf("there is no lap %d; there are %d", n, len(laps))
			}
			out = append(out, laps[n-1])
		}
		return out, nil
	}
	var out []review.Stretch
	known := map[string]bool{}
	var labels []string
	for _, l := range laps {
		if strings.EqualFold(l.Label, which) {
			out = append(out, l)
		}
		if l.Label != "" && !known[l.Label] {
			known[l.Label] = true
			labels = append(labels, l.Label)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no lap is labelled %q; labels there: %s", which, strings.Join(labels, ", "))
	}
	return out, nil
}

// parseNumbers reads "2,4,6-8".
func parseNumbers(s string) ([]int, bool) {
	var out []int
	for _, f := range strings.Split(s, ",") {
		a, b, ranged := strings.Cut(f, "-")
		lo, err := strconv.Atoi(a)
		hi := lo
		if err == nil && ranged {
			hi, err = strconv.Atoi(b)
		}
		if err != nil || lo < 0 || hi < lo || hi-lo > 1000 {
			return nil, false
		}
		for n := lo; n <= hi; n++ {
			out = append(out, n)
		}
	}
	return out, true
}
