// The walker's page. This is the middle: it knows the group, its clock and its map,
// and lets the others do.

import { Follower } from './clock.js';
import { met, pieceAt, targetAt } from './beats.js';
import { Awake, keepPages, phone, tab } from './keep.js';
import { Link, version } from './link.js';
import { Listener, built, obstacle } from './listen.js';
import { pageNow } from './output.js';
import { Sound } from './sound.js';
import { tapTest } from './adjust.js';
import { View, $ } from './view.js';

const burst = 8; // pings at first, so that the clock is known soon
const burstGap = 60, oftenGap = 1000, seldomGap = 2000; // ms
const fine = 1e-3; // s: a clock as good as that is asked for seldom
const mostSteps = 40, keptSteps = 2000, oldest = 590; // of messages of steps; s
const window_ = 20; // steps that the mean against the beat is of
const remembered = 0.02; // s: how far group time may be off after a reload without the leader

const clock = new Follower();
const view = new View();
const awake = new Awake((words) => view.text('awake', words));
const pings = new Map();
let mine = tab.get('join'); // {word, name, group, agree, seat, id}
let map = null;
let sound = null; // once a tap has allowed it
let ctx = null;
let hub = null; // the one that the clock is of
let pingN = 0, pingTimer = 0;
let steps = []; // group times of the last ones
let waiting = []; // steps that were not sent yet
let rhythm = null, fading = false, heardAt = -Infinity;
let own = null; // the last word of the walker's own coach, {cue, until}

const groupNow = () => clock.group(pageNow());

// --- the leader ---

const link = new Link('member', {
  hello: (at) => {
    if (hub !== null && hub !== at) clock.moved();
    hub = at;
    return { kind: 'join', version, word: mine.word, name: mine.name, group: map?.group ?? mine.group, seat: mine.seat, agree: mine.agree, way: 'phone' };
  },
  heard: hear,
  state: (word, why) => {
    view.link(word, map !== null && clock.known);
    clearTimeout(pingTimer);
    if (word === 'there') {
      pings.clear();
      ping(burst);
      view.trouble('');
    }
    if (word === 'refused') refused(why);
  },
});

function hear(m, at) {
  switch (m.kind) {
    case 'welcome': {
      const known = mine.id === m.id;
      Object.assign(mine, { seat: m.seat, id: m.id, shown: m.name });
      tab.set('join', mine);
      view.text('who', `${m.name} · ${m.map.group}`);
      take(m.map, !known);
      return;
    }
    case 'map': return take(m.map, m.map.group !== map?.group);
    case 'pong': {
      const t1 = pings.get(m.n);
      pings.delete(m.n);
      if (t1 === undefined) return;
      if (clock.add({ t1, t2: m.t2, t3: m.t3 || m.t2, t4: at, spread: m.spread ?? 0 })) sound?.replan();
      if (clock.known) view.link('there', true);
      return;
    }
    case 'sorry': view.trouble(m.why);
  }
}

/** Takes up a map when it is newer, or of another group or leader. */
function take(to, anyhow) {
  if (!anyhow && map && (to.term < map.term || (to.term === map.term && to.seq <= map.seq))) return;
  map = to;
  link.spares = map.spares ?? [];
  if (map.group !== mine.group) tab.set('join', Object.assign(mine, { group: map.group }));
  if (sound) sound.map = map;
  view.text('who', `${mine.shown ?? mine.name} · ${map.group}`);
}

function ping(left = 0) {
  const t1 = pageNow();
  if (link.send({ kind: 'ping', n: ++pingN, t1 })) pings.set(pingN, t1);
  for (const n of pings.keys()) if (n < pingN - 32) pings.delete(n);
  const gap = left > 1 ? burstGap : (clock.spread(t1).guess > fine ? oftenGap : seldomGap) * (0.9 + 0.2 * Math.random());
  pingTimer = setTimeout(ping, gap, left - 1);
}

function refused(why) {
  tab.drop('join');
  map = null;
  sound?.output && (sound.beat = false);
  ask();
  view.text('join-trouble', why);
}

