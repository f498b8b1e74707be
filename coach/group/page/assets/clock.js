// Group time, from exchanges with the hub. This is package coach/group/clock once
// more, line by line, because the page must know the time without the detector; a
// test holds the two together. Times are in seconds.

const precision = 50e-6; // of a time stamp
const phi = 15e-6; // wander of a clock, s/s (RFC 5905, section 7.2)
const furthest = 1e9;
const stages = 8; // exchanges in the filter

const enough = stages; // exchanges that make group time known
const slewest = 500e-6; // s/s
const slewTime = 4;
const sure = 8; // contradictions in a row that are believed
const lost = 0.5; // an error that slewing cannot make up
const otherHub = 5e-3;
const otherRate = 30e-6;

const held = 128; // exchanges the line is drawn through
const crystal = 100e-6;
const mostDrift = 300e-6;
const wander = 1e-6;
const memory = 32; // pieces of the path

const sq = (x) => x * x;

/** What one exchange {t1, t2, t3, t4, spread} says (RFC 5905, section 8). */
export const offset = (e) => (e.t2 - e.t1 + (e.t3 - e.t4)) / 2;
const rawDelay = (e) => e.t4 - e.t1 - (e.t3 - e.t2);
export const delay = (e) => Math.max(rawDelay(e), 0);
const errorOf = (e) => Math.abs(rawDelay(e)) / 2 + precision + e.spread;

function possible(e) {
  const all = [e.t1, e.t2, e.t3, e.t4, e.spread];
  return all.every((t) => Math.abs(t) <= furthest) && e.t1 <= e.t4 && e.t2 <= e.t3 && e.spread >= 0;
}

/** The exchange with the least delay of the last eight. */
export class Filter {
  last = [];
  add(e) {
    this.last.push(e);
    if (this.last.length > stages) this.last.shift();
    return this.last.reduce((best, o) => (delay(o) < delay(best) ? o : best), e);
  }
}

/** Group time over the page's clock, in pieces; it never falls. */
class Path {
  pieces = [];
  #index(key, x) {
    const p = this.pieces;
    let n = 0;
    while (n + 1 < p.length && p[n + 1][key] <= x) n++;
    return n;
  }
  at(local) {
    const n = this.#index('local', local), p = this.pieces[n], next = this.pieces[n + 1];
    const g = p.group + (local - p.local) * p.rate;
    return next ? Math.min(g, next.group) : g;
  }
  back(group) {
    const n = this.#index('group', group), p = this.pieces[n], next = this.pieces[n + 1];
    const l = p.local + (group - p.group) / p.rate;
    return next ? Math.min(l, next.local) : l;
  }
  put(piece) {
    this.pieces = this.pieces.filter((p) => p.local < piece.local).slice(-(memory - 1));
    this.pieces.push(piece);
  }
}

/** The offset over the page's clock: a line that trusts each exchange as far as its delay allows. */
class Line {
  samples = [];
  before = { t: 0, off: 0, sd: 0, drift: 0, driftSD: 0 };

  add(s) {
    this.samples.push(s);
    if (this.samples.length > held) this.samples.shift();
  }

  fit(t) {
    const { quickest, unseen } = this.#quickest();
    let w = 0, wx = 0, wxx = 0, wy = 0, wxy = 0;
    const put = (x, y, variance) => {
      const g = 1 / variance;
      w += g; wx += g * x; wxx += g * x * x; wy += g * y; wxy += g * x * y;
    };
    for (const s of this.samples) {
      const x = s.t - t;
      put(x, s.off, sq(precision) + sq(s.delay - quickest + unseen) / 12 + sq(s.extra) + sq(wander * x));
    }
    const b = this.before;
    if (b.sd > 0) put(b.t - t, b.off, sq(b.sd) + sq(phi * (b.t - t)));
    const g = 1 / sq(b.driftSD);
    wxx += g; wxy += g * b.drift;
    const det = w * wxx - wx * wx;
    const e = {
      t, off: (wxx * wy - wx * wxy) / det, drift: (w * wxy - wx * wy) / det,
      vOff: wxx / det, vBoth: -wx / det, vDrift: w / det,
    };
    e.drift = Math.min(Math.max(e.drift, -mostDrift), mostDrift);
    this.#bounds(e);
    e.off = Math.min(Math.max(e.off, e.lo), e.hi);
    return e;
  }

  // The least delay, and by how much a quicker one may not have been seen yet.
  #quickest() {
    const all = this.samples.map((s) => s.delay).sort((a, b) => a - b), n = all.length;
    if (n < 2) return { quickest: all[0], unseen: all[0] };
    return { quickest: all[0], unseen: (all[Math.floor(n / 2)] - all[0]) / (Math.sqrt(n) - 1) };
  }

  #bounds(e) {
    e.lo = -Infinity;
    e.hi = Infinity;
    for (let i = this.samples.length - 1; i >= 0; i--) {
      const s = this.samples[i], dt = e.t - s.t;
      const off = s.off + e.drift * dt, err = s.err + slack(e) * Math.abs(dt);
      const lo = Math.max(e.lo, off - err), hi = Math.min(e.hi, off + err);
      if (lo > hi) return;
      e.lo = lo;
      e.hi = hi;
    }
  }
}

