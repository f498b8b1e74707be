package page

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

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
	for try := 0; ; try++ {
		before, page, after := l.now(), ask[float64](t, ctx, `steadfoot.groupNow()`), l.now()
		if page >= before-0.005 && page <= after+0.005 {
			break
		}
		if try == 20 { // a busy machine answers late; the clock takes that for its path until it knows better
			t.Errorf("group time is %.4f s in the page, between %.4f and %.4f s at the leader", page, before, after)
			break
		}
		time.Sleep(500 * time.Millisecond)
	}
	do(t, ctx, script(capture))
	onBeat(t, ctx, l, "at first", 0)
	// What lies between the context and the ear is made up for, by the browser's word.
	do(t, ctx, until(`steadfoot.ctx.outputLatency > 0.015 && steadfoot.sound.output.latency > steadfoot.ctx.outputLatency / 2 && steadfoot.sound.output.latency < steadfoot.ctx.outputLatency + 0.05`))
	t.Logf("the output is %.0f ms late by the browser, %.0f ms are made up for", 1000*ask[float64](t, ctx, `steadfoot.ctx.outputLatency`), 1000*ask[float64](t, ctx, `steadfoot.sound.output.latency`))

	locked(t, ctx, l)

	// The leader goes, the beat does not.
	l.end()
	do(t, ctx, until(`document.getElementById('link').textContent.startsWith('no leader')`))
	onBeat(t, ctx, l, "without the leader", 0)
	l.start()
	do(t, ctx, until(`steadfoot.link.there`))
	onBeat(t, ctx, l, "with the leader again", 0)
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
	do(t, ctx, script(`(async () => { // what records is not of the page, and may have come before the worker
    await fetch('/tape.js');
    while (!(await caches.match('/tape.js'))) await new Promise((done) => setTimeout(done, 50));
  })()`))
	l.end()
	do(t, ctx, chromedp.Reload(), until(`window.steadfoot?.clock.known && steadfoot.map`),
		script(`document.getElementById('hear').click()`), until(`steadfoot.sound?.output.known`), script(capture))
	onBeat(t, ctx, l, "after a reload without the leader", 0)
	l.start()

	// One tap does not leave, two do.
	do(t, ctx, until(`steadfoot.link.there`))
	if s := ask[string](t, ctx, `(document.getElementById('leave').click(), document.getElementById('leave').textContent)`); s != "Tap again to leave" || !l.hub.Walkers()[0].Here {
		t.Errorf("after one tap: %q, %+v", s, l.hub.Walkers()[0])
	}
	do(t, ctx, script(`(() => {
    const leave = document.getElementById('leave');
    if (leave.textContent === 'Leave') leave.click(); // the first tap was too long ago
    leave.click();
  })()`), until(`window.steadfoot && !steadfoot.link.there && !document.getElementById('join').hidden`))
	if name := ask[string](t, ctx, `document.getElementById('name').value`); name != `<b onclick="alert(1)">Mira</b>` {
		t.Errorf("the name is forgotten: %q", name)
	}
}

// seat is the walker's own.
const seat = `Object.values(JSON.parse(sessionStorage['steadfoot.join']).seats)[0].id`

// locked: the phone is locked and its sound stands still, until half a beat after a
// number of beats. It goes on by itself, and nothing of what was planned before is
// heard, which would be half a beat off.
func locked(t *testing.T, ctx context.Context, l *leader) {
	t.Helper()
	period := l.src.Maps()[0].Beat[0].Period
	var worst []float64
	for range 5 {
		do(t, ctx, script(lock), script(fmt.Sprintf(`new Promise((done) => setTimeout(done, %g))`, 5.5*1000*period)),
			script(`onsets.length = 0`), script(unlock), until(`steadfoot.ctx.state === 'running' && onsets.length > 12`))
		m := largest(clickErrors(t, ctx, l))
		if worst = append(worst, 1000*m); m < period/5 {
			return
		}
	}
	t.Errorf("after the phone was locked, a click is %.1f ms off the beat", worst)
}

// lock and unlock are what a page sees of a phone that is locked.
const (
	lock = `Object.defineProperty(document, 'hidden', { configurable: true, get: () => true });
    document.dispatchEvent(new Event('visibilitychange'));
    new Promise((done) => setTimeout(done, 300)).then(() => steadfoot.ctx.suspend())`
	unlock = `delete document.hidden; document.dispatchEvent(new Event('visibilitychange'))`
)

// onBeat tells whether clicks come early by as much as is wanted, s, against the
// leader's beats. A browser that gets no processor drops sound, after which the page
// needs a moment to be on the beat again; hence the best of some tries.
func onBeat(t *testing.T, ctx context.Context, l *leader, when string, early float64) {
	t.Helper()
	var all []float64
	for range 6 {
		do(t, ctx, script(`onsets.length = 0`), until(`onsets.length > 12`))
		errs := clickErrors(t, ctx, l)
		m := median(errs)
		all = append(all, 1000*m)
		if math.Abs(m+early) <= 0.005 {
			t.Logf("%s, clicks are %.2f ms off the beat in the middle, %.2f ms at most, of %d", when, 1000*m, 1000*largest(errs), len(errs))
			return
		}
	}
	t.Errorf("%s, clicks are %.1f ms off the beat, want %.0f ms", when, all, -1000*early)
}

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
