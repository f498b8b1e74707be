// The walker's page. This is the middle: it knows the group, its clock and its map,
// and lets the others do.

import { Follower } from './clock.js';
import { met, pieceAt, targetAt } from './beats.js';
import { Awake, keepPages, phone, tab } from './keep.js';
import { Link, version } from './link.js';
import { Listener, built, obstacle } from './listen.js';
import { pageNow } from './output.js';
import { pulse } from './pulse.js';
import { Sound } from './sound.js';
import { tapTest } from './adjust.js';
import { View, $ } from './view.js';

const burst = 8; // pings at first, so that the clock is known soon
const burstGap = 60, oftenGap = 1000, seldomGap = 2000; // ms
const fine = 1e-3; // s: a clock as good as that is asked for seldom
const mostSteps = 40, keptSteps = 2000, oldest = 590; // of messages of steps; s
const window_ = 20; // steps that the mean against the beat is of
const remembered = 0.02; // s: how far group time may be off after a reload without the leader
const outdated = 3000; // ms that a hub with a map of an earlier leader is given to catch up
const told = 400; // ms between two reports; a board must not be more than 1 s behind
const restBetween = 1000; // ms between two when nothing is heard, and between other work

const clock = new Follower();
const view = new View();
const awake = new Awake((words) => view.text('awake', words));
const pings = new Map();
let mine = tab.get('join'); // {word, name, group, agree, seats: {hub: {seat, id}}, listen}
let map = null;
let sound = null; // once a tap has allowed it
let ctx = null;
let timed = null; // whose time the clock has, {hub, term}
let trusted = false; // the hub that is there is no older than what is known
let giveUp = 0; // timer for one that is
const lacking = new Set(); // hubs that do not have the group that was asked for
let pingN = 0, pingTimer = 0;
let steps = []; // group times of the last ones
let waiting = []; // steps that were not sent yet
let rhythm = null, fading = false, heardAt = -Infinity;
let own = null; // the last word of the walker's own coach, {cue, until}

const groupNow = () => clock.group(pageNow());

// --- the leader ---

const link = new Link('member', {
  hello: (hub) => ({
    kind: 'join', version, word: mine.word, name: mine.name, group: lacking.has(hub) ? '' : map?.group ?? mine.group,
    seat: mine.seats[hub]?.seat ?? '', agree: mine.agree, way: 'phone',
  }),
  heard: hear,
  state: (word, why) => {
    clearTimeout(giveUp);
    if (word !== 'there') trusted = false;
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
      const before = mine.seats[link.hub];
      mine.seats[link.hub] = { seat: m.seat, id: m.id };
      mine.shown = m.name;
      lacking.delete(link.hub);
      tab.set('join', mine);
      take(m.map, before !== undefined && before.id !== m.id);
      return;
    }
    case 'map': return take(m.map);
    case 'pong': {
      const t1 = pings.get(m.n);
      pings.delete(m.n);
      if (t1 === undefined || !trusted) return;
      if (clock.add({ t1, t2: m.t2, t3: m.t3 || m.t2, t4: at, spread: m.spread ?? 0 })) sound?.replan();
      if (clock.known) view.link('there', true);
      return;
    }
    case 'sorry':
      if (m.code === 'bad' && !trusted) lacking.add(link.hub);
      view.trouble(m.why);
  }
}

/** Takes up a map that is newer, or of another group. A hub with an older one keeps
 * the time of an earlier leader, perhaps: it is not believed until it has caught up,
 * unless it forgot this walker: then the group was begun afresh there. */
function take(to, afresh = false) {
  const same = map && to.group === map.group, older = map && (to.term < map.term || (same && to.term === map.term && to.seq < map.seq));
  if (older && !(afresh && to.term === map.term)) {
    trusted = false;
    view.link('away', clock.known);
    clearTimeout(giveUp);
    giveUp = setTimeout(() => link.pass(), outdated);
    return;
  }
  clearTimeout(giveUp);
  trusted = true;
  link.settle();
  if (timed && (timed.hub !== link.hub || timed.term !== to.term)) clock.moved();
  timed = { hub: link.hub, term: to.term };
  if (afresh || !same || to.term !== map.term || to.seq !== map.seq) show(to);
}

/** Goes by a map. */
function show(to) {
  map = to;
  link.spares = map.spares ?? [];
  if (map.group !== mine.group) tab.set('join', Object.assign(mine, { group: map.group }));
  if (sound) sound.map = map;
  view.who(mine.shown ?? mine.name, map.group);
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
  tab.drop('last');
  map = timed = null;
  if (sound) sound.beat = false;
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
  const before = phone.get('seats'); // the same walker goes on in the same seat
  mine = { word, name, agree: $('agree').checked, group: '', seats: before?.name === name && before?.word === word ? before.seats : {} };
  tab.set('join', mine);
  if (sound) sound.beat = true;
  begin();
  hearBeat();
});

function begin() {
  view.show('walk');
  view.who(mine.name);
  link.open();
  awake.want();
}