const slack = (e) => Math.max(phi, 2 * Math.sqrt(e.vDrift));

function later(e, t) {
  const dt = t - e.t;
  return {
    ...e, t, off: e.off + e.drift * dt,
    vOff: e.vOff + 2 * e.vBoth * dt + e.vDrift * dt * dt + sq(wander * dt), vBoth: e.vBoth + e.vDrift * dt,
    lo: e.lo + e.drift * dt - slack(e) * Math.abs(dt), hi: e.hi + e.drift * dt + slack(e) * Math.abs(dt),
  };
}

/** What a member knows of group time; see coach/group/clock.Follower. */
export class Follower {
  #path = new Path();
  #line = new Line();
  #now = { drift: 0 };
  #odd = [];
  #seen = 0;
  #hold = false;
  #last = 0;

  /** Takes in an exchange and tells whether group time jumped. */
  add(e) {
    if (!possible(e)) return false;
    this.#last = Math.max(this.#last, e.t4);
    if (this.#path.pieces.length === 0) {
      this.#last = e.t4;
      this.#line.before.driftSD = crystal;
    }
    const s = { t: (e.t1 + e.t4) / 2, off: offset(e), delay: Math.abs(rawDelay(e)), err: errorOf(e), extra: e.spread };
    if (!this.#take(s)) return false;
    this.#seen++;
    this.#now = this.#line.fit(this.#last);
    return this.#steer();
  }

  #take(s) {
    const last = this.#odd[this.#odd.length - 1];
    const like = last !== undefined && Math.abs(s.off - last.off) <= s.err + last.err + slack(this.#now) * Math.abs(s.t - last.t);
    if (this.#line.samples.length > 0) {
      const k = later(this.#now, s.t);
      if (s.off + s.err < k.lo || s.off - s.err > k.hi) return this.#contradicted(s, like);
    }
    if (!like) this.#odd = []; // a slow answer may agree with both
    this.#line.add(s);
    return true;
  }

  #contradicted(s, like) {
    if (!like) this.#odd = [];
    this.#odd.push(s);
    if (this.#odd.length < sure) return false;
    this.#line.samples = this.#odd;
    this.#line.before = { t: 0, off: 0, sd: 0, drift: this.#now.drift, driftSD: crystal };
    this.#odd = [];
    return true;
  }

  #steer() {
    const right = this.#last + this.#now.off, rate = 1 + this.#now.drift, path = this.#path;
    if (path.pieces.length === 0 || !this.#hold) {
      path.pieces = [{ local: this.#last, group: right, rate }];
      return false;
    }
    const is = path.at(this.#last), miss = right - is;
    if (Math.abs(miss) > lost) {
      if (miss < 0) path.pieces = [];
      path.put({ local: this.#last, group: right, rate });
      return true;
    }
    const slew = Math.min(Math.max(miss / slewTime, -slewest), slewest);
    path.put({ local: this.#last, group: is, rate: rate + slew });
    if (slew !== 0) {
      const lasts = miss / slew;
      path.put({ local: this.#last + lasts, group: is + lasts * (rate + slew), rate });
    }
    return false;
  }

  /** Beats play from now on: no steps. */
  hold() { this.#hold = true; }

  /** The exchanges to come are with another hub. */
  moved() {
    if (this.#path.pieces.length === 0) return;
    const n = this.#now;
    this.#line.samples = [];
    this.#odd = [];
    this.#line.before = {
      t: n.t, off: n.off, sd: Math.sqrt(n.vOff + sq(otherHub)),
      drift: n.drift, driftSD: Math.sqrt(n.vDrift + sq(otherRate)),
    };
  }

  get known() { return this.#seen >= enough; }
  get drift() { return this.#now.drift; }
  group(local) { return this.#path.pieces.length ? this.#path.at(local) : 0; }
  local(group) { return this.#path.pieces.length ? this.#path.back(group) : 0; }

  /** How far group time may be off: {bound, guess}. */
  spread(local) {
    if (this.#path.pieces.length === 0) return { bound: Infinity, guess: Infinity };
    const k = later(this.#now, Math.max(local, this.#now.t)), off = this.#path.at(k.t) - k.t;
    const bound = Math.max(k.hi - off, off - k.lo);
    return { bound, guess: Math.min(2 * Math.sqrt(k.vOff) + Math.abs(off - k.off), bound) };
  }
}
