package engine

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

// side is a made-up device with a crystal of its own, in simulated time.
type side struct {
	ppm    float64 // how fast the crystal is
	wander float64 // how much that changes with the weather, every half an hour
	jitter float64 // seconds by which callbacks are late
	told   float64 // noise of the device's own times in seconds, below 0 for none

	rng    *rand.Rand
	n      int64     // frames handed over
	from   []int64   // pieces: before this frame ...
	gap    []float64 // ... so many seconds were lost, in all
	called float64   // time of the last callback
	flags  uint32
}

func (d side) seeded(seed uint64) *side {
	d.rng, d.from, d.gap = rand.New(rand.NewPCG(seed, 5)), []int64{0}, []float64{0}
	return &d
}

const (
	period   = 512
	spell    = 1800  // seconds the wander takes
	buffered = 0.035 // seconds from the fetching of a frame to its sound
)

// at is when frame i is at the microphone or the earphone, in seconds.
func (d *side) at(i float64) float64 {
	k := len(d.from) - 1
	for k > 0 && float64(d.from[k]) > i {
		k--
	}
	t := i / audio.Rate / (1 + d.ppm*1e-6)
	return 1 + t + d.gap[k] + d.wander*1e-6*spell/(2*math.Pi)*math.Sin(2*math.Pi*t/spell)
}

// frame is the inverse of at.
func (d *side) frame(t float64) float64 {
	i := (t - 1 - d.gap[len(d.gap)-1]) * audio.Rate
	for range 6 {
		i += (t - d.at(i)) * audio.Rate
	}
	return i
}

// due is when the callback comes for which the device is ready: late, and now
// and then very late, so that the next ones must catch up.
func (d *side) due(ready float64) float64 {
	late := d.jitter * d.rng.Float64()
	if d.rng.IntN(500) == 0 {
		late += 0.030 * d.rng.Float64()
	}
	return max(d.called+1e-5, ready+late)
}

// tell is a moment on the device's own clock; 0 when it tells none.
func (d *side) tell(t, noise float64) time.Duration {
	if d.told < 0 {
		return 0
	}
	return time.Duration(1e9 * (77 + t + noise*d.told*(2*d.rng.Float64()-1)))
}

// walker is the walk's process and the two devices. It clicks on every
// multiple of beatEvery on the session's clock, and listens for where the clicks
// come.
type walker struct {
	s       *stream
	f       *forwarder
	in, out *side
	now     float64
	inAt    float64 // when the next callbacks come
	outAt   float64
	hear    []float32
	ear     []float32

	pipe    bytes.Buffer
	r       *wire.Reader
	head    wire.BlockHead
	samples []float32
	frames  int64   // input frames told
	offset  []int64 // pieces: session index minus input frame ...
	since   []int64 // ... from this one on
	written int64   // session index
	buf     []audio.Frame

	sum, moment float64 // of the click that sounds
	base        int64
	quiet       int
	clicks      []float64 // middles of whole clicks, in output frames
	broken      int       // clicks that were not whole
	fill        []float64 // of the ring
}

const (
	beatEvery = audio.Rate / 2
	width     = 8.0 // of a click, a standard deviation in samples
	reach     = 48  // of a click
)

func newWalker(in, out *side) *walker {
	w := &walker{in: in, out: out, hear: make([]float32, period), ear: make([]float32, 2*period)}
	w.s = newStream(period, func() time.Duration { return time.Duration(w.now * 1e9) })
	w.s.pair = newPair(w.s.out)
	w.r = wire.NewReader(&w.pipe)
	w.f = newForwarder(w.s, wire.NewWriter(&w.pipe), 2)
	w.inAt, w.outAt = in.due(in.at(period)), out.due(out.at(0)-buffered)
	return w
}

// run lets devices and walk run until the given second. It begins with a third
// of a second before the clock runs, as a program does.
func (w *walker) run(t *testing.T, until float64) {
	for w.now < until {
		if w.now > 1.3 {
			w.s.running.Store(1)
		}
		if w.inAt < w.outAt {
			w.now = w.inAt
			w.input()
		} else {
			w.now = w.outAt
			w.output()
		}
		if err := w.f.drain(); err != nil {
			t.Fatal(err)
		}
		w.read(t)
	}
}

func (w *walker) input() {
	d := w.in
	w.s.process(w.hear, nil, 0, Call{ADC: d.tell(d.at(float64(d.n)), 1), Now: d.tell(w.now, 0)}, d.flags)
	d.flags, d.called = 0, w.now
	d.n += period
	w.inAt = d.due(d.at(float64(d.n)) + float64(period)/audio.Rate)
}

func (w *walker) output() {
	d := w.out
	w.s.process(nil, w.ear, 2, Call{DAC: d.tell(d.at(float64(d.n)), 1), Now: d.tell(w.now, 0)}, d.flags)
	w.listen(d.n)
	d.flags, d.called = 0, w.now
	d.n += period
	w.outAt = d.due(d.at(float64(d.n)) - buffered)
}

// read takes blocks and writes what is to sound up to 100 ms after them.
func (w *walker) read(t *testing.T) {
	for w.pipe.Len() > 0 {
		_, p, err := w.r.Next()
		if err == nil {
			w.samples, err = wire.DecodeBlock(p, &w.head, w.samples)
		}
		if err != nil {
			t.Fatal(err)
		}
		if off := w.head.Index - w.frames; len(w.offset) == 0 || off != w.offset[len(w.offset)-1] {
			w.offset, w.since = append(w.offset, off), append(w.since, w.frames)
		}
		w.frames += int64(w.head.Frames)
		w.write(w.head.Index + int64(w.head.Frames) + audio.Rate/10)
		if w.frames%(audio.Rate/period*period) < period {
			w.fill = append(w.fill, float64(w.s.out.Waiting()))
		}
	}
}

