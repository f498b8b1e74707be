package cue

import (
	"testing"

	"steadfoot/audio"
)

// walk renders a beat of 240/min with a cue every two seconds, in pieces of
// 5 ms, for as long as n pieces take.
func walk(tb testing.TB, p *Player, n int) {
	var buf [240]audio.Frame
	for range n {
		at := p.Pos() + 2000
		if at%12000 < 240 {
			mustPlay(tb, p, Sound(at/12000%2), at)
		}
		if at%96000 < 240 {
			mustPlay(tb, p, Start+Sound(at/96000%int64(sounds-Start)), at)
		}
		p.Render(buf[:])
	}
}

func TestRenderingDoesNotAllocate(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	loud := constant(2) // keeps the limiter at work
	for _, name := range []string{"at rest", "limiting"} {
		if n := testing.AllocsPerRun(5, func() { walk(t, p, 600); p.CancelAfter(p.Pos()) }); n != 0 {
			t.Errorf("%s: %g allocations in 3 s of sound", name, n)
		}
		if err := p.PlayStreamer(loud, p.Earliest(ClickLeft)); err != nil {
			t.Fatal(err)
		}
	}
	if p.LimitedDB() == 0 {
		t.Error("the limiter had nothing to do")
	}
}

// A cue that was asked for before is found, played and rendered without
// allocating, in every layer.
func TestCuesDoNotAllocate(t *testing.T) {
	for _, layer := range []Layer{Tones, Speech, Lines} {
		v, _ := newVoice(t, layer, recordings(t))
		p := newPlayer(t, Options{Volume: 1})
		var buf [480]audio.Frame
		cues := func() {
			for _, name := range []string{"quicken", "cadence", "reminder"} {
				c := clipOf(t, v, name, 187, "whisper")
				if err := p.PlayClip(c, p.EarliestClip(c)); err != nil {
					t.Fatal(err)
				}
				for range 150 {
					p.Render(buf[:])
				}
			}
		}
		cues()
		if n := testing.AllocsPerRun(3, cues); n != 0 {
			t.Errorf("%v: %g allocations", layer, n)
		}
	}
}

// The cost of real time, in per cent of one core.
func benchmarkRender(b *testing.B, p *Player) {
	b.ReportAllocs()
	for b.Loop() {
		walk(b, p, 200) // 1 s
	}
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N), "%core")
}

func BenchmarkRender(b *testing.B) { benchmarkRender(b, newPlayer(b, Options{Volume: 1})) }

func BenchmarkRenderLimiting(b *testing.B) {
	p := newPlayer(b, Options{Volume: 1})
	if err := p.PlayStreamer(constant(2), 0); err != nil {
		b.Fatal(err)
	}
	benchmarkRender(b, p)
}

// BenchmarkRenderEverything has a beat, speech and the dose.
func BenchmarkRenderEverything(b *testing.B) {
	p := newPlayer(b, Options{Volume: 1})
	v, _ := newVoice(b, Speech, "")
	d, err := NewDose(100)
	if err != nil {
		b.Fatal(err)
	}
	var buf [480]audio.Frame
	b.ReportAllocs()
	for b.Loop() { // 2 s with a cue of 1.1 s and seven clicks
		c := clipOf(b, v, "cannot hear", 0, "")
		if err := p.PlayClip(c, p.EarliestClip(c)); err != nil {
			b.Fatal(err)
		}
		for k := range 7 {
			mustPlay(b, p, Sound(k%2), p.Earliest(ClickLeft)+int64(k)*13000)
		}
		for range 200 {
			p.Render(buf[:])
			d.Add(buf[:])
		}
	}
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(2*b.N), "%core")
}
