package coach

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

func collect(m *BeatMap, from, to float64) (beats []Beat) {
	m.Between(from, to, func(b Beat) { beats = append(beats, b) })
	return beats
}

const rate = 48000 // Hz

// TestBeatHour asks for an hour of beats in pieces of 10 ms, as a player does.
// The last one must be within a sample of start + k·60/bpm.
func TestBeatHour(t *testing.T) {
	for _, bpm := range []float64{190, 202} {
		const start = 2.25
		var m BeatMap
		m.Add(event.Beat{Start: start, Period: 60 / bpm, Side: detect.Left})
		var last Beat
		n := 0
		for i := range 100 * 3603 {
			m.Between(float64(i)/100, float64(i+1)/100, func(b Beat) {
				if b.Index != n {
					t.Fatalf("beat %d follows beat %d", b.Index, n-1)
				}
				last, n = b, n+1
			})
		}
		// In whole numbers, so that no float can be off in the same way.
		exact := int64(start*rate) + (int64(last.Index)*60*rate+int64(bpm)/2)/int64(bpm)
		near(t, "sample of the last beat", math.Round(last.T*rate), float64(exact), 1)
		if last.T < 3603-60/bpm {
			t.Errorf("%v/min: the last beat is at %v", bpm, last.T)
		}

		// Why it is computed: a period rounded to samples and added up is
		// 107.5 ms late after an hour at 202/min.
		if bpm == 202 {
			k := math.Round(3600 / 60 * bpm)
			drift := k * (60/bpm - math.Round(60/bpm*rate)/rate)
			near(t, "drift of rounded periods", math.Abs(drift), 0.1075, 0.0001)
		}
	}
}

// TestBeatTiling cuts the same hours at random places: each beat comes once.
func TestBeatTiling(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		var m BeatMap
		at := 0.0
		for range 1 + rng.IntN(4) {
			at += rng.Float64() * 20
			period := 60 / (90 + 150*rng.Float64())
			if rng.IntN(4) == 0 {
				period = 0
			}
			m.Add(event.Beat{Start: at, Period: period})
		}
		end := at + 20
		whole := collect(&m, 0, end)
		var tiles []Beat
		for from := 0.0; from < end; {
			to := from + rng.Float64()*2
			// Cuts at the very time of a beat, or a hair after, are the hard ones.
			if len(whole) > 0 && rng.IntN(2) == 0 {
				b := whole[rng.IntN(len(whole))].T
				if rng.IntN(2) == 0 {
					b = math.Nextafter(b, end)
				}
				if b > from && b < to {
					to = b
				}
			}
			to = min(to, end)
			tiles = append(tiles, collect(&m, from, to)...)
			from = to
		}
		if len(tiles) != len(whole) {
			t.Fatalf("%d beats in tiles, %d at once", len(tiles), len(whole))
		}
		for i := range whole {
			if tiles[i] != whole[i] || i > 0 && whole[i].T <= whole[i-1].T {
				t.Fatalf("beat %d: %v in tiles, %v at once", i, tiles[i], whole[i])
			}
		}
	}
}

// TestFirstBeat asks at the time of a beat and a hair to both sides of it, far
// into a piece, where the division alone is off by one now and then.
func TestFirstBeat(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		p := event.Beat{Start: 20 * rng.Float64(), Period: 60 / (90 + 150*rng.Float64())}
		k := 1 + rng.IntN(12000)
		at := p.Start + float64(k)*p.Period
		for i, from := range []float64{math.Nextafter(at, 0), at, math.Nextafter(at, math.Inf(1))} {
			if got, want := firstBeat(p, from), k+i/2; got != want {
				t.Fatalf("from %v of %+v: beat %d, want %d", from, p, got, want)
			}
		}
	}
}

// TestChoiceOfLater: which beats are given may change from a piece on.
func TestChoiceOfLater(t *testing.T) {
	var m BeatMap
	m.Take(event.Beat{Start: 0, Period: 0.5})
	m.Take(event.Shared{Every: 4})
	m.Take(event.Beat{Start: 1, Period: 0.5, N: 2})
	m.Take(event.Cue{T: 2})
	var at []float64
	for _, b := range collect(&m, 0, 5) {
		at = append(at, b.T)
	}
	if want := []float64{0, 0.5, 2, 4}; !slices.Equal(at, want) {
		t.Errorf("beats at %v, want %v", at, want)
	}
}