// --- joining ---

function fromAddress() {
  const said = new URLSearchParams(location.hash.slice(1));
  if (location.hash) history.replaceState(null, '', location.pathname);
  return said;
}

function ask() {
  const said = fromAddress();
  $('name').value = phone.get('name', '');
  $('word').value = said.get('word') ?? phone.get('word', '');
  view.show('join');
  ($('name').value ? $('word').value ? $('agree') : $('word') : $('name')).focus();
}

$('join-form').addEventListener('submit', (e) => {
  e.preventDefault();
  const name = $('name').value.trim(), word = $('word').value.trim();
  phone.set('name', name);
  phone.set('word', word);
  const before = phone.get('seat'); // the same walker goes on in the same seat
  mine = { word, name, agree: $('agree').checked, group: '', seat: before?.name === name && before?.word === word ? before.seat : '' };
  tab.set('join', mine);
  begin();
  hearBeat();
});

function begin() {
  view.show('walk');
  view.text('who', mine.name);
  link.open();
  awake.want();
}

addEventListener('pagehide', () => {
  if (mine?.seat) phone.set('seat', { name: mine.name, word: mine.word, seat: mine.seat });
});

$('leave').addEventListener('click', () => {
  link.send({ kind: 'leave' });
  setTimeout(() => {
    tab.drop('join');
    phone.drop('seat');
    location.reload();
  }, 100);
});

// --- hearing ---

async function hearBeat() {
  if (navigator.audioSession) navigator.audioSession.type = 'playback'; // not silenced by a switch for ringing
  if (!ctx) {
    ctx = new AudioContext({ latencyHint: 'interactive' });
    ctx.onstatechange = () => {
      sound?.output.forget();
      view.hear(ctx.state);
    };
    sound = new Sound(ctx, clock);
    sound.volume = $('volume').value / 100;
    sound.extra = $('extra').value / 1000;
    if (map) sound.map = map;
    setInterval(() => sound.tick(), 50);
    sound.cues.fetch();
    window.steadfoot.sound = sound;
    window.steadfoot.ctx = ctx;
  }
  await ctx.resume().catch(() => {});
  view.hear(ctx.state);
}

$('hear').addEventListener('click', hearBeat);
document.addEventListener('visibilitychange', () => {
  sound?.tick();
  if (!document.hidden && ctx && ctx.state !== 'running') ctx.resume().catch(() => {});
});

function slider(id, key, fallback, change) {
  $(id).value = phone.get(key, fallback);
  $(id).addEventListener('input', () => {
    phone.set(key, +$(id).value);
    change();
  });
  change();
}
slider('volume', 'volume', 40, () => { if (sound) sound.volume = $('volume').value / 100; });
slider('extra', 'extra', 0, () => {
  view.text('extra-words', `${$('extra').value} ms`);
  if (sound) sound.extra = $('extra').value / 1000;
});
tapTest(() => sound, (ms) => {
  $('extra').value = ms;
  $('extra').dispatchEvent(new Event('input'));
});

// --- listening ---

const listener = new Listener({
  found(events, { page, fading: f }) {
    fading = f;
    for (const e of events) {
      if (e.kind === 'step') stepped(e, clock.group(page(e.t)));
      if (e.kind === 'rhythm') [rhythm, heardAt] = [e, pageNow()];
      if (e.kind === 'cue' && sound?.say(e)) own = { cue: e, until: pageNow() + 3 };
    }
  },
  failed(why) {
    rhythm = null;
    view.listening('', why);
  },
});

function stepped(e, t) {
  if (!clock.known) return;
  waiting.push({ t, side: e.side, confidence: e.confidence, heard: e.heard });
  if (waiting.length > keptSteps) waiting.shift();
  if (e.heard) steps = [...steps, t].slice(-window_);
}

