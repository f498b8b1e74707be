package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"steadfoot/audio/device"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/measure"
	"steadfoot/coach/review"
	"steadfoot/detect"
)

// isWalk tells whether a source is the number of a stored walk and not a file.
func isWalk(source string) bool {
	_, err := strconv.ParseUint(source, 10, 63)
	return err == nil || source == "last"
}

func walksOnly(sources []string) bool {
	for _, s := range sources {
		if !isWalk(s) {
			return false
		}
	}
	return true
}

// walked takes each lap of a stored walk as a pass. Laps that cannot be measured
// are named only when none can.
func (o *measureOptions) walked(arg string) ([]pass, error) {
	store, err := openForReview(o.store)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	shelf := shelf{store: store, walks: map[int64]*measured{}}
	w, err := shelf.walk(arg)
	if err != nil {
		return nil, err
	}
	var out []pass
	var bad error
	for _, l := range w.laps {
		p, err := l.Pass(w.steps, o.length)
		if err != nil {
			bad = fmt.Errorf("walk %s, %w", arg, err)
			continue
		}
		p.DistanceSD = o.sd
		out = append(out, pass{p, fmt.Sprintf("walk %s, lap %d", arg, l.Lap)})
	}
	if len(out) == 0 {
		return nil, bad
	}
	return out, nil
}

// recorded measures one pass in a recording.
func (o *measureOptions) recorded(ctx context.Context, std stdio, name string) (measure.Pass, error) {
	in, err := openInput(ctx, std, name, o.input)
	if err != nil {
		return measure.Pass{}, err
	}
	defer in.Close()
	if in.pod != nil {
		return measure.Pass{}, fmt.Errorf("%s: a foot pod tells no single steps, so none can be counted", name)
	}
	ear, err := in.ear(detect.Left)
	if err != nil {
		return measure.Pass{}, err
	}
	bar := newProgress(std)
	var events []detect.Event
	for err == nil && ctx.Err() == nil {
		events, err = ear.Next(events)
		bar.show(in, ear.Now())
	}
	bar.clear()
	if err != io.EOF {
		return measure.Pass{}, errors.Join(err, ctx.Err())
	}
	for _, w := range in.warnings() {
		fmt.Fprintln(std.err, "steadfoot measure: warning:", w)
	}
	return o.between(name, stepsOf(ear.Flush(events)))
}

func stepsOf(events []detect.Event) []detect.Step {
	var steps []detect.Step
	for _, e := range events {
		if e.Kind == detect.KindStep {
			steps = append(steps, e.Step)
		}
	}
	return steps
}

// between is the pass from --from to --to; without them from the first step to
// the last, which are then taken to be the ones at the line.
func (o *measureOptions) between(name string, steps []detect.Step) (measure.Pass, error) {
	if len(steps) < 2 {
		return measure.Pass{}, fmt.Errorf("%s: no steps were found in it", name)
	}
	from, to, markSD := o.from, o.to, review.MarkSD
	if from < 0 && to < 0 {
		markSD = 0.01 // heard, not pressed
	}
	if from < 0 {
		from = steps[0].T
	}
	if to < 0 {
		to = steps[len(steps)-1].T
	}
	p, err := measure.Between(steps, from, to, o.length, o.sd, markSD)
	if err != nil {
		return p, fmt.Errorf("%s: %w", name, err)
	}
	return p, nil
}

// hearNow hears a pass at the microphone; Enter marks the cones.
func (o *measureOptions) hearNow(ctx context.Context, std stdio) (measure.Pass, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	d, err := device.Start(ctx, device.Options{NoOutput: true, Clock: monotonic()})
	if err != nil {
		return measure.Pass{}, err
	}
	defer d.Close()
	ear, err := live.NewSoundEar(d, detect.Left)
	if err != nil {
		return measure.Pass{}, err
	}
	lines := make(chan error)
	go func() {
		for in := bufio.NewReader(std.in); ; {
			_, err := in.ReadSlice('\n')
			if errors.Is(err, bufio.ErrBufferFull) {
				continue // the line goes on
			}
			select {
			case lines <- err:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
		}
	}()
	fmt.Fprintln(std.err, "Listening. Press Enter as the walker passes the first cone, and again at the second.")
	var marks []float64
	var events []detect.Event
	for len(marks) < 2 || ear.Now() < marks[1]+settle {
		if events, err = ear.Next(events); err != nil {
			return measure.Pass{}, err
		}
		select {
		case err := <-lines:
			if err != nil {
				return measure.Pass{}, errors.New("the input ended before the second cone")
			}
			marks = append(marks, ear.Now())
			fmt.Fprintf(std.err, "Cone %d at %.1f s.\n", len(marks), ear.Now())
		case <-ctx.Done():
			return measure.Pass{}, errors.New("stopped before the second cone")
		default:
		}
	}
	o.from, o.to = marks[0], marks[1]
	return o.between("microphone", stepsOf(ear.Flush(events)))
}

// settle is how long is listened on after the second cone, s, so that the steps
// around it are known.
const settle = 1.0

// clockNow counts seconds from its first call.
func clockNow() func() float64 {
	start := time.Now()
	return func() float64 { return time.Since(start).Seconds() }
}
