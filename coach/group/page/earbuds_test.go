package page

import (
	"fmt"
	"math"
	"testing"

	"steadfoot/coach/group"
)

// TestEarbuds: the slider and the tap test for wireless earbuds shift what is played
// by as much as they say, measured in what is played; so they do after a reload.
func TestEarbuds(t *testing.T) {
	t.Parallel()
	l := lead(t)
	ctx := browse(t, "")
	do(t, ctx, joins(l, "Mira Tal"))
	l.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 150}) // 400 ms apart: more than any shift here
	do(t, ctx, until(`steadfoot.map?.state === 'walking'`), script(capture))

	onBeat(t, ctx, l, "without delay", 0)
	do(t, ctx, slide("extra", 120))
	onBeat(t, ctx, l, "with 120 ms by the slider", 0.120)

	// A walker whose earbuds are late by 100 ms, and who taps 30 ms before what is heard.
	var ms float64
	for range 4 { // a busy browser may drop clicks, or sound
		do(t, ctx, script(`document.getElementById('tap-words').textContent = ''; document.getElementById('tap-start').click()`), script(fmt.Sprintf(taps, 0.07)),
			until(`document.getElementById('tap').hidden && document.getElementById('tap-words').textContent !== 'Tap with each click.'`))
		if ms = ask[float64](t, ctx, `+document.getElementById('extra').value`); math.Abs(ms-100) <= 5 {
			break
		}
	}
	if math.Abs(ms-100) > 5 {
		t.Errorf("by the taps the earbuds are %.0f ms late, want 100 ms; the page says: %s", ms, ask[string](t, ctx, `document.getElementById('tap-words').textContent`))
	}
	onBeat(t, ctx, l, "with 100 ms by taps", 0.100)
}

// taps presses the button some seconds after each click that is recorded.
const taps = `(() => {
  const button = document.getElementById('tap'), done = new Set();
  onsets.length = 0;
  const timer = setInterval(() => {
    if (button.hidden) return clearInterval(timer);
    for (const o of onsets) {
      if (done.has(o)) continue;
      done.add(o);
      const e = new PointerEvent('pointerdown');
      Object.defineProperty(e, 'timeStamp', { value: 1000 * (steadfoot.sound.output.heardAt(o) - steadfoot.sound.output.extra + %g) });
      button.dispatchEvent(e);
    }
  }, 20);
})()`