async function listen(way) {
  const why = obstacle(way);
  if (why) return view.listening('', why);
  try {
    if (!(await built())) return view.listening('', 'This program was built without the detector for phones; “make phone”, then “make build”, put it in.');
    await hearBeat();
    listener.stop();
    if (way === 'sound') await listener.sound(ctx, sound.out, sound.output);
    else await listener.motion();
    aim(true);
    view.listening(way, listener.about);
  } catch (err) {
    const denied = err.name === 'NotAllowedError' ? 'It was not allowed. The address bar of the browser has the setting.' : err.name === 'NotFoundError' ? 'There is no microphone.' : err.message;
    listener.stop();
    view.listening('', denied);
  }
}
$('listen-sound').addEventListener('click', () => listen('sound'));
$('listen-motion').addEventListener('click', () => listen('motion'));
$('listen-off').addEventListener('click', () => {
  listener.stop();
  rhythm = null;
  view.listening('', '');
});

let aimed = '';
function aim(anew) {
  const g = groupNow(), t = targetAt(map ?? {}, g);
  const on = map?.state === 'walking' && t.cadence > 0;
  const goal = { cadence: on ? t.cadence : 0, low: on ? t.low : 0, high: on ? t.high : 0, beat: on && pieceAt(map, g) !== null };
  const key = JSON.stringify(goal);
  if (!listener.way || (key === aimed && !anew)) return;
  aimed = key;
  listener.aim(goal);
}

// --- telling ---

const hears = { walking: 'walking', 'not walking': 'standing', 'cannot hear': 'cannot hear' };

/** How the walker fares, as group.Status. */
function status() {
  const now = pageNow(), g = clock.group(now), s = { kind: 'status', at: g, hears: 'off' };
  if (listener.way) s.hears = rhythm && now - heardAt < 3 ? hears[rhythm.state] : 'cannot hear';
  if (s.hears === 'walking') {
    Object.assign(s, { cadence: rhythm.cadence, sd: rhythm.cadence_sd, uneven: rhythm.unevenness });
    const m = met(map ?? {}, steps.filter((t) => t > g - 15));
    if (m.n) Object.assign(s, { r: m.r, n: m.n }, listener.way === 'sound' ? { off: m.off } : {}); // movement tells a push, not the contact
    if (fading) s.fading = true;
  }
  if (clock.known) s.clock = Math.min(1e6, clock.spread(now).guess * 1000);
  if (sound?.output.known) s.latency = Math.min(5000, Math.max(0, sound.output.latency * 1000));
  return s;
}

setInterval(() => {
  if (!mine || !clock.known) return;
  if (sound && ctx.state === 'running' && map && pieceAt(map, groupNow())) clock.hold();
  aim();
  tab.set('last', { map, wall: groupNow() - Date.now() / 1000 });
  if (!link.there) return;
  link.send(status());
  waiting = waiting.filter((s) => s.t > groupNow() - oldest);
  if (waiting.length) link.send({ kind: 'steps', steps: waiting.splice(0, mostSteps) });
}, 1000);

setInterval(() => {
  if (!mine) return;
  const now = pageNow();
  view.paint({ map, now: groupNow(), known: clock.known, spread: clock.spread(now).guess * 1000, status: listener.way ? status() : null, own: own?.until > now ? own.cue : null });
}, 100);

/** After a reload without the leader: the map and the clock as they were. */
function recall() {
  const last = tab.get('last');
  if (!last?.map) return;
  const wall = Date.now() / 1000, now = pageNow();
  if (!(last.wall + wall >= last.map.at)) return;
  for (let i = 8; i > 0; i--) {
    const t = now - i * 0.01, g = last.wall + wall - i * 0.01;
    clock.add({ t1: t, t2: g, t3: g, t4: t, spread: remembered });
  }
  take(last.map, true);
}

// A look inside, for the browser's console and the tests.
window.steadfoot = { clock, link, listener, status, groupNow, get map() { return map; } };

$('insecure').hidden = window.isSecureContext;
keepPages();
if (mine) {
  fromAddress();
  recall();
  begin();
  if (navigator.userActivation?.hasBeenActive) hearBeat();
  else view.hear('suspended');
} else ask();
