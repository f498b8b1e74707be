// Package live drives one walk: what is heard goes to the coach, what the coach
// answers goes to the player, the player's sound goes out, and every event goes
// to the log, in that order and in one goroutine.
//
// The loop is the same for a microphone and for a file. It is moved on by the
// input alone, so a recording that is run through as fast as the machine can
// gives the events that a walk in real time would have given.
package live

import (
	"context"
	"fmt"
	"io"
	"math"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// Ear hears the walk, piece by piece.
type Ear interface {
	// Next appends what the next piece of the input brought to light. It
	// returns io.EOF when the input has ended.
	Next(dst []detect.Event) ([]detect.Event, error)
	// Flush appends what was held back until the end was known.
	Flush(dst []detect.Event) []detect.Event
	// Now is the session time up to which the input has been heard, s.
	Now() float64
	// Fault is what went wrong in the last piece, in one line; "" when nothing did.
	Fault() string
}

// Recorder keeps events. Append must not wait for a disk.
type Recorder interface {
	Append(event.Event) error
}

// Tail is how long the sound goes on after the end of the walk, s, so that the
// end signal is heard.
const Tail = 2.0

// Walk is one walk and the parts it is made of. Set the fields, then Run.
type Walk struct {
	Ear    Ear
	Coach  *coach.Coach
	Log    Recorder
	Player *cue.Player
	// Voice has the sounds of the cues; nil is plain tones.
	Voice *cue.Voice
	// Silent names the cues that are not played; may be nil.
	Silent map[string]bool
	// Accents tells that some beats stand out: the others are played softer.
	Accents bool
	// Dose adds up what is played; may be nil.
	Dose *cue.Dose
	// Sink is where the sound goes; nil plays nothing.
	Sink audio.Sink
	// Played is told what goes to Sink, from sample 0 on, where the ear may hear
	// it, as SoundEar.Played; nil is for one that cannot.
	Played func([]audio.Frame)
	// Under is mixed with the cues, at audio.Rate; nil is silence. It is for
	// listening to a recorded walk together with what the walker would hear.
	Under audio.Source
	// Lead is how far ahead of the input sound is made, s.
	Lead float64
	// Latency is how long the sound takes from the device to the ear, s. Beats
	// and cues are played so much earlier.
	Latency float64
	// Marks brings marks set by a person; their time is set by Run. May be nil.
	Marks <-chan event.Mark
	// Led is asked after each piece what the leader of a group wants, and appends
	// it to dst, with now as its time. It must not wait. May be nil.
	Led func(dst []event.Event, now float64) []event.Event
	// Wishes brings what a person wants of the machine, like another volume. They
	// are called between two pieces, in Run's goroutine, and must not wait. May
	// be nil.
	Wishes <-chan func(*Walk)
	// Trouble is asked after each piece what has gone wrong beside the walk, as on
	// a disk; it tells each thing once, without its time, and then a Fault with
	// nothing in What. It must not wait. May be nil.
	Trouble func() event.Fault
	// Length ends the walk at that session time, s; 0 is no limit.
	Length float64
	// Show is called with every event once it is in the log; may be nil.
	Show func(event.Event)
	// Ended is called once the last event is in the log, while the end signal is
	// still to be heard; may be nil.
	Ended func()
	// Pace is called with the session time after each piece, and may wait; nil
	// does not. An error of it ends the walk.
	Pace func(ctx context.Context, now float64) error

	found   []detect.Event
	answers []event.Event
	wanted  []event.Event // of Led
	said    []said        // the last cues
	frames  []audio.Frame
	planned float64 // beats before this time are with the player, s
}

// Run walks until the input ends, ctx is done or Length is reached, and then
// gives the end signal. The error is what went wrong with the input or the
// sound; what was heard until then is in the log all the same.
func (w *Walk) Run(ctx context.Context) error {
	if w.Voice == nil {
		var err error
		if w.Voice, _, err = cue.NewVoice(cue.Tones, ""); err != nil {
			return err
		}
	}
	if w.Under != nil {
		if err := playUnder(w.Player, w.Under); err != nil {
			return err
		}
	}
	w.take(event.Mark{T: 0, Name: event.MarkStart})
	err := w.sound(w.Lead) // ahead of the first Read, which starts a device's clock
	if err == nil {
		err = w.hear(ctx)
	}
	if err == io.EOF || ctx.Err() != nil {
		err = nil
	}
	for _, e := range w.Ear.Flush(w.found[:0]) {
		w.take(event.From(e))
	}
	now := w.Ear.Now()
	if err != nil {
		w.take(event.Fault{T: now, What: err.Error()})
	}
	w.take(event.Mark{T: now, Name: event.MarkEnd})
	if serr := w.end(now); err == nil {
		err = serr
	}
	return err
}

// end plays the end signal. The first second of it is written before Ended,
// which may wait for a disk, and is heard meanwhile.
func (w *Walk) end(now float64) error {
	err := w.sound(now + 1)
	if w.Ended != nil {
		w.Ended()
	}
	if err != nil {
		return err
	}
	return w.sound(now + Tail)
}

// hear moves the walk on until something ends it.
func (w *Walk) hear(ctx context.Context) error {
	for ctx.Err() == nil && !(w.Length > 0 && w.Ear.Now() >= w.Length) {
		var err error
		if w.found, err = w.Ear.Next(w.found[:0]); err != nil {
			return err
		}
		now := w.Ear.Now()
		if f := w.Ear.Fault(); f != "" {
			w.take(event.Fault{T: now, What: f})
		}
		for _, e := range w.found {
			w.take(event.From(e))
		}
		w.takeClaps()
		w.takeMarks(now)
		w.takeLed(now)
		w.takeWishes()
		w.takeTrouble(now)
		w.takeObstacles(now)
		if err := w.sound(now + w.Lead); err != nil {
			return err
		}
		if w.Pace == nil {
			continue
		}
		if err := w.Pace(ctx, now); err != nil {
			return err
		}
	}
	return nil
}

func (w *Walk) takeMarks(now float64) {
	for {
		select {
		case m, open := <-w.Marks:
			if !open {
				w.Marks = nil
				return
			}
			m.T = now
			w.take(m)
		default:
			return
		}
	}
}

func (w *Walk) takeLed(now float64) {
	if w.Led == nil {
		return
	}
	w.wanted = w.Led(w.wanted[:0], now)
	for _, e := range w.wanted {
		w.take(e)
	}
}

func (w *Walk) takeWishes() {
	for {
		select {
		case f, open := <-w.Wishes:
			if !open {
				w.Wishes = nil
				return
			}
			f(w)
		default:
			return
		}
	}
}

func (w *Walk) takeTrouble(now float64) {
	if w.Trouble == nil {
		return
	}
	for f := w.Trouble(); f.What != ""; f = w.Trouble() {
		f.T = now
		w.take(f)
	}
}

// Mark takes a mark, at the present time. It is for Wishes.
func (w *Walk) Mark(m event.Mark) {
	m.T = w.Ear.Now()
	w.take(m)
}

// Fault takes a fault beside the walk, in one line, at the present time. It is for
// Wishes.
func (w *Walk) Fault(what string) { w.take(event.Fault{T: w.Ear.Now(), What: what}) }

// take hands one input event to the coach, and logs it and the answers.
func (w *Walk) take(in event.Event) {
	if r, ok := in.(event.Rhythm); ok {
		r.Pace, r.Distance = w.Coach.Pace(r.Cadence), w.Coach.Distance()
		in = r
	}
	if m, ok := in.(event.Mark); ok && (m.Name == event.MarkPause || m.Name == event.MarkSkip) {
		w.Player.StopCues() // what is being said is about something that is over
	}
	if c, ok := in.(event.Call); ok && c.Name == event.CallOff {
		w.takeBack(c)
	}
	w.keep(in)
	w.answers = w.Coach.Handle(w.answers[:0], in)
	for _, a := range w.answers {
		w.keep(a)
		switch a := a.(type) {
		case event.Cue:
			w.cue(a)
		case event.Beat:
			w.replan(a)
		}
	}
}

func (w *Walk) keep(e event.Event) {
	w.Log.Append(e) // a log that fails says so itself; the walk goes on
	if w.Show != nil {
		w.Show(e)
	}
}

func (w *Walk) cue(c event.Cue) {
	if w.Silent[c.Name] {
		return
	}
	if clip, ok := w.Voice.Clip(c.Name, c.Value, c.Line); ok {
		at := max(w.sample(c.T), w.Player.EarliestClip(clip))
		w.Player.PlayClip(clip, at) // a lost one is counted by the player
		w.said = append(w.said[max(0, len(w.said)-mostSaid+1):], said{c, at})
	}
}

// said is a cue that the player was given, and its place in the output.
type said struct {
	event.Cue
	at int64
}

// mostSaid is how many are remembered: far more than can still be to come.
const mostSaid = 8

// takeBack drops what the leader of a group has taken back, if it does not sound yet.
func (w *Walk) takeBack(c event.Call) {
	for _, s := range w.said {
		if s.Name == c.Line && s.T >= c.Due {
			w.Player.CancelClip(s.at)
		}
	}
}

// sample is the output sample that reaches the ear at time t.
func (w *Walk) sample(t float64) int64 {
	return int64(math.Round((t - w.Latency) * audio.Rate))
}

// replan takes back the clicks that a new piece of the beat map makes wrong.
func (w *Walk) replan(b event.Beat) {
	earliest := float64(w.Player.Earliest(cue.ClickLeft))/audio.Rate + w.Latency
	from := max(b.Start, earliest)
	w.Player.CancelAfter(w.sample(from))
	w.planned = min(w.planned, from)
}

// softer is by how much beats that do not stand out are softer than those that
// do, dB: clearly heard, and still a beat.
const softer = -6.0

// beats gives the player all clicks that sound before session time t.
func (w *Walk) beats(t float64) {
	w.Coach.Beats().Between(w.planned, t, func(b coach.Beat) {
		s := cue.ClickLeft
		if b.Side == detect.Right {
			s = cue.ClickRight
		}
		level := b.Level
		if w.Accents && !b.Accent {
			level += softer
		}
		w.Player.PlayClick(s, w.sample(b.T), level)
	})
	w.planned = max(w.planned, t)
}

// notice is how much earlier than it sounds a click is handed to the player, s.
const notice = 0.05

// sound makes and puts out the sound up to output time t.
func (w *Walk) sound(t float64) error {
	w.beats(t + w.Latency + notice)
	n := int64(t*audio.Rate) - w.Player.Pos()
	for n > 0 {
		w.frames = w.frames[:min(n, int64(cap(w.frames)))]
		if len(w.frames) == 0 {
			w.frames = make([]audio.Frame, 1024)
			continue
		}
		w.Player.Render(w.frames)
		n -= int64(len(w.frames))
		if w.Played != nil {
			w.Played(w.frames)
		}
		if w.Dose != nil {
			w.Dose.Add(w.frames)
		}
		if w.Sink == nil {
			continue
		}
		if err := w.Sink.Write(w.frames); err != nil {
			return fmt.Errorf("sound out: %w", err)
		}
	}
	return nil
}
