// The tap test: clicks, taps, and what comes of them.

import { pageNow } from './output.js';
import { count, delayOf, lead, period } from './taptest.js';
import { $ } from './view.js';

/** sound() is what plays, or null; found(ms) takes the delay. */
export function tapTest(sound, found) {
  let clicks = [], taps = [], timer = 0;
  const words = (t) => { $('tap-words').textContent = t; };

  $('tap-start').addEventListener('click', () => {
    const s = sound();
    if (!s?.output.known) return words('First let the beat be heard.');
    clearTimeout(timer);
    s.beat = false;
    const start = pageNow() + 1;
    clicks = Array.from({ length: count }, (_, k) => start + k * period);
    taps = [];
    for (const t of clicks) s.clickAt(t);
    $('tap').hidden = false;
    $('tap').focus();
    words('Tap with each click.');
    timer = setTimeout(end, (count * period + 1.6) * 1000);
  });

  $('tap').addEventListener('pointerdown', (e) => taps.push(e.timeStamp / 1000));
  $('tap').addEventListener('keydown', (e) => {
    if ((e.key === ' ' || e.key === 'Enter') && !e.repeat) taps.push(e.timeStamp / 1000);
  });

  function end() {
    $('tap').hidden = true;
    const s = sound();
    if (s) s.beat = true;
    const r = delayOf(clicks, taps);
    if (r.delay === undefined) {
      return words(r.spread ? `Your taps are ${Math.round(r.spread * 1000)} ms apart from each other; that is too much to tell. Try again.` : `Only ${r.n} taps went with a click; at least 8 are needed. Try again.`);
    }
    const ms = Math.round(r.delay * 1000);
    found(ms);
    words(`${r.n} taps, in the middle ${Math.round(r.median * 1000)} ms after the clicks, half of them within ± ${Math.round(r.spread * 1000)} ms. People tap some ${lead * 1000} ms before what they hear, so the earbuds count as ${ms} ms late.`);
  }
}
