package main

import (
	"fmt"
	"io"
	"runtime"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// costOptions ask for the cost instead of the detection.
type costOptions struct {
	on    bool
	hours float64
	feed  string // a sound file to run the detector over, saying nothing: the other side of the comparison with aubio
}

func (o *costOptions) flags(fs *pflag.FlagSet) {
	fs.BoolVar(&o.on, "cost", false, "measure what the detector costs, instead of what it finds")
	fs.Float64Var(&o.hours, "cost-hours", 3, "h of sound to be fed in one piece, for its memory and its cost at the end")
	fs.StringVar(&o.feed, "cost-feed", "", "a sound file")
	if err := fs.MarkHidden("cost-feed"); err != nil {
		panic(err) // the flag is there
	}
}

// costRates are the sample rates whose cost is shown, Hz.
var costRates = []float64{8000, 16000, 44100, 48000, 96000, 192000}

const (
	costBlock = 512   // samples in a piece, as from a microphone
	costLoop  = 20.0  // s of walk, fed again and again
	costRate  = 48000 // Hz, of what the bars are for
	costWarm  = 10.0  // s, before anything is measured
)

// What the detector may cost.
const (
	leastSpeed  = 300.0 // times real time at costRate
	mostGrowth  = 1.1   // of the cost, from the first minutes to the last
	mostHeapKB  = 64.0  // more in use after than before
	mostHeldMB  = 1.0   // more taken from the system
	mostAgainst = 1.0   // of aubio's processor time on the same file
)

// stream is a walk in noise without end, and the detector that hears it.
type stream struct {
	det    *detect.Sound
	loop   []float32
	at     int
	rate   float64
	events []detect.Event
}

func newStream(rate float64) (*stream, error) {
	det, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	if err != nil {
		return nil, err
	}
	return &stream{det: det, loop: costWalk(rate, costLoop), rate: rate, events: make([]detect.Event, 0, 256)}, nil
}

// costWalk is so many seconds of the walk that is fed.
func costWalk(rate, seconds float64) []float32 {
	return made.Spec{
		Seed: 1, Rate: rate, Duration: seconds, Surface: footsteps.Surface("hard"), LevelJitter: 1.5,
		Gait:   made.Gait{Cadence: made.Steady(190), JitterCV: 2},
		Noises: []made.Noise{{Kind: made.Pink, SNR: 3}},
	}.Walk().Samples
}

// feed feeds so many seconds.
func (s *stream) feed(seconds float64) {
	for n := int(seconds * s.rate); n > 0; {
		m := min(n, costBlock, len(s.loop)-s.at)
		s.events = s.det.Feed(s.events[:0], s.loop[s.at:s.at+m])
		n -= m
		if s.at += m; s.at == len(s.loop) {
			s.at = 0
		}
	}
}

// spent is the processor time for feeding so many seconds.
func (s *stream) spent(seconds float64) time.Duration {
	from := cpuTime()
	s.feed(seconds)
	return cpuTime() - from
}

// rateCost is the cost at one sample rate.
type rateCost struct {
	rate   float64       // Hz
	second time.Duration // processor time for a second of sound
}

// speed is how many times real time that is.
func (c rateCost) speed() float64 { return 1 / max(c.second.Seconds(), 1e-12) }

// costAt measures at a rate: the least of some runs, as other work on the
// machine only adds.
func costAt(rate, seconds float64, runs int) (rateCost, error) {
	s, err := newStream(rate)
	if err != nil {
		return rateCost{}, err
	}
	s.feed(costWarm)
	least := s.spent(seconds)
	for range runs - 1 {
		least = min(least, s.spent(seconds))
	}
	return rateCost{rate, time.Duration(float64(least) / seconds)}, nil
}

// longCost is what hours of sound in one piece cost.
type longCost struct {
	hours        float64
	first, last  time.Duration // processor time for a minute: the median of the first five, and of the last five
	heap, held   float64       // bytes more in use, and more taken from the system, at the end than after the first minute
	allocsABlock float64
}

// feedLong feeds hours of sound.
func feedLong(hours float64, progress io.Writer) (longCost, error) {
	s, err := newStream(costRate)
	if err != nil {
		return longCost{}, err
	}
	s.feed(60)
	before := memory()
	minutes := make([]time.Duration, max(10, int(hours*60)))
	for i := range minutes {
		minutes[i] = s.spent(60)
		fmt.Fprintf(progress, "\r%d of %d minutes of sound", i+1, len(minutes))
	}
	fmt.Fprintln(progress)
	after := memory()
	runtime.KeepAlive(s)
	blocks := float64(len(minutes)) * 60 * costRate / costBlock
	return longCost{
		hours: float64(len(minutes)) / 60, first: median(minutes[:5]), last: median(minutes[len(minutes)-5:]),
		heap: float64(after.HeapAlloc) - float64(before.HeapAlloc), held: float64(after.Sys) - float64(before.Sys),
		// The writing of the progress allocates a few times a minute, the blocks are thousands.
		allocsABlock: float64(after.Mallocs-before.Mallocs) / blocks,
	}, nil
}

// memory is the state after a full collection.
func memory() (m runtime.MemStats) {
	runtime.GC()
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m
}

func median(d []time.Duration) time.Duration {
	s := slices.Sorted(slices.Values(d))
	return s[len(s)/2]
}