// TestNumberNotTwice: a piece that is moved a little takes over the beats from its
// number on, be it later or earlier than they were; where the numbers begin anew,
// as in what version 1 of the log stored, the time alone decides.
func TestNumberNotTwice(t *testing.T) {
	for _, tt := range []struct {
		by   float64
		n    int
		want []float64
	}{
		{0.001, 4, []float64{0, 0.5, 1, 1.5, 2.001, 2.501}},
		{-0.001, 4, []float64{0, 0.5, 1, 1.5, 1.999, 2.499}},
		{0.001, 0, []float64{0, 0.5, 1, 1.5, 2, 2.001, 2.501}},
	} {
		var m BeatMap
		m.Add(event.Beat{Start: 0, Period: 0.5})
		m.Add(event.Beat{Start: 2 + tt.by, Period: 0.5, N: tt.n})
		var at []float64
		for from := 0.0; from < 2.8; from += 0.1 {
			m.Between(from, from+0.1, func(b Beat) { at = append(at, b.T) })
		}
		if !slices.Equal(at, tt.want) {
			t.Errorf("moved by %v s: %v, want %v", tt.by, at, tt.want)
		}
	}
}

func TestBeatPieces(t *testing.T) {
	var m BeatMap
	if got := collect(&m, 0, 100); got != nil {
		t.Errorf("no piece gives %v", got)
	}
	m.Add(event.Beat{Start: 1, Period: 0.5, Side: detect.Right})
	m.Add(event.Beat{Start: 2.25, Period: 0})
	m.Add(event.Beat{Start: 3, Period: 0.25, Side: detect.Left})
	want := []Beat{
		{T: 1, Index: 0, Side: detect.Right}, {T: 1.5, Index: 1, Side: detect.Left}, {T: 2, Index: 2, Side: detect.Right},
		{T: 3, Index: 0, Side: detect.Left}, {T: 3.25, Index: 1, Side: detect.Right},
	}
	got := collect(&m, -math.MaxFloat64, 3.5)
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("beat %d is %v, want %v", i, got[i], want[i])
		}
	}

	right := BeatMap{Only: detect.Right}
	for _, p := range m.Pieces() {
		right.Add(p)
	}
	if got := collect(&right, 0, 3.3); len(got) != 3 || got[0].T != 1 || got[1].T != 2 || got[2].T != 3.25 {
		t.Errorf("right foot only: %v", got)
	}

	m.Add(event.Beat{Start: 3, Period: 0.2})
	if got := m.Pieces(); len(got) != 3 || got[2].Period != 0.2 {
		t.Errorf("a piece with the same start left %v", got)
	}
	m.Add(event.Beat{Start: 1.75, Period: 0}) // takes the place of all that comes later
	if got := collect(&m, 0, 100); len(got) != 2 || got[0].T != 1 {
		t.Errorf("after silence from 1.75 s: %v", got)
	}
	pieces := len(m.Pieces())
	for _, p := range []event.Beat{
		{Start: math.NaN(), Period: 0.3}, {Start: 1, Period: math.NaN()}, {Start: 1, Period: 1e-9},
		{Start: 1, Period: -1}, {Start: math.Inf(1), Period: 0.3}, {Start: -1, Period: 0.3},
	} {
		m.Add(p)
	}
	if len(m.Pieces()) != pieces {
		t.Error("a piece that is no beat was taken")
	}
	for _, span := range [][2]float64{{math.NaN(), 5}, {0, math.NaN()}, {5, 0}, {math.Inf(1), math.Inf(1)}} {
		if got := collect(&m, span[0], span[1]); got != nil {
			t.Errorf("between %v: %v", span, got)
		}
	}
}

func BenchmarkBeatBetween(b *testing.B) {
	var m BeatMap
	m.Add(event.Beat{Start: 2.25, Period: 60.0 / 202, Side: detect.Left})
	n := 0
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		t := float64(i%360000) / 100
		m.Between(t, t+0.01, func(Beat) { n++ })
	}
}

func TestBeatBetweenAllocs(t *testing.T) {
	var m BeatMap
	m.Add(event.Beat{Start: 0, Period: 60.0 / 202})
	n := 0
	count := func(Beat) { n++ }
	at := 0.0
	if allocs := testing.AllocsPerRun(100, func() {
		m.Between(at, at+1, count)
		at++
	}); allocs != 0 || n == 0 {
		t.Errorf("%v allocations, %d beats", allocs, n)
	}
}
