package page

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfoot/coach/group"
)

// capture notes the context time at which each click begins that the page plays: the
// first sample of half the least peak.
const capture = `(async () => {
  const ctx = steadfoot.ctx;
  await ctx.audioWorklet.addModule('/tape.js');
  const tape = new AudioWorkletNode(ctx, 'tape');
  steadfoot.sound.out.connect(tape);
  tape.connect(ctx.destination);
  window.onsets = [];
  let last = -1e9;
  const least = 0.35 * 0.6 * (document.getElementById('volume').value / 100) ** 2;
  tape.port.onmessage = ({ data: [frame, x] }) => x.forEach((v, k) => {
    if (v < 0.9 * least) return;
    if (frame + k - last > 0.1 * ctx.sampleRate) onsets.push((frame + k) / ctx.sampleRate);
    last = frame + k;
  });
})()`

// heard is group time of each click that was recorded, s, as it is heard by earbuds
// that are no later than the phone knows.
const heard = `onsets.map((o) => steadfoot.clock.group(steadfoot.sound.output.heardAt(o) - steadfoot.sound.output.extra))`

// TestWalker: joins, hears the beat at the right instants of the leader's time, with a
// delay of earbuds made up for; goes on without the leader, and finds it again.
func TestWalker(t *testing.T) {
	t.Parallel()
	l := lead(t)
	ctx := browse(t, "")
	do(t, ctx, chromedp.Navigate("http://"+l.addr+"/#word=toe"), until(`window.steadfoot`), script(`document.getElementById('name').value = 'Mira';
    document.getElementById('join-form').requestSubmit()`), until(`document.getElementById('join-trouble').textContent.includes('word is not right')`),
		script(`document.getElementById('agree').checked = true`), rejoins(`<b onclick="alert(1)">Mira</b>`))
	l.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 192})
	do(t, ctx, until(`steadfoot.map?.state === 'walking' && document.getElementById('target').textContent === '192'`))
	if n := ask[int](t, ctx, `document.querySelectorAll('#walk b[onclick]').length`); n != 0 {
		t.Error("a name became part of the page")
	}

	// The beat, by the page's own idea of group time and by the leader's.
	before, page, after := l.now(), ask[float64](t, ctx, `steadfoot.groupNow()`), l.now()
	if page < before-0.005 || page > after+0.005 {
		t.Errorf("group time is %.4f s in the page, between %.4f and %.4f s at the leader", page, before, after)
	}
	do(t, ctx, script(capture), until(`onsets.length > 16`))
	errs := clickErrors(t, ctx, l)
	t.Logf("clicks against the leader's beats: median error %.2f ms, largest %.2f ms, of %d; delay of the output %.0f ms", 1000*median(errs), 1000*largest(errs), len(errs), 1000*ask[float64](t, ctx, `steadfoot.sound.output.latency`))
	if m := median(errs); math.Abs(m) > 0.005 {
		t.Errorf("clicks are %.1f ms off the beat", 1000*m)
	}
	// What lies between the context and the ear is made up for, by the browser's word.
	stated, used := ask[float64](t, ctx, `steadfoot.ctx.outputLatency`), ask[float64](t, ctx, `steadfoot.sound.output.latency`)
	if !(stated > 0.015) || used < stated/2 || used > stated+0.05 {
		t.Errorf("the output is %.0f ms late by the browser, %.0f ms are made up for", 1000*stated, 1000*used)
	}

	// The phone was locked: the sound stood still, and goes on by itself, on the beat,
	// with nothing left of what was planned before.
	do(t, ctx, script(lock), until(`steadfoot.ctx.state === 'suspended'`), script(`new Promise((done) => setTimeout(done, 1700))`),
		script(`onsets.length = 0`), script(unlock), until(`steadfoot.ctx.state === 'running' && onsets.length > 12`))
	if m := largest(clickErrors(t, ctx, l)); m > strayed {
		t.Errorf("after the phone was locked, a click is %.1f ms off the beat", 1000*m)
	}

	// The leader goes, the beat does not.
	l.end()
	do(t, ctx, until(`document.getElementById('link').textContent.startsWith('no leader')`),
		script(`onsets.length = 0`), until(`onsets.length > 12`))
	if m := median(clickErrors(t, ctx, l)); math.Abs(m) > 0.005 {
		t.Errorf("without the leader, clicks are %.1f ms off the beat", 1000*m)
	}
	l.start()
	do(t, ctx, until(`steadfoot.link.there`), script(`onsets.length = 0`), until(`onsets.length > 12`))
	if m := median(clickErrors(t, ctx, l)); math.Abs(m) > 0.005 {
		t.Errorf("with the leader again, clicks are %.1f ms off the beat", 1000*m)
	}
	l.command(group.Command{Do: group.DoShift, Group: "Harrow Vale", By: 3})
	do(t, ctx, until(`document.getElementById('target').textContent === '195'`))

	// A reload goes on in the same seat, with the name and what was agreed to.
	id := ask[string](t, ctx, seat)
	do(t, ctx, chromedp.Reload(), until(`window.steadfoot?.link.there && steadfoot.clock.known`))
	if again := ask[string](t, ctx, seat); again != id {
		t.Errorf("after a reload the walker is %s, was %s", again, id)
	}
	if w := l.hub.Walkers(); len(w) != 1 || !w[0].Agreed || w[0].Name != `<b onclick="alert(1)">Mira</b>` {
		t.Errorf("after a reload the board has %+v", w)
	}

	// A reload without the leader: the pages and the beat are kept.
	do(t, ctx, script(`navigator.serviceWorker.ready`), until(`sessionStorage['steadfoot.last'] && navigator.serviceWorker.controller`))
	l.end()
	do(t, ctx, chromedp.Reload(), until(`window.steadfoot?.clock.known && steadfoot.map`),
		script(`document.getElementById('hear').click()`), until(`steadfoot.sound?.output.known`), script(capture), until(`onsets.length > 12`))
	if m := median(clickErrors(t, ctx, l)); math.Abs(m) > 0.005 {
		t.Errorf("after a reload without the leader, clicks are %.1f ms off the beat", 1000*m)
	}
	l.start()

	// One tap does not leave, two do.
	do(t, ctx, until(`steadfoot.link.there`), script(`document.getElementById('leave').click()`))
	if s := ask[string](t, ctx, `document.getElementById('leave').textContent`); s != "Tap again to leave" || !l.hub.Walkers()[0].Here {
		t.Errorf("after one tap: %q, %+v", s, l.hub.Walkers()[0])
	}
	do(t, ctx, script(`document.getElementById('leave').click()`), until(`window.steadfoot && !steadfoot.link.there && !document.getElementById('join').hidden`))
	if name := ask[string](t, ctx, `document.getElementById('name').value`); name != `<b onclick="alert(1)">Mira</b>` {
		t.Errorf("the name is forgotten: %q", name)
	}
}