func (w *walker) write(end int64) {
	w.buf = append(w.buf[:0], make([]audio.Frame, end-w.written)...)
	for beat := (w.written - reach) / beatEvery * beatEvery; beat < end+reach; beat += beatEvery {
		for i := max(w.written, beat-reach); i < min(end, beat+reach); i++ {
			v := float32(math.Exp(-float64((i-beat)*(i-beat)) / (2 * width * width)))
			w.buf[i-w.written] = audio.Frame{v, v}
		}
	}
	w.s.out.Put(w.written, w.buf)
	w.written = end
}

// listen finds the middle of each click in what was played.
func (w *walker) listen(first int64) {
	for i := 0; i < len(w.ear); i += 2 {
		v := float64(w.ear[i])
		if v > 1e-4 || v < -1e-4 {
			at := first + int64(i/2)
			if w.sum == 0 {
				w.base = at
			}
			w.sum += v
			w.moment += v * float64(at-w.base)
			w.quiet = 0
			continue
		}
		if w.quiet++; w.sum == 0 || w.quiet < 2*reach {
			continue
		}
		if whole := width * math.Sqrt(2*math.Pi); math.Abs(w.sum-whole) < 0.01*whole {
			w.clicks = append(w.clicks, float64(w.base)+w.moment/w.sum)
		} else {
			w.broken++
		}
		w.sum, w.moment = 0, 0
	}
}

// beats are how late each whole click sounded on the session's clock, in
// seconds, but for the trip, and where on that clock.
func (w *walker) beats() (at, late []float64) {
	trip := w.f.two.trip * audio.Rate
	for _, c := range w.clicks {
		frame := w.in.frame(w.out.at(c)) - float64(w.s.pair.zero.Load())
		k := len(w.since) - 1
		for k > 0 && float64(w.since[k]) > frame {
			k--
		}
		place := frame + float64(w.offset[k]) - trip
		at = append(at, place/audio.Rate)
		late = append(late, (place-math.Round(place/beatEvery)*beatEvery)/audio.Rate)
	}
	if w.out.told < 0 { // nobody knows how old the sound is; but it stays so
		usual := slices.Sorted(slices.Values(late))[len(late)/2]
		for i := range late {
			late[i] -= usual
		}
	}
	return at, late
}

// Two devices of any crystals, with times of their own: for three
// hours each beat is where it belongs on the microphone's clock.
func TestBeatsStayOnTheMicrophonesClock(t *testing.T) {
	for name, sides := range map[string][2]side{
		"fast earphones of an unsteady crystal": {{jitter: 0.003, told: 0.0003}, {ppm: 300, wander: 5, jitter: 0.003, told: 0.0003}},
		"slow earphones, no device times":       {{ppm: 150, jitter: 0.005, told: -1}, {ppm: -150, jitter: 0.005, told: -1}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := newWalker(sides[0].seeded(1), sides[1].seeded(2))
			w.run(t, hours*3600)
			w.check(t, 0.2e-3, 0)
			ppm, sd := w.f.two.drift()
			want := sides[1].ppm - sides[0].ppm
			t.Logf("drift told: %.2f ± %.2f ppm", ppm, sd)
			if math.Abs(ppm-want) > 1+2*math.Abs(sides[1].wander-sides[0].wander) {
				t.Errorf("drift %.2f ppm told, want %.0f", ppm, want)
			}
		})
	}
}

// check reports the beats and holds them to the bar, in seconds; damaged is how
// many may have been hit by an xrun.
func (w *walker) check(t *testing.T, bar float64, damaged int) {
	t.Helper()
	at, late := w.beats()
	worst, when, first := 0.0, 0.0, 0.0
	for i, v := range late {
		if v = math.Abs(v); at[i] < 5 {
			first = max(first, v)
		} else if v > worst {
			worst, when = v, at[i]
		}
	}
	n := len(w.fill) / 4
	early, final := mean(w.fill[1:n]), mean(w.fill[3*n:])
	t.Logf("%d beats, %d broken: worst %.0f µs (at %.0f s), %.0f µs in the first 5 s; ring %.0f frames, at the end %.0f, %.0f to %.0f; %d missing, %d late",
		len(late), w.broken, 1e6*worst, when, 1e6*first, early, final, slices.Min(w.fill[1:]), slices.Max(w.fill), w.s.missing.Load(), w.s.out.Late())
	if worst > bar || first > 1e-3 {
		t.Errorf("a beat is off by %.0f µs, want at most %.0f, and %.0f µs in the first 5 s, want at most 1000", 1e6*worst, 1e6*bar, 1e6*first)
	}
	if want := int(at[len(at)-1]*audio.Rate/beatEvery) - 1; len(late) < want-damaged {
		t.Errorf("%d beats of %d", len(late), want)
	}
	if math.Abs(early-final) > 0.001*audio.Rate {
		t.Errorf("the ring held %.0f frames, and at the end %.0f", early, final)
	}
	if damaged == 0 && w.s.missing.Load()+w.s.out.Late() > 0 {
		t.Errorf("%d samples missing, %d late", w.s.missing.Load(), w.s.out.Late())
	}
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}
