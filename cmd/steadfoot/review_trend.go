package main

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
)

// trendOptions say over which walks a trend is made.
type trendOptions struct {
	wanted                bool
	athlete, since, until string
	atCadence             float64
	atPace                string
}

func (o *trendOptions) flags(fs *pflag.FlagSet) {
	fs.BoolVar(&o.wanted, "trend", false, "tell how weeks and months went, for each athlete")
	fs.StringVar(&o.athlete, "athlete", "", "only this athlete's trend")
	fs.StringVar(&o.since, "since", "", "trend from this day on, like 2026-05-01")
	fs.StringVar(&o.until, "until", "", "trend up to this day")
	fs.Float64Var(&o.atCadence, "at-cadence", 0, "cadence at which the trend tells step length (default: the walker's middle one)")
	fs.StringVar(&o.atPace, "at-pace", "", "pace at which the trend tells cadence, like 5:00 (default: the walker's middle one)")
}

// check finds wrong use before anything is opened.
func (o *trendOptions) check(fs *pflag.FlagSet) error {
	if o.wanted {
		return nil
	}
	for _, name := range []string{"athlete", "since", "until", "at-cadence", "at-pace"} {
		if fs.Changed(name) {
			return usagef("--%s goes with --trend; 'steadfoot log list' finds walks", name)
		}
	}
	return nil
}

// filter says which walks count, and ref what their figures are told at.
func (o *trendOptions) filter() (f logbook.Filter, ref review.Reference, err error) {
	f.Athlete = o.athlete
	if f.From, err = parseDay("since", o.since, 0); err != nil {
		return f, ref, err
	}
	if f.Before, err = parseDay("until", o.until, 1); err != nil {
		return f, ref, err
	}
	if ref.Cadence = o.atCadence; ref.Cadence != 0 && !(ref.Cadence >= 60 && ref.Cadence <= 300) {
		return f, ref, usagef("--at-cadence %g: want 60 to 300 steps/min", ref.Cadence)
	}
	if o.atPace != "" {
		if ref.Pace, err = coach.ParsePace(o.atPace); err != nil {
			return f, ref, usagef("--at-pace: %v", err)
		}
	}
	return f, ref, nil
}

// reviewTrend prints the trends, or writes them as a page.
func reviewTrend(std stdio, s *logbook.Store, o reviewOptions) error {
	f, ref, err := o.trend.filter()
	if err != nil {
		return err
	}
	walks, err := digested(std.err, s, o.store, f)
	if err != nil {
		return err
	}
	all := review.Trends(walks, ref)
	switch {
	case o.json:
		return review.TrendsJSON(std.out, all)
	case len(all) == 0:
		_, err = fmt.Fprintln(std.out, "No such walks.")
		return err
	}
	if !o.files.wanted() {
		return review.PrintTrends(std.out, all)
	}
	var figures []review.Figure
	for i, t := range all {
		prefix := ""
		if len(all) > 1 {
			prefix = fmt.Sprintf("%d-", i+1)
		}
		figures = append(figures, t.Figures(prefix)...)
	}
	return o.files.write(std.out, func(w io.Writer) error { return review.WriteTrendsHTML(w, all) }, figures)
}

// manyNew is how many walks must be read before a word is said about it.
const manyNew = 50

// digested lists the walks with their digests. Those that have none yet are read
// and, where the store can be written, theirs are kept for the next time.
func digested(note io.Writer, s *logbook.Store, flag string, f logbook.Filter) ([]review.Walk, error) {
	list, err := s.Digests(f, review.DigestForm)
	if err != nil {
		return nil, err
	}
	walks := make([]review.Walk, len(list))
	var missing []int
	for i, d := range list {
		walks[i] = review.Walk{Started: d.Started, Athlete: d.Athlete}
		var err error
		if walks[i].Digest, err = review.DecodeDigest(d.Data); err != nil { // none, or damaged
			missing = append(missing, i)
		}
	}
	if len(missing) > manyNew {
		fmt.Fprintf(note, "Reading %d walks; the next time this is quick.\n", len(missing))
	}
	if err := digest(s, list, walks, missing); err != nil {
		return nil, err
	}
	return walks, keep(flag, list, walks, missing)
}

// digest reads walks and fills in their digests, as many at a time as there are
// processors.
func digest(s *logbook.Store, list []logbook.Digested, walks []review.Walk, missing []int) error {
	work := make(chan int)
	errs := make([]error, len(list))
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(missing)) {
		wg.Go(func() {
			for i := range work {
				var h logbook.Header
				var events []event.Event
				if h, _, events, errs[i] = wholeWalk(s, list[i].ID); errs[i] == nil {
					walks[i].Digest = review.NewDigest(h, events)
				}
			}
		})
	}
	for _, i := range missing {
		work <- i
	}
	close(work)
	wg.Wait()
	return errors.Join(errs...)
}

// keep puts new digests in the store. A store that cannot be written is no reason
// not to show the trend.
func keep(flag string, list []logbook.Digested, walks []review.Walk, missing []int) error {
	var all []logbook.Digest
	for _, i := range missing {
		data, err := walks[i].Encode()
		if err != nil {
			return err
		}
		all = append(all, logbook.Digest{Session: list[i].ID, Form: review.DigestForm, Events: list[i].Events, Data: data})
	}
	path, err := storeFile(flag)
	if err != nil || len(all) == 0 {
		return err
	}
	s, err := logbook.Open(path)
	if err != nil {
		return nil
	}
	defer s.Close()
	_ = s.KeepDigests(all) // what is not kept is read again the next time
	return nil
}

// keepDigest keeps the digest of one walk. Without it the first trend makes it.
func keepDigest(s *logbook.Store, h logbook.Header, info logbook.Info, events []event.Event) {
	if data, err := review.NewDigest(h, events).Encode(); err == nil {
		_ = s.KeepDigests([]logbook.Digest{{Session: info.ID, Form: review.DigestForm, Events: info.Events, Data: data}})
	}
}

// wholeWalk reads a walk.
func wholeWalk(s *logbook.Store, id int64) (logbook.Header, logbook.Info, []event.Event, error) {
	h, info, err := s.Session(id)
	if err != nil {
		return h, info, nil, err
	}
	events := make([]event.Event, 0, info.Events)
	for e, err := range s.Events(id) {
		if err != nil {
			return h, info, nil, err
		}
		events = append(events, e)
	}
	return h, info, events, nil
}
