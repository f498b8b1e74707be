package coach

import (
	"fmt"
	"math"
	"math/big"
	"sort"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

var modes = []BeatMode{Steady, Lead, Follow, Demand}

// TestModesBringUp: a walker whose own cadence is 186 is brought to 192 in every
// mode, and the beat is at the target then, or silent.
func TestModesBringUp(t *testing.T) {
	for _, mode := range modes {
		t.Run(string(mode), func(t *testing.T) {
			s := modeSettings(mode)
			s.Slow, s.Quick = 3, 3
			m := &model{alpha: 0.4, beta: 0.15, noise: 0.004, own: steadily(186), early: 0.03, delay: 0.05}
			var steps []float64
			m.onStep = func(at, _ float64) { steps = append(steps, at) }
			m.begin(newTestCoach(t, s), 2)
			m.walk(180)
			n := len(steps)
			got := 60 * 100 / (steps[n-1] - steps[n-101])
			near(t, "cadence", got, 191, 2)
		})
	}
}

// TestBeatHourOfModes walks an hour in each mode, with a walker whose cadence
// wanders, and a target that is changed now and then. A player that asks for 10
// ms at a time, a quarter of a second ahead, must get each beat at the sample
// that the pieces give in exact arithmetic, with no step twice or missing.
func TestBeatHourOfModes(t *testing.T) {
	for _, mode := range modes {
		t.Run(string(mode), func(t *testing.T) { hourOf(t, modeSettings(mode)) })
	}
}

func TestBeatHourOfEveryFourth(t *testing.T) {
	s := modeSettings(Follow)
	s.Beat.Every = 4
	hourOf(t, s)
}

func hourOf(t *testing.T, s Settings) {
	c := newTestCoach(t, s)
	m := &model{alpha: 0.3, beta: 0.1, noise: 0.004, early: 0.03, delay: 0.04,
		own: func(at float64) float64 { return 190 + 8*math.Sin(at/200) }}
	p := &player{t: t, beats: c.Beats(), every: max(s.Beat.Every, 1)}
	m.onTell = func(out []event.Event) { p.play(c.now + s.Policy.Lead) }
	m.begin(c, 5)
	for i := range 12 {
		m.walk(float64(300 * (i + 1)))
		m.hand(event.Mark{T: m.tick, Name: event.MarkTarget, Value: float64(i%3-1) * 4})
	}
	p.play(3600)
	if p.n < 3600*3/p.every && s.Beat.Mode != Demand || p.n == 0 {
		t.Errorf("%d beats", p.n)
	}
}

// player asks for beats as a real one does, and checks each.
type player struct {
	t     *testing.T
	beats *BeatMap
	every int
	at    float64
	n     int
	last  Beat
	num   int // of the last beat, counted on from piece to piece
}

func (p *player) play(until float64) {
	for p.at < until {
		to := min(p.at+0.01, until)
		p.beats.Between(p.at, to, p.check)
		p.at = to
	}
}

func (p *player) check(b Beat) {
	piece := p.pieceOf(b)
	exact := new(big.Float).SetPrec(200).SetFloat64(piece.Period)
	exact.Mul(exact, big.NewFloat(float64(b.Index)))
	exact.Add(exact, big.NewFloat(piece.Start))
	exact.Mul(exact, big.NewFloat(rate))
	want, _ := exact.Float64()
	if math.Abs(math.Round(b.T*rate)-want) > 1 {
		p.t.Fatalf("%+v: sample %v, want %v", b, math.Round(b.T*rate), want)
	}
	num := piece.N + b.Index
	if gap := b.T - p.last.T; p.n > 0 && gap < 1.5*float64(p.every)*piece.Period {
		if num != p.num+p.every || gap < 0.95*float64(p.every)*piece.Period || p.every == 1 && b.Side == p.last.Side {
			p.turned(b, num, gap)
		}
	}
	p.n, p.last, p.num = p.n+1, b, num
}

// turned allows what only a change of the feet brings about.
func (p *player) turned(b Beat, num int, gap float64) {
	if num != p.num+p.every || b.Side != p.last.Side || gap < 0.2 {
		p.t.Fatalf("beat %d %+v follows %d %+v", num, b, p.num, p.last)
	}
}

func (p *player) pieceOf(b Beat) event.Beat {
	all := p.beats.pieces
	return all[sort.Search(len(all), func(i int) bool { return all[i].Start > b.T })-1].Beat
}

// TestAccents: which beats stand out does not depend on where pieces meet.
func TestAccents(t *testing.T) {
	tests := []struct {
		every, accent int
		only          detect.Side
		given         []int // numbers of the steps that have a beat, up to 24
		accents       []int
	}{
		{0, 0, detect.Unknown, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23}, nil},
		{1, 4, detect.Unknown, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23}, []int{0, 4, 8, 12, 16, 20}},
		{4, 2, detect.Unknown, []int{0, 4, 8, 12, 16, 20}, []int{0, 8, 16}},
		{1, 3, detect.Right, []int{1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23}, []int{1, 7, 13, 19}},
	}
	for _, tt := range tests {
		m := BeatMap{Only: tt.only, Every: tt.every, Accent: tt.accent}
		// The pieces meet at steps 5, 6 and 17.
		m.Add(event.Beat{Start: 0, Period: 1, Side: detect.Left})
		m.Add(event.Beat{Start: 5, Period: 1, Side: detect.Right, N: 5})
		m.Add(event.Beat{Start: 6, Period: 1, Side: detect.Left, N: 6, Level: -6})
		m.Add(event.Beat{Start: 17, Period: 1, Side: detect.Right, N: 17})
		var given, accents []int
		for _, b := range collect(&m, 0, 23.5) {
			n := int(b.T)
			given = append(given, n)
			if b.Accent {
				accents = append(accents, n)
			}
			if (b.Level == -6) != (n >= 6 && n < 17) {
				t.Errorf("step %d has %v dB", n, b.Level)
			}
		}
		if fmt.Sprint(given) != fmt.Sprint(tt.given) || fmt.Sprint(accents) != fmt.Sprint(tt.accents) {
			t.Errorf("every %d, accent %d, %v: beats %v, accents %v", tt.every, tt.accent, tt.only, given, accents)
		}
	}
}
