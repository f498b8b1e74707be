// The walkers, one row each. Who needs the coach comes first; everyone else keeps a
// place, by name, so that the eye finds them again.

import { targetAt } from './beats.js';
import { Strip } from './strip.js';
import * as words from './words.js';

const linger = 8; // s that someone stays among the first after all is well
const early = 80, late = 50; // ms off the beat that are worth a word: people lead a beat by 20 to 80 ms anyway (Repp 2005, from memory)
const silent = 5; // s without a message

/** What the coach has to know of a walker: {rank, words, met, far}; rank 0 is all well,
 * met is how the steps meet the beat, far whether that is too far off. */
export function need(w, target, map, now) {
  const s = w.last ?? {};
  if (!w.here) return { rank: 6, words: `gone ${words.clock(Math.max(0, now - w.seen))}` };
  if (now - w.seen > silent) return { rank: 5, words: `silent ${Math.round(now - w.seen)} s` };
  if (map?.state !== 'walking') return { rank: 0, words: s.hears === 'off' ? 'does not listen' : '' };
  if (s.hears === 'cannot hear') return { rank: 4, words: 'not heard' };
  if (s.hears === 'off' || !s.hears) return { rank: 0, words: 'does not listen' };
  if (s.hears === 'standing') return { rank: target.cadence > 0 ? 3 : 0, words: 'standing' };
  const off = words.off({ off: s.off ?? 0, r: s.r ?? 0, n: s.n ?? 0 });
  const met = off && `${off}${s.r > 0 ? `, R ${s.r.toFixed(2)}` : ''}`;
  const far = off !== '' && (s.r < 0.5 || s.off < -early || s.off > late);
  if (w.faded > 0) return { rank: 3, words: `fading ${words.clock(Math.max(0, now - w.faded))}`, met, far };
  if (target.cadence > 0 && s.cadence > 0 && s.cadence < target.low) return { rank: 2, words: 'too slow', met, far };
  if (target.cadence > 0 && s.cadence > target.high) return { rank: 2, words: 'too quick', met, far };
  if (far) return { rank: 1, words: 'off the beat', met, far };
  return { rank: 0, words: 'well', met, far };
}

export class Rows {
  #need;
  #steady;
  #chosen;
  #rows = new Map();

  constructor(need_, steady, chosen) {
    this.#need = need_;
    this.#steady = steady;
    this.#chosen = chosen;
  }

  /** Shows the walkers of a board and returns how many need the coach. */
  show(board) {
    const now = board.now, maps = new Map((board.groups ?? []).map((g) => [g.group, g])), seen = new Set(), several = maps.size > 1;
    for (const w of board.walkers ?? []) {
      const map = maps.get(w.group), target = map ? targetAt(map, now) : { cadence: 0 };
      let row = this.#rows.get(w.id);
      if (!row) this.#rows.set(w.id, (row = this.#make()));
      seen.add(w.id);
      this.#fill(row, w, target, map, now, several);
    }
    for (const [id, row] of this.#rows) {
      if (seen.has(id)) continue;
      row.element.remove();
      this.#rows.delete(id);
    }
    const all = [...this.#rows.values()], first = all.filter((r) => r.until > now);
    const byName = (a, b) => a.w.name.localeCompare(b.w.name) || (a.w.id < b.w.id ? -1 : 1);
    place(this.#need, first.sort((a, b) => b.rank - a.rank || byName(a, b)));
    place(this.#steady, all.filter((r) => !(r.until > now)).sort(byName));
    return first.length;
  }

  #make() {
    const element = document.createElement('li'), button = element.appendChild(document.createElement('button')), strip = new Strip();
    const span = (name) => Object.assign(document.createElement('span'), { className: name });
    const row = { element, strip, name: span('name'), figure: span('figure'), met: span('met'), words: span('words'), rank: 0, until: -Infinity, w: null };
    button.type = 'button';
    button.append(row.name, strip.element, row.figure, row.met, row.words);
    button.addEventListener('click', () => this.#chosen(row.w));
    return row;
  }

  #fill(row, w, target, map, now, several) {
    const s = w.last ?? {}, n = need(w, target, map, now), walking = w.here && s.hears === 'walking' && s.cadence > 0;
    row.w = w;
    if (n.rank > 0) {
      row.until = now + linger;
      row.rank = n.rank;
    }
    row.name.textContent = row.name.title = w.name;
    row.figure.textContent = walking ? words.cadence(s.cadence) : '–';
    row.met.textContent = n.met ?? '';
    row.met.classList.toggle('far', Boolean(n.far));
    row.words.textContent = [n.words, several ? w.group : ''].filter(Boolean).join(' · ');
    row.strip.show(target, walking ? s.cadence : 0);
  }
}

/** Puts rows into a list, and moves only what is not in its place. */
function place(list, rows) {
  let at = list.firstElementChild;
  for (const r of rows) {
    if (r.element === at) at = at.nextElementSibling;
    else list.insertBefore(r.element, at);
  }
}
