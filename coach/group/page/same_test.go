package page

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
	"steadfoot/detect"
)

// TestSame: the page's clock and beats are those of the Go packages: the same
// exchanges give the same group time, the same map the same beats. Then the worked
// values of the clock (RFC 5905, section 8; facts of the project, section 8), and the
// tap test.
func TestSame(t *testing.T) {
	l := lead(t)
	ctx := browse(t, "")
	do(t, ctx, chromedp.Navigate("http://"+l.addr+"/"), until(`window.steadfoot`))
	sameClock(t, func(js string) []float64 { return ask[[]float64](t, ctx, js) })
	sameBeats(t, func(js string) []beat { return ask[[]beat](t, ctx, js) })

	worked := ask[[]float64](t, ctx, `import('/clock.js').then(({ offset, delay }) => {
    const a = { t1: 1000, t2: 1000.12, t3: 1000.121, t4: 1000.041 }, b = { t1: 1000, t2: 1000.11, t3: 1000.111, t4: 1000.061 };
    return [offset(a), delay(a), offset(b), delay(b)];
  })`)
	for i, want := range []float64{0.100, 0.040, 0.080, 0.060} {
		if math.Abs(worked[i]-want) > 1e-6 {
			t.Errorf("worked value %d: %.7f, want %.3f", i, worked[i], want)
		}
	}
	// Taps 150 ms after the clicks but for ±10 ms, some missing, some twice.
	tapped := ask[map[string]float64](t, ctx, `import('/taptest.js').then(({ delayOf }) => {
    const clicks = Array.from({ length: 20 }, (_, k) => 5 + 0.6 * k);
    const taps = clicks.flatMap((c, k) => (k === 7 ? [] : k === 9 ? [c + 0.1, c + 0.2] : [c + 0.15 + 0.01 * ((k % 3) - 1)]));
    return delayOf(clicks, taps);
  })`)
	if tapped["n"] != 14 || math.Abs(tapped["median"]-0.15) > 1e-9 || math.Abs(tapped["delay"]-0.18) > 1e-9 {
		t.Errorf("the tap test says %v", tapped)
	}
	// Asynchronies at 300 ms between beats: mean -20.000 ms, R 0.992948 (facts of the
	// project, section 4, computed).
	met := ask[map[string]float64](t, ctx, `import('/beats.js').then(({ met }) => met({ beat: [{ start: 10, period: 0.3 }] },
    [-20, -25, -15, -18, -22, -30, -10, -20].map((ms, k) => 13 + 0.3 * k + ms / 1000)))`)
	if math.Abs(met["off"]+20) > 0.01 || math.Abs(met["r"]-0.992948) > 1e-6 || met["n"] != 8 {
		t.Errorf("steps meet the beat by %v", met)
	}
}

func sameClock(t *testing.T, page func(string) []float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 1))
	var f clock.Follower
	var exchanges []clock.Exchange
	var want []float64
	for i := range 200 {
		at := 5 + float64(i)*0.7
		there, back := 0.002+0.03*r.Float64(), 0.002+0.03*r.Float64()
		group := func(x float64) float64 { return 100 + x*(1+80e-6) }
		e := clock.Exchange{T1: at, T2: group(at + there), T3: group(at + there + 0.0002), T4: at + there + 0.0002 + back}
		if i >= 120 { // the clock is another one
			e.T2, e.T3 = e.T2+3, e.T3+3
		}
		exchanges = append(exchanges, e)
		f.Add(e)
		if i == 20 {
			f.Hold()
		}
		s := f.Spread(e.T4 + 1)
		want = append(want, f.Group(e.T4+0.5), f.Local(f.Group(e.T4+0.25)), s.Guess, s.Bound)
	}
	all, err := json.Marshal(exchanges)
	if err != nil {
		t.Fatal(err)
	}
	got := page(`import('/clock.js').then(({ Follower }) => {
    const f = new Follower();
    return ` + string(all) + `.flatMap((e, i) => {
      f.add({ t1: e.T1, t2: e.T2, t3: e.T3, t4: e.T4, spread: e.Spread });
      if (i === 20) f.hold();
      const s = f.spread(e.T4 + 1);
      return [f.group(e.T4 + 0.5), f.local(f.group(e.T4 + 0.25)), s.guess, s.bound];
    });
  })`)
	if len(got) != len(want) {
		t.Fatalf("%d values from the page, want %d", len(got), len(want))
	}
	for i := range want {
		if !(math.Abs(got[i]-want[i]) < 1e-7) {
			t.Fatalf("exchange %d, value %d: %.9f in the page, %.9f in Go", i/4, i%4, got[i], want[i])
		}
	}
}

type beat struct {
	T      float64 `json:"t"`
	Side   string  `json:"side"`
	Accent bool    `json:"accent"`
}

func sameBeats(t *testing.T, page func(string) []beat) {
	t.Helper()
	for _, choice := range []coach.BeatChoice{{}, {Foot: detect.Right}, {Every: 4, Accent: 2}, {Accent: 3}} {
		m := group.Map{Choice: choice, Beat: []event.Beat{
			{Start: 10, Period: 60.0 / 202, Side: detect.Left},
			{Start: 20.1, Period: 60.0 / 190, Side: detect.Right, N: 35},
			{Start: 30.3}, {Start: 31, Period: 0.3, Side: detect.Left, N: 80},
		}}
		js, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		got := page(`import('/beats.js').then(({ between }) => between(` + string(js) + `, 12, 40).concat(between(` + string(js) + `, 40, 3631)))`)
		i := 0
		m.Beats().Between(12, 3631, func(b coach.Beat) {
			if i < len(got) && (got[i].T != b.T || got[i].Side != b.Side.String() || got[i].Accent != b.Accent) {
				t.Errorf("beat %d: %+v in the page, %+v in Go", i, got[i], b)
			}
			i++
		})
		if i != len(got) {
			t.Errorf("%d beats in the page, %d in Go", len(got), i)
		}
	}
}
