// What the walker sees. Text goes in as text only.

import { partAt, pieceAt, targetAt } from './beats.js';
import { Strip } from './strip.js';
import * as words from './words.js';

export const $ = (id) => document.getElementById(id);

const links = {
  connecting: 'connecting …', there: 'with the leader', away: 'no leader: going on alone', refused: 'not let in',
};

export class View {
  #strip = new Strip();

  constructor() {
    $('strip').append(this.#strip.element);
    for (const name of ['listen', 'adjust']) {
      $(name).addEventListener('click', () => {
        $(`${name}-panel`).hidden = !$(`${name}-panel`).hidden;
        $(name).setAttribute('aria-expanded', String(!$(`${name}-panel`).hidden));
      });
    }
  }

  text(id, t) { if ($(id).textContent !== t) $(id).textContent = t; }

  show(section) {
    $('join').hidden = section !== 'join';
    $('walk').hidden = section !== 'walk';
  }

  link(word, known) { this.text('link', word === 'there' && !known ? 'agreeing on the time …' : word !== 'there' && !known ? links.connecting : links[word]); }
  /** Names may be written from right to left; each stays by itself. */
  who(name, group = '') {
    this.text('name-shown', name);
    this.text('group-shown', group);
  }
  trouble(why) { this.text('trouble', why); }

  hear(state) { $('hear').hidden = state === 'running'; }

  listening(way, why) {
    $('own').hidden = !way;
    $('listen-off').hidden = !way;
    $('listen-sound').hidden = $('listen-motion').hidden = Boolean(way);
    this.text('listen', way ? 'Listening' : 'Listen to my steps');
    this.text('listen-words', why || (way === 'motion' ? 'By movement it is told how steadily you keep to the beat, not how early or late.' : ''));
  }

  /** Paints the state {map, now, known, spread, status, mic, own}; mic is how well the
   * delay of the microphone is known. */
  paint(s) {
    this.text('clock', words.agreed(s.known ? s.spread : 0));
    if (!s.map || !s.known) return;
    const { part, next, ends } = partAt(s.map, s.now), t = targetAt(s.map, s.now);
    const free = !part?.role || part.role === 'free';
    this.text('part', s.map.state !== 'walking' ? words.states[s.map.state] ?? '' : free && t.cadence > 0 ? 'Walk with the beat' : words.part(part) || 'Free walk');
    this.#target(s.map.state === 'walking' || s.map.state === 'paused' ? t : { cadence: 0 });
    const left = ends > 0 ? Math.max(0, ends - s.now) : 0;
    this.text('countdown', left > 0 ? words.clock(Math.ceil(left)) : '');
    this.text('next', next ? `then ${words.part(next).replace(/^./, (c) => c.toLowerCase())}` : left > 0 ? 'then the end' : '');
    this.#say(s);
    this.#feet(s);
    if (s.status) this.#own(s.status, t, s.mic);
  }

  #target(t) {
    this.text('target', t.cadence > 0 ? words.cadence(t.cadence) : 'free');
    $('target').parentElement.classList.toggle('free', !(t.cadence > 0));
    this.text('target-unit', t.cadence > 0 ? 'steps a minute' : 'no target now');
    this.text('target-more', t.cadence > 0 ? `${words.cadence(t.low)} to ${words.cadence(t.high)}${words.pace(t.pace) ? ` · ${words.pace(t.pace)}` : ''}` : '');
  }

  #say(s) {
    const now = (s.map.says ?? []).filter((c) => c.t <= s.now && s.now < c.t + 4).pop();
    this.text('say', now ? words.cue(now) : s.own ? words.cue(s.own) : '');
  }

  #feet(s) {
    const p = pieceAt(s.map, s.now);
    const k = p ? Math.floor((s.now - p.start) / p.period) : -1, in_ = p ? (s.now - p.start) / p.period - k : 1;
    const first = p?.side === 'right' ? 'right' : 'left', other = first === 'left' ? 'right' : 'left';
    const foot = in_ < 0.5 ? (k % 2 ? other : first) : '';
    for (const side of ['left', 'right']) $(side).className = foot === side ? 'now' : '';
  }

  #own(s, t, mic) {
    const walking = s.hears === 'walking' && s.cadence > 0;
    this.text('cadence', walking ? words.cadence(s.cadence) : '–');
    let judge = { 'cannot hear': 'cannot hear your steps', standing: 'not walking', walking: 'listening' }[s.hears] ?? '';
    if (walking && t.cadence > 0) judge = s.cadence < t.low ? 'too slow' : s.cadence > t.high ? 'too quick' : 'on target';
    this.text('judge', judge);
    this.#strip.show(t, walking ? s.cadence : 0);
    const met = walking ? words.off({ off: s.off ?? 0, r: s.r ?? 0, n: s.n ?? 0 }) : '';
    this.text('met', met && s.off !== undefined && !mic ? `${met}, less the delay of this microphone` : met);
  }
}
