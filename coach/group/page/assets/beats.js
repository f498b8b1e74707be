// The beat of a map: coach.BeatMap once more. Beat k of a piece is at
// start + k·period, computed and never added up. Times are group time, s.

const other = { left: 'right', right: 'left' };

/** Every beat with from <= t < to, in order: {t, side, level, accent}. */
export function between(map, from, to) {
  const out = [], pieces = map.beat ?? [], choice = map.choice ?? {};
  for (let i = 0; i < pieces.length; i++) {
    const p = pieces[i], next = pieces[i + 1];
    if (p.start >= to) break;
    const end = next ? Math.min(to, next.start) : to, begin = Math.max(from, p.start);
    if (!(p.period > 0) || !(begin < end)) continue;
    for (let k = first(p, begin); ; k++) {
      const t = p.start + k * p.period;
      if (t >= end) break;
      const side = k % 2 === 1 ? other[p.side] : p.side, n = (p.n ?? 0) + k;
      if (gives(choice, n, side)) out.push({ t, side, level: p.level ?? 0, accent: accented(choice, n) });
    }
  }
  return out;
}

// The first k with start + k·period >= t; the division may be off by one.
function first(p, t) {
  let k = Math.max(Math.ceil((t - p.start) / p.period), 0);
  while (k > 0 && p.start + (k - 1) * p.period >= t) k--;
  while (p.start + k * p.period < t) k++;
  return k;
}

const only = (choice) => (choice.foot === 'left' || choice.foot === 'right' ? choice.foot : null);

function gives(choice, n, side) {
  return (!only(choice) || side === only(choice)) && (!(choice.every > 1) || n % choice.every === 0);
}

function accented(choice, n) {
  if (!(choice.accent > 1)) return false;
  const apart = only(choice) ? 2 : Math.max(choice.every ?? 0, 1);
  return Math.floor(n / apart) % choice.accent === 0;
}

/** The piece that holds at t, or null where there is no beat. */
export function pieceAt(map, t) {
  let found = null;
  for (const p of map.beat ?? []) if (p.start <= t) found = p;
  return found && found.period > 0 ? found : null;
}

/**
 * How steps meet the beat: the mean time after it in ms, by the circular mean, R
 * and the number of steps. Every step counts, also where the beat leaves some out.
 */
export function met(map, steps) {
  let c = 0, s = 0, n = 0, period = 0;
  for (const t of steps) {
    const p = pieceAt(map, t);
    if (!p) continue;
    const angle = (2 * Math.PI * (t - p.start)) / p.period;
    c += Math.cos(angle);
    s += Math.sin(angle);
    period = p.period;
    n++;
  }
  if (n === 0) return { off: 0, r: 0, n: 0 };
  return { off: (Math.atan2(s, c) / (2 * Math.PI)) * period * 1000, r: Math.min(1, Math.hypot(c, s) / n), n };
}

/** The target that holds at t. */
export function targetAt(map, t) {
  const coming = map.coming;
  return coming?.t > 0 && coming.t <= t ? coming : map.target ?? { cadence: 0 };
}

/** The part that is walked at t: {part, next, ends}. */
export function partAt(map, t) {
  const next = map.next?.n > 0 ? map.next : null;
  if (next && map.ends > 0 && t >= map.ends) return { part: next, next: null, ends: 0 };
  return { part: map.part?.n > 0 ? map.part : null, next, ends: map.ends ?? 0 };
}