addEventListener('pagehide', () => {
  if (mine) phone.set('seats', { name: mine.name, word: mine.word, seats: mine.seats });
});

let leaves = 0; // timer while a second tap leaves
$('leave').addEventListener('click', () => {
  if (!leaves) {
    view.text('leave', 'Tap again to leave');
    leaves = setTimeout(() => {
      leaves = 0;
      view.text('leave', 'Leave');
    }, 4000);
    return;
  }
  link.send({ kind: 'leave' });
  setTimeout(() => {
    tab.drop('join');
    tab.drop('last');
    phone.drop('seats');
    mine = null;
    location.reload();
  }, 100);
});

// --- hearing ---

/** Tells an iPhone what its sound is for; it gives no microphone to what only plays. */
function session(type) { if (navigator.audioSession) navigator.audioSession.type = type; }

async function hearBeat() {
  if (listener.way !== 'sound') session('playback'); // not silenced by a switch for ringing
  if (!ctx) {
    ctx = new AudioContext({ latencyHint: 'interactive' });
    ctx.onstatechange = () => {
      sound.output.forget(); // it stood still: what was planned would come late
      sound.replan();
      view.hear(ctx.state);
    };
    sound = new Sound(ctx, clock);
    sound.volume = $('volume').value / 100;
    sound.extra = $('extra').value / 1000;
    if (map) sound.map = map;
    sound.cues.fetch();
    window.steadfoot.sound = sound;
    window.steadfoot.ctx = ctx;
  }
  await ctx.resume().catch(() => {});
  view.hear(ctx.state);
}

/** The beat, and listening, as they were before a reload. */
async function goOn() {
  await hearBeat();
  if (mine?.listen && !listener.way) listen(mine.listen);
}
$('hear').addEventListener('click', goOn);
document.addEventListener('visibilitychange', () => {
  sound?.tick();
  if (document.hidden) return;
  if (ctx && ctx.state !== 'running') ctx.resume().catch(() => {});
  if (link.there) { // the machine may have slept, and its clock with it
    clearTimeout(pingTimer);
    ping(burst);
  }
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
  failed: deaf,
});

/** Listening has ended; why is in words, or ''. */
function deaf(why) {
  listener.stop();
  session('playback');
  rhythm = null;
  view.listening('', why);
}

function stepped(e, t) {
  if (!clock.known) return;
  if (mine?.agree) waiting.push({ t, side: e.side, confidence: e.confidence, heard: e.heard });
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
    if (way === 'sound') {
      session('play-and-record');
      await listener.sound(ctx, sound.out, sound.output);
    } else await listener.motion();
    aim(true);
    remember(way);
    view.listening(way, listener.about);
  } catch (err) {
    const denied = err.name === 'NotAllowedError' ? 'It was not allowed. The address bar of the browser has the setting.' : err.name === 'NotFoundError' ? 'There is no microphone.' : err.message;
    deaf(denied);
  }
}
const remember = (way) => mine && tab.set('join', Object.assign(mine, { listen: way }));
$('listen-sound').addEventListener('click', () => listen('sound'));
$('listen-motion').addEventListener('click', () => listen('motion'));
$('listen-off').addEventListener('click', () => {
  remember('');
  deaf('');
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

/** Tells how the walker fares: often while that is known. */
let last = -Infinity;
function report() {
  const now = pageNow();
  if (!mine || !clock.known || !trusted || (now - last) * 1000 < (rhythm ? told : restBetween) - 20) return;
  last = now;
  link.send(status());
}

let worked = -Infinity;
function work() {
  const now = pageNow();
  if (!mine || !clock.known || (now - worked) * 1000 < restBetween - 20) return;
  worked = now;
  if (sound && ctx.state === 'running' && map && pieceAt(map, groupNow())) clock.hold();
  tab.set('last', { map, timed, wall: groupNow() - Date.now() / 1000 });
  if (!trusted) return;
  waiting = waiting.filter((s) => s.t > groupNow() - oldest);
  if (waiting.length) link.send({ kind: 'steps', steps: waiting.splice(0, mostSteps) });
}

function paint() {
  if (!mine || document.hidden) return;
  const now = pageNow();
  view.paint({ map, now: groupNow(), known: clock.known, spread: clock.spread(now).guess * 1000, status: listener.way ? status() : null, mic: listener.micKnown, own: own?.until > now ? own.cue : null });
}

// --- the pulse of all that ---

pulse((n) => {
  sound?.tick();
  aim();
  report();
  work();
  if (n % 2 === 0) paint();
});

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
  timed = last.timed;
  if (timed) link.home = timed.hub;
  show(last.map);
}

// A look inside, for the browser's console and the tests.
window.steadfoot = { clock, link, listener, status, groupNow, get map() { return map; } };

$('insecure').hidden = window.isSecureContext;
keepPages();
if (mine) {
  fromAddress();
  recall();
  begin();
  if (navigator.userActivation?.hasBeenActive) goOn();
  else view.hear('suspended');
} else ask();
