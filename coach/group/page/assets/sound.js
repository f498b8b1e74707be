// What the walker hears: the group's beat, its announcements and the coach's words.
// Everything is given to the audio clock a little ahead, because a page's timers are
// late by whatever the phone happens to do.

import { between } from './beats.js';
import { click, softer } from './clicks.js';
import { Cues } from './cues.js';
import { Output, pageNow } from './output.js';

const soonest = 0.02; // s: what starts sooner cannot be taken back, nor be on time
const ahead = 0.4; // s
const aheadHidden = 2.5; // s: timers of a page out of sight run once a second
const fresh = 0.3; // s: what is later than that is not said any more
const loudest = 0.6; // of a click at full volume, so that a cue has room beside it

const decibels = (db) => 10 ** (db / 20);

export class Sound {
  /** For tests and for the tap test: beats given to the audio clock, {t, start}. */
  planned = [];
  #ctx;
  #clock;
  #now;
  #map = null;
  #until = -Infinity; // group time up to which beats are planned
  #said = []; // announcements given to the audio clock, {key, start, node}
  #clicks;
  #beat;
  #words;
  #on = true;

  /** clock is a Follower; a context that is offline plays for tests. */
  constructor(ctx, clock, now = pageNow) {
    this.#ctx = ctx;
    this.#clock = clock;
    this.#now = now;
    this.output = new Output(ctx, now);
    this.cues = new Cues(ctx);
    this.#clicks = { left: click(ctx, 'left'), right: click(ctx, 'right'), none: click(ctx, '') };
    this.out = ctx.createGain();
    this.out.gain.value = 0;
    this.out.connect(ctx.destination);
    this.#beat = ctx.createGain();
    this.#beat.gain.value = loudest;
    this.#beat.connect(this.out);
    this.#words = ctx.createGain();
    this.#words.connect(this.out);
  }

  /** Volume 0 to 1, as the ear has it: half is clearly softer, not half the voltage. */
  set volume(v) { this.out.gain.setTargetAtTime(v * v, this.#ctx.currentTime, 0.02); }

  set extra(s) {
    if (s === this.output.extra) return;
    this.output.extra = s;
    this.replan();
  }

  /** Whether this walker wants the beat. */
  set beat(on) {
    this.#on = on;
    this.replan();
  }

  set map(map) {
    this.#map = map;
    this.replan();
  }

  /** Plans what is to be heard soon. Call it often. */
  tick() {
    if (this.output.look()) return this.replan();
    if (!this.#map || !this.output.known || !this.#clock.known) return;
    const c = this.#ctx.currentTime, far = document.hidden ? aheadHidden : ahead;
    const to = this.#groupAt(c + far), from = Math.max(this.#until, this.#groupAt(c + soonest));
    this.planned = this.planned.filter((b) => b.start > c - 1);
    this.#said = this.#said.filter((s) => s.start > c - 60);
    if (this.#on) for (const b of between(this.#map, from, to)) this.#plan(b);
    this.#until = Math.max(this.#until, to);
    for (const cue of this.#map.says ?? []) this.#announce(cue, c, to);
  }

  #groupAt(c) { return this.#clock.group(this.output.heardAt(c)); }
  #startFor(t) { return this.output.startFor(this.#clock.local(t)); }

  #plan(b) {
    const { buffer, onset } = this.#clicks[b.side] ?? this.#clicks.none;
    const start = this.#startFor(b.t) - onset;
    if (start < this.#ctx.currentTime) return;
    const db = b.level + (this.#map.choice?.accent > 1 && !b.accent ? softer : 0);
    this.planned.push({ t: b.t, start, node: this.#play(buffer, start, this.#beat, decibels(db)) });
  }

  #play(buffer, start, into, level) {
    const node = this.#ctx.createBufferSource(), gain = this.#ctx.createGain();
    node.buffer = buffer;
    gain.gain.value = level;
    node.connect(gain).connect(into);
    node.onended = () => gain.disconnect();
    node.start(start);
    return node;
  }

  // An announcement of the group at its time.
  #announce(cue, c, to) {
    const key = `${cue.name} ${cue.t}`;
    if (cue.t >= to || this.#said.some((s) => s.key === key)) return;
    const start = this.#startFor(cue.t);
    if (start < c - fresh) return;
    this.#said.push({ key, start, nodes: this.#say(cue, Math.max(start, c)) });
  }

  #say(cue, start) {
    return this.cues.parts(cue).map(({ buffer, at }) => this.#play(buffer, start + at, this.#words, 1));
  }

  /** Says a cue of the walker's own coach at once, unless the group speaks. */
  say(cue) {
    const c = this.#ctx.currentTime;
    if (this.#said.some((s) => s.start > c - 2 && s.start < c + 2)) return false;
    this.#say(cue, c);
    return true;
  }

  /** Takes back what has not begun to sound, and plans anew: the beat, its delay or
   * the clock is another one. */
  replan() {
    const c = this.#ctx.currentTime, kept = this.planned.filter((b) => b.start <= c + soonest);
    for (const b of this.planned) if (!kept.includes(b)) b.node.stop();
    for (const s of this.#said) if (s.start > c + soonest) s.nodes.forEach((n) => n.stop());
    this.#said = this.#said.filter((s) => s.start <= c + soonest);
    this.planned = kept;
    this.#until = kept.length ? kept[kept.length - 1].t + 1e-4 : -Infinity;
    this.tick();
  }

  /** A click of its own, heard at page time t, as the system knows its delays. */
  clickAt(t) {
    const { buffer, onset } = this.#clicks.none;
    const start = this.output.startFor(t) + this.output.extra - onset;
    if (start >= this.#ctx.currentTime) this.#play(buffer, start, this.#beat, 1);
  }
}
