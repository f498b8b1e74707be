package live

import (
	"context"
	"errors"
	"io"
	"math"
	"reflect"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/profiles"
	"steadfoot/testdata/footsteps"
)

// tape is a Source of given samples in blocks of a given size. At sample fail
// it breaks; at sample hole it loses some.
type tape struct {
	samples []float32
	size    int
	pos     int
	fail    int
	hole    int
	lost    int64
}

var errTorn = errors.New("tape torn")

func (t *tape) Rate() int    { return audio.Rate }
func (t *tape) Close() error { return nil }
func (t *tape) Read(b *audio.Block) error {
	if t.fail > 0 && t.pos >= t.fail {
		return errTorn
	}
	if t.pos >= len(t.samples) {
		return io.EOF
	}
	end := min(t.pos+t.size, len(t.samples))
	*b = audio.Block{Index: int64(t.pos) + t.lost, Samples: t.samples[t.pos:end]}
	if t.hole > 0 && t.pos >= t.hole {
		t.hole = 0
		t.lost = audio.Rate
		b.Lost, b.Index, b.Fault = t.lost, b.Index+t.lost, "one second lost"
	}
	t.pos = end
	return nil
}

// spool is a Sink that keeps what it gets; at frame fail it breaks.
type spool struct {
	frames []audio.Frame
	fail   int
}

func (s *spool) Write(f []audio.Frame) error {
	if s.fail > 0 && len(s.frames) > s.fail {
		return errTorn
	}
	s.frames = append(s.frames, f...)
	return nil
}
func (s *spool) Close() error { return nil }

type ledger []event.Event

func (l *ledger) Append(e event.Event) error {
	*l = append(*l, e)
	return nil
}

