package engine

import (
	"fmt"
	"math"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/wire"
	"steadfoot/audio/device/timebase"
)

// follower learns the clocks of two devices and aims the output: the session's
// sample i is to be heard a constant time, the trip, after sample i was captured.
type follower struct {
	p   *pair
	in  *timebase.Line // of input frames, lost ones counted
	out *timebase.Line // of output frames, lost ones counted

	losses *timeline // of the output
	lost   int64     // output frames lost so far
	held   int       // stamps that losses holds back
	age    float64   // from the callback to the sound of its first frame, s; last known
	aged   bool      // the device tells the age
	lag    lagWatch

	origin int64   // input frame, lost ones counted, of session sample 0; -1 before
	trip   float64 // seconds; 0 before it is settled
	told   bool    // the trip is of both devices' own times
}

func newFollower(p *pair) *follower {
	return &follower{
		p: p, in: timebase.NewLine(audio.Rate), out: timebase.NewLine(audio.Rate),
		losses: newTimeline(audio.Rate), origin: -1,
	}
}

// drain looks at the output's new callbacks.
func (f *follower) drain() error {
	for f.held < f.p.stamps.Len() {
		st := f.p.stamps.At(f.held)
		f.held++
		if age, ok := st.age(); ok {
			f.age, f.aged = age, true
		}
		at := float64(st.clock)/1e9 + f.age
		ready, lost := f.losses.observe(at-float64(st.frame+f.lost)/audio.Rate, st.flags&wire.Xrun != 0, st.frames)
		if !ready {
			continue
		}
		if lost > 0 {
			f.lost += lost
			f.out.Gap()
		}
		f.out.Add(st.frame+f.lost, time.Duration(at*1e9))
		if err := f.lag.note(f.age, float64(st.frames)/audio.Rate); err != nil {
			return fmt.Errorf("earphones: %w", err)
		}
		f.p.stamps.Release(f.held)
		f.held = 0
	}
	return nil
}

// age is how long after the callback its first frame is heard, in seconds.
func (s *stamp) age() (sec float64, ok bool) {
	d := time.Duration(s.dac - s.now)
	if s.dac == 0 || s.now == 0 || d < -time.Second || d > time.Minute {
		return 0, false
	}
	return d.Seconds(), true
}

// heard takes an input callback that is settled; lost input frames came before
// it, and shift in all. old is the age of its last sample.
func (f *follower) heard(slot *ring.Slot, shift, lost int64, old float64) {
	if lost > 0 {
		f.in.Gap()
	}
	if zero := f.p.zero.Load(); f.origin < 0 && zero >= 0 && slot.Index >= zero {
		f.origin = zero + shift
	}
	end := slot.Index + int64(len(slot.Samples)) + shift
	f.in.Add(end, time.Duration(float64(slot.Clock)-1e9*old))
	if f.origin < 0 || !f.out.Known() {
		return
	}
	if f.trip == 0 {
		// As if there were one stream: a callback plays what stands for what
		// it has just heard.
		f.trip = old + f.age + float64(len(slot.Samples))/audio.Rate
		f.told = f.aged && slot.ADC != 0
	}
	f.p.aim.set(f.target())
}

// target is where the output belongs by what is known now.
func (f *follower) target() aim {
	const ahead = 10 * audio.Rate
	frame := int64(math.Round(f.out.Index(f.in.Time(float64(f.in.Last()))))) - f.lost
	a, b := f.place(frame), f.place(frame+ahead)
	return aim{frame, a, (b - a) / ahead}
}

// place is the place in the session, in samples, that an output frame is for.
func (f *follower) place(frame int64) float64 {
	heard := f.out.Time(float64(frame + f.lost))
	return f.in.Index(heard-time.Duration(1e9*f.trip)) - float64(f.origin)
}

// drift is how much faster than the input the output runs, in millionths, and
// the standard error of that.
func (f *follower) drift() (ppm, sd float64) {
	in, inSD := f.in.PPM()
	out, outSD := f.out.PPM()
	return out - in, math.Hypot(inSD, outSD)
}

// complete puts into a block's head what is known of both sides: its place in
// the session, and when the output of that place is heard.
func (f *follower) complete(h *wire.BlockHead) {
	if f.origin < 0 {
		h.Index = -1
		return
	}
	h.Index -= f.origin
	h.DAC = 0
	if f.told && h.ADC != 0 {
		h.DAC = h.ADC + int64(1e9*f.trip)
	}
	h.Drift, h.DriftSD = f.drift()
}
