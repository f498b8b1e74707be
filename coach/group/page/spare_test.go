package page

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfoot/coach/group"
	"steadfoot/coach/group/local"
)

// TestSpare: when the leader is gone the page finds the spare, by way of one that does
// not know it, and its beat does not bend. The first leader, when it comes back with
// what was then, is not believed; the spare is found again.
func TestSpare(t *testing.T) {
	t.Parallel()
	a := lead(t)
	a.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 192})
	_, past := a.src.Past()
	stranger := lead(t)
	stranger.end()
	stranger.word, stranger.origins = "another", []string{a.addr}
	stranger.start()
	b := newLeader(t)
	b.begun, b.origins = a.begun, []string{a.addr}
	b.conduct(local.Options{Now: b.now, Term: 2, Past: past})
	b.start()
	a.src.SetSpares([]string{"http://" + stranger.addr, "http://" + b.addr + "/#trust=00FF"})

	ctx := browse(t, "")
	do(t, ctx, joins(a, "Mira Tal"), until(`steadfoot.map?.state === 'walking' && steadfoot.link.spares.length === 2`), script(capture))
	at := func(l *leader) string {
		return fmt.Sprintf(`steadfoot.link.there && steadfoot.link.hub === 'ws://%s/member' && steadfoot.map.term === 2`, l.addr)
	}
	beat := func(when string) { t.Helper(); onBeat(t, ctx, b, when, 0) }
	do(t, ctx, script(`(() => {
    let was;
    window.bent = 0; // by how much group time has left its line, s
    window.watch = setInterval(() => {
      const before = performance.now(), now = steadfoot.groupNow(), after = performance.now();
      if (after - before > 1) return; // held up in between
      was ??= now - before / 1000;
      bent = Math.max(bent, Math.abs(now - before / 1000 - was));
    }, 20);
  })()`))
	a.end()
	do(t, ctx, until(at(b)))
	beat("at the spare")
	if bent := ask[float64](t, ctx, `(clearInterval(watch), bent)`); bent > 0.05 { // the clock may still have something to make up for, at 0.5 ms a second
		t.Errorf("on the way to the spare, group time is bent by %.1f ms", 1000*bent)
	}
	b.command(group.Command{Do: group.DoShift, Group: "Harrow Vale", By: -4})
	do(t, ctx, until(`document.getElementById('target').textContent === '188'`))
	do(t, ctx, script(fmt.Sprintf(`(() => {
    const url = 'ws://%s/member', mine = JSON.parse(sessionStorage['steadfoot.join']).seats[url].seat, send = WebSocket.prototype.send;
    window.seated = false; // the walker has come back to the spare with the seat it gave
    WebSocket.prototype.send = function (m) {
      if (this.url === url && JSON.parse(m).seat === mine) seated = true;
      send.call(this, m);
    };
  })()`, b.addr)))

	// The first leader has begun afresh, an hour apart and with another target, and the
	// spare is out of reach for a while.
	a.conduct(local.Options{Now: func() float64 { return b.now() + 3600 }, Term: 1, Groups: []string{"Harrow Vale"}})
	a.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 150})
	a.start()
	do(t, ctx, script(`window.hubs = new Set(); setInterval(() => steadfoot.link.there && hubs.add(steadfoot.link.hub), 20)`))
	b.end()
	do(t, ctx, until(fmt.Sprintf(`hubs.has('ws://%s/member')`, a.addr)))
	beat("at a leader of old")
	if now := ask[float64](t, ctx, `steadfoot.groupNow()`); math.Abs(now-b.now()) > 5 {
		t.Errorf("the page goes by the time of a leader of old: %.1f s, not %.1f s", now, b.now())
	}
	b.start()
	do(t, ctx, until(at(b)))
	beat("at the spare again")
	if !ask[bool](t, ctx, `seated`) {
		t.Error("the walker does not ask for the seat at the spare")
	}

	// So it is after a reload, which the first leader serves.
	do(t, ctx, chromedp.Reload(), until(`window.steadfoot?.clock.known`), until(at(b)))
	if now := ask[float64](t, ctx, `steadfoot.groupNow()`); math.Abs(now-b.now()) > 5 {
		t.Errorf("after a reload it is %.1f s, not %.1f s", now, b.now())
	}

	// A leader that begins afresh on its own is followed: nobody else leads.
	b.end()
	b.conduct(local.Options{Now: b.now, Term: 3, Groups: []string{"Harrow Vale"}})
	b.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 170})
	b.start()
	do(t, ctx, until(`document.getElementById('target').textContent === '170'`))
}