func settings(t *testing.T) coach.Settings {
	t.Helper()
	a := profiles.Defaults()
	a.Target.Cadence = 192
	a.StepLength = profiles.Constant(1.05)
	s, err := coach.For(a)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var walked = made.Spec{
	Seed: 3, Duration: 45,
	Gait:    made.Gait{Cadence: made.Jumps(182, made.Point{T: 25, V: 192}), JitterCV: 1.5, Start: 1},
	Surface: footsteps.Surface("gravel"),
	Noises:  []made.Noise{{Kind: made.Wind, SNR: 12}},
}.Walk()

// newWalk puts a walk together from a tape and a spool.
func newWalk(t *testing.T, in *tape, out *spool) (*Walk, *ledger) {
	t.Helper()
	ear, err := NewSoundEar(in, detect.Left)
	if err != nil {
		t.Fatal(err)
	}
	c, err := coach.New(settings(t))
	if err != nil {
		t.Fatal(err)
	}
	p, err := cue.NewPlayer(cue.Options{Volume: cue.DefaultVolume})
	if err != nil {
		t.Fatal(err)
	}
	log := new(ledger)
	return &Walk{Ear: ear, Coach: c, Log: log, Player: p, Sink: out, Lead: 0.1}, log
}

// TestSoundBeforeTheFirstRead: the clock of a device starts with the first Read,
// so what is to be played by then has to be there already.
func TestSoundBeforeTheFirstRead(t *testing.T) {
	out := &spool{}
	w, _ := newWalk(t, &tape{samples: walked.Samples[:audio.Rate], size: 512}, out)
	ear := w.Ear
	first := -1
	w.Ear = listener{ear, func() {
		if first < 0 {
			first = len(out.frames)
		}
	}}
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if first != audio.Rate/10 {
		t.Errorf("%d frames are written before the first read, want the 0.1 s that sound is made ahead", first)
	}
}

// TestLogIsWholeBeforeTheEndSignal: who is in a hurry cuts off no more than sound.
func TestLogIsWholeBeforeTheEndSignal(t *testing.T) {
	out := &spool{}
	w, log := newWalk(t, &tape{samples: walked.Samples[:audio.Rate], size: 512}, out)
	events, frames := 0, 0
	w.Ended = func() { events, frames = len(*log), len(out.frames) }
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if events == 0 || events != len(*log) {
		t.Errorf("%d of %d events are logged when the walk has ended", events, len(*log))
	}
	if frames != 2*audio.Rate || len(out.frames) != 3*audio.Rate {
		t.Errorf("%d of %d frames are written by then, want 1 s and 2 s after the walk", frames, len(out.frames))
	}
}

// listener calls before ahead of each Next.
type listener struct {
	Ear
	before func()
}

func (l listener) Next(dst []detect.Event) ([]detect.Event, error) {
	l.before()
	return l.Ear.Next(dst)
}

// TestBlocksDoNotMatter: the loop is moved on by the input alone, so the same
// sound in other pieces gives the same events and the same output.
func TestBlocksDoNotMatter(t *testing.T) {
	var events ledger
	var sound []audio.Frame
	for _, size := range []int{256, 1000, 4096} {
		out := &spool{}
		w, log := newWalk(t, &tape{samples: walked.Samples, size: size}, out)
		if err := w.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		if events == nil {
			events, sound = *log, out.frames
			continue
		}
		if !reflect.DeepEqual(events, *log) {
			t.Errorf("blocks of %d give other events", size)
		}
		if !slices.Equal(sound, out.frames) {
			t.Errorf("blocks of %d give another sound", size)
		}
	}
	for _, kind := range []string{"step", "rhythm", "beat", "cue", "mark"} {
		if !slices.ContainsFunc(events, func(e event.Event) bool { return e.Kind() == kind }) {
			t.Errorf("no %s in the log", kind)
		}
	}
	if d := coach.Replay(settings(t), slices.Values(events)); len(d) > 0 {
		t.Errorf("the replay differs: %v", d)
	}
}

// TestClicksOnTheBeat finds the clicks in the output: each is at its beat, to a
// sample, and earlier by the latency to the ear.
func TestClicksOnTheBeat(t *testing.T) {
	for _, latency := range []float64{0, 0.18} {
		out := &spool{}
		w, log := newWalk(t, &tape{samples: walked.Samples[:12*audio.Rate], size: 256}, out)
		w.Latency = latency
		w.Silent = map[string]bool{event.CueStart: true} // it sounds over the first clicks
		if err := w.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		var piece event.Beat
		for _, e := range *log {
			if b, ok := e.(event.Beat); ok && b.Period > 0 {
				piece = b
			}
		}
		for k := range 25 {
			at := int(math.Round((piece.Start + float64(k)*piece.Period - latency) * audio.Rate))
			if got := onset(out.frames, at); got < at-1 || got > at+1 {
				t.Fatalf("latency %g s: click %d at sample %d, want %d", latency, k, got, at)
			}
		}
		if n := w.Player.Dropped(); n > 0 {
			t.Errorf("%d sounds dropped", n)
		}
	}
}

// onset is the first sample around at, within 20 ms, of half the peak there.
func onset(f []audio.Frame, at int) int {
	from, to := at-audio.Rate/50, at+audio.Rate/50
	level := func(i int) float64 { return math.Max(math.Abs(float64(f[i][0])), math.Abs(float64(f[i][1]))) }
	var peak float64
	for i := from; i < to; i++ {
		peak = math.Max(peak, level(i))
	}
	for i := from; i < to; i++ {
		if peak > 0 && level(i) >= peak/2 {
			return i
		}
	}
	return -1
}

// TestInputFails: the walk ends with the error, and the log tells of it and has
// its end.
func TestInputFails(t *testing.T) {
	w, log := newWalk(t, &tape{samples: walked.Samples, size: 512, fail: 6 * audio.Rate}, &spool{})
	if err := w.Run(context.Background()); !errors.Is(err, errTorn) {
		t.Errorf("error %v, want %v", err, errTorn)
	}
	n := len(*log)
	if f, ok := (*log)[n-4].(event.Fault); !ok || f.What != errTorn.Error() {
		t.Errorf("no fault before the end: %+v", (*log)[n-4:])
	}
	if !slices.Contains(*log, event.Event(event.Mark{T: w.Ear.Now(), Name: event.MarkEnd})) {
		t.Error("no end mark")
	}
}

// TestOutputFails: so it does when the output breaks.
func TestOutputFails(t *testing.T) {
	w, log := newWalk(t, &tape{samples: walked.Samples, size: 512}, &spool{fail: 5 * audio.Rate})
	if err := w.Run(context.Background()); !errors.Is(err, errTorn) {
		t.Errorf("error %v, want %v", err, errTorn)
	}
	if !slices.ContainsFunc(*log, func(e event.Event) bool { return e.Kind() == "fault" }) {
		t.Error("no fault in the log")
	}
}

// TestLostInput: the clock counts what was lost, and the fault is logged once.
func TestLostInput(t *testing.T) {
	w, log := newWalk(t, &tape{samples: walked.Samples[:10*audio.Rate], size: 480, hole: 5 * audio.Rate}, &spool{})
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if now := w.Ear.Now(); now != 11 {
		t.Errorf("ended at %g s, want 11", now)
	}
	faults := 0
	for _, e := range *log {
		if e.Kind() == "fault" {
			faults++
		}
	}
	if faults != 1 {
		t.Errorf("%d faults, want 1", faults)
	}
}

// TestStopAndMarks: an interrupt ends the walk as its input would, a mark gets
// the time of the walk, and Length ends it too.
func TestStopAndMarks(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	w, log := newWalk(t, &tape{samples: walked.Samples, size: 480}, &spool{})
	marks := make(chan event.Mark, 1)
	marks <- event.Mark{Name: event.MarkLap, Note: "cone"}
	close(marks)
	w.Marks = marks
	w.Show = func(e event.Event) {
		if e.At() > 4 {
			stop()
		}
	}
	if err := w.Run(ctx); err != nil {
		t.Fatal(err)
	}
	if now := w.Ear.Now(); now < 4 || now > 4.6 {
		t.Errorf("stopped at %g s, want about 4", now)
	}
	if !slices.Contains(*log, event.Event(event.Mark{T: 0.01, Name: event.MarkLap, Note: "cone"})) {
		t.Errorf("the lap mark is not there: %v", (*log)[:6])
	}

	w, _ = newWalk(t, &tape{samples: walked.Samples, size: 480}, &spool{})
	w.Length = 3
	if err := w.Run(context.Background()); err != nil || w.Ear.Now() != 3 {
		t.Errorf("ended at %g s with %v, want 3", w.Ear.Now(), err)
	}
}

// TestUnder: the walk's own sound is in the output, in its place, and the sum
// stays under the cap.
// TestTakenBack: what the leader takes back does not sound, also where the player
// had it already; what comes after it does.
func TestTakenBack(t *testing.T) {
	player, err := cue.NewPlayer(cue.Options{Volume: 1})
	if err != nil {
		t.Fatal(err)
	}
	voice, _, err := cue.NewVoice(cue.Tones, "")
	if err != nil {
		t.Fatal(err)
	}
	c, err := coach.New(settings(t))
	if err != nil {
		t.Fatal(err)
	}
	w := Walk{Player: player, Voice: voice, Coach: c, Log: new(ledger)}
	w.cue(event.Cue{T: 2, Name: event.CueHalfWay})
	w.cue(event.Cue{T: 5, Name: event.CueHalfWay})
	w.take(event.Call{T: 1, Due: 2, Name: event.CallOff, Line: event.CueRepEnd})
	if n := len(w.said); n != 2 {
		t.Fatalf("%d cues are known", n)
	}
	w.take(event.Call{T: 1, Due: 4.9, Name: event.CallOff, Line: event.CueHalfWay})
	out := make([]audio.Frame, 8*audio.Rate)
	player.Render(out)
	loud := func(from, to float64) bool {
		return slices.ContainsFunc(out[int(from*audio.Rate):int(to*audio.Rate)], func(f audio.Frame) bool { return f != audio.Frame{} })
	}
	if !loud(1.5, 4) || loud(4, 8) {
		t.Errorf("heard the one: %v, the one that was taken back: %v", loud(1.5, 4), loud(4, 8))
	}
}

func TestUnder(t *testing.T) {
	in := make([]float32, 3*audio.Rate)
	for i := range in {
		in[i] = float32(math.Sin(2 * math.Pi * 400 * float64(i) / audio.Rate))
	}
	out := &spool{}
	w, _ := newWalk(t, &tape{samples: in, size: 480}, out)
	w.Under = &tape{samples: in, size: 333}
	if err := w.Player.SetVolume(1); err != nil {
		t.Fatal(err)
	}
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	// After the start signal and between the clicks at 2.125 and 2.4375 s only the
	// tone is there.
	var dot, power float64
	for i := audio.Rate * 9 / 4; i < audio.Rate*12/5; i++ {
		dot += float64(in[i]) * float64(out.frames[i][0])
		power += float64(out.frames[i][0]) * float64(out.frames[i][0])
	}
	if r := dot / math.Sqrt(power*float64(audio.Rate)*3/40); r < 0.999 {
		t.Errorf("correlation of the walk with the output %.4f, want 1", r)
	}
	if p := w.Player.PeakDBFS(); p > -1 {
		t.Errorf("peak %.2f dBFS, want at most -1", p)
	}
}
