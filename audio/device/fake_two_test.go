package device_test

import (
	"math"
	"strings"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/wire"
)

// A made-up device of "two" manners is two: microphone and earphones with a stream
// and a crystal each. The other words of the manner say what does not work.
const (
	fakeDrift = 300e-6  // by which the earphones' crystal is fast
	fakeAge   = 0.035   // s from the fetching of a frame to its sound
	fakeAir   = 1 << 16 // frames that are kept until the microphone hears them
	fakeStop  = 1.5     // s after which a side stops that is said to
)

// suits is how many streams the device opens when that is left to it.
func (f *fake) suits() int {
	if strings.HasPrefix(f.manner, "two") {
		return 2
	}
	return 1
}

// fails is how many streams do not open; -1 is none.
func (f *fake) fails() int {
	switch f.manner {
	case "two, but only together", "falters, and only together":
		return 2
	case "one, but only apart":
		return 1
	}
	return -1
}

// falter is the flags of a call: a device that falters does so every 0.7 s.
func (f *fake) falter(call, frames int) uint32 {
	often := 7 * audio.Rate / (10 * frames)
	if strings.HasPrefix(f.manner, "falters") && call%often == often-1 {
		return wire.OutputUnderflow
	}
	return 0
}

// runTwo calls p for each side, in the order in which they are due.
func (f *fake) runTwo(frames int, p engine.Process) {
	defer close(f.done)
	const fast = audio.Rate * (1 + fakeDrift)
	in, out, air := make([]float32, frames), make([]float32, 2*frames), make([]float32, fakeAir)
	start := f.clock() + 100*time.Millisecond // no time of the device is 0, which is unknown
	at := func(sec float64) time.Duration { return start + time.Duration(1e9*sec) }
	falters := f.manner == "falters with any number"
	for heard, played := 0, 0; ; {
		inDue, outDue := float64(heard+frames)/audio.Rate, float64(played)/fast
		select {
		case <-f.stop:
			return
		case <-time.After(at(min(inDue, outDue)) - f.clock()):
		}
		if outDue <= inDue {
			if !strings.HasSuffix(f.manner, "without earphones") && !f.stops("earphones", outDue) {
				flags := uint32(0)
				if falters {
					flags = f.falter(played/frames, frames)
				}
				p(nil, out, 2, engine.Call{Now: f.clock(), DAC: at(outDue + fakeAge)}, flags)
			}
			for i := range frames {
				air[(played+i)%fakeAir] = out[2*i]
			}
			played += frames
			continue
		}
		for i := range in {
			t := float64(heard+i)/audio.Rate - fakeAge
			in[i] = air[int(math.Round(max(0, t)*fast))%fakeAir]
		}
		if !f.stops("microphone", inDue) {
			p(in, nil, 0, engine.Call{ADC: at(float64(heard) / audio.Rate), Now: f.clock()}, 0)
		}
		heard += frames
	}
}

// stops says whether a side gives no more calls at that time, s.
func (f *fake) stops(side string, at float64) bool {
	return at > fakeStop && strings.HasSuffix(f.manner, side+" stop")
}