// seat is the walker's own.
const seat = `Object.values(JSON.parse(sessionStorage['steadfoot.join']).seats)[0].id`

// strayed is how far a single click may be off, s: a click at a wrong place is off by
// more, mostly; a busy machine moves what is known of the output by less.
const strayed = 0.03

// lock and unlock are what a page sees of a phone that is locked.
const (
	lock = `Object.defineProperty(document, 'hidden', { configurable: true, get: () => true });
    document.dispatchEvent(new Event('visibilitychange'));
    steadfoot.ctx.suspend()`
	unlock = `delete document.hidden; document.dispatchEvent(new Event('visibilitychange'))`
)

// clickErrors are the differences of the recorded clicks from the beats of the map, s.
func clickErrors(t *testing.T, ctx context.Context, l *leader) []float64 {
	t.Helper()
	times := ask[[]float64](t, ctx, heard)
	m := l.src.Maps()[0].Beats()
	var errs []float64
	for _, at := range times {
		best := math.Inf(1)
		for _, b := range m.Pieces() {
			if b.Period > 0 && at > b.Start-b.Period/2 {
				k := math.Round((at - b.Start) / b.Period)
				if e := at - b.Start - k*b.Period; math.Abs(e) < math.Abs(best) {
					best = e
				}
			}
		}
		if !math.IsInf(best, 0) {
			errs = append(errs, best)
		}
	}
	if len(errs) < 8 {
		t.Fatalf("only %d clicks were heard", len(errs))
	}
	return errs
}

func median(x []float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	return x[len(x)/2]
}

func largest(x []float64) (m float64) {
	for _, v := range x {
		m = max(m, math.Abs(v))
	}
	return m
}
