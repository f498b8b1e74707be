// The connection to the leader: it is there, or it comes back. What it carries are the
// messages of package group.

export const version = 1;
const silent = 6; // s without a word, after which the connection counts as dead
const longest = 8; // s between two tries
const goodbyes = new Set(['removed', 'elsewhere']); // trying again is of no use
const strangers = new Set(['word', 'version']); // nor this, at a hub that knew us

/** The address of a hub's endpoint: '' is where the page is from. */
export function addressOf(hub, endpoint, page = location) {
  const secure = page.protocol === 'https:';
  let host = hub || page.host;
  const scheme = /^(wss?|https?):\/\//.exec(host);
  host = host.slice(scheme ? scheme[0].length : 0).replace(/\/.*$/, '');
  const tls = scheme ? scheme[1] === 'wss' || scheme[1] === 'https' : secure;
  if (secure && !tls) return null; // a browser forbids it
  return `${tls ? 'wss' : 'ws'}://${host}/${endpoint}`;
}

/**
 * Link keeps one connection up: with the page's own hub, or a spare.
 *   hello(hub)    the first message, an object
 *   heard(m, at)  a message came at page time at, s
 *   state(word)   'connecting', 'there', 'away', or 'refused' with the reason
 * Whoever uses it says by settle() that the hub is believed.
 */
export class Link {
  spares = []; // other hubs, in the order in which they are tried
  #endpoint;
  #known = []; // addresses of hubs that were believed, the last one first
  #hub = ''; // address of the one that is tried or there
  #on;
  #socket = null;
  #turn = 0; // place in #hubs of the one to try
  #fails = 0; // in a row
  #timer = 0;
  #watch = 0;
  #last = 0;
  #ended = false;
  #there = false;

  constructor(endpoint, on) {
    this.#endpoint = endpoint;
    this.#on = on;
    addEventListener('online', () => this.hurry());
    document.addEventListener('visibilitychange', () => document.hidden || this.hurry());
  }

  get there() { return this.#there; }

  /** The address of the hub that is tried or there. */
  get hub() { return this.#hub; }

  /** The hub that was believed last, '' for none; a page that is loaded anew sets it. */
  get home() { return this.#known[0] ?? ''; }
  set home(hub) { this.#known = [hub]; }

  // Every hub, in the order of trying: where we were, the page's own, the spares.
  #hubs() {
    const at = (hub) => addressOf(hub, this.#endpoint);
    return [...new Set([...this.#known.filter((hub) => at(hub) === hub), at(''), ...this.spares.map(at).filter(Boolean)])];
  }

  /** The hub is believed: it is the first to be tried again. */
  settle() {
    this.#turn = this.#fails = 0;
    this.#known = [this.#hub, ...this.#known.filter((hub) => hub !== this.#hub)];
  }

  /** The hub is of no use: to the next one. */
  pass() { this.#lost(true); }

  open() {
    this.#ended = false;
    clearTimeout(this.#timer);
    this.#close();
    this.#on.state('connecting');
    const all = this.#hubs();
    this.#hub = all[this.#turn % all.length];
    const socket = new WebSocket(this.#hub);
    this.#socket = socket;
    this.#last = performance.now();
    socket.onopen = () => this.send(this.#on.hello(this.#hub));
    socket.onmessage = (e) => this.#message(e, socket);
    socket.onclose = () => this.#socket === socket && this.#lost();
    clearInterval(this.#watch);
    this.#watch = setInterval(() => performance.now() - this.#last > silent * 1000 && this.#lost(), 1000);
  }

  #message(e, socket) {
    const at = e.timeStamp > 0 ? Math.min(e.timeStamp, performance.now()) : performance.now();
    if (this.#socket !== socket) return;
    this.#last = performance.now();
    let m;
    try {
      m = JSON.parse(e.data);
    } catch {
      return; // not ours
    }
    if (m.kind === 'sorry') return this.#sorry(m);
    if (!this.#there && (m.kind === 'welcome' || m.kind === 'board')) {
      this.#there = true;
      this.#on.state('there');
    }
    this.#on.heard(m, at / 1000);
  }

  #sorry(m) {
    const stranger = strangers.has(m.code);
    if (stranger && this.home && this.home !== this.#hub) return this.pass(); // another hub knew us
    this.#on.heard(m, performance.now() / 1000);
    if (stranger || goodbyes.has(m.code)) {
      this.close();
      this.#on.state('refused', m.why);
    } else if (m.code === 'ending') this.pass();
  }

  #lost(next = false) {
    if (this.#ended) return;
    this.#close();
    this.#on.state('away');
    const wait = Math.min(longest, 0.5 * 2 ** Math.min(this.#fails, 10)) * (0.75 + 0.5 * Math.random());
    if (++this.#fails % 2 === 0 || next) this.#turn++; // twice the same one
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.open(), wait * 1000);
  }

  /** Tries at once when it is not there. */
  hurry() {
    if (!this.#ended && !this.#there && this.#socket === null) this.open();
  }

  #close() {
    clearInterval(this.#watch);
    const socket = this.#socket;
    this.#socket = null;
    this.#there = false;
    if (socket) {
      socket.onmessage = socket.onclose = socket.onopen = null;
      socket.close();
    }
  }

  close() {
    this.#ended = true;
    clearTimeout(this.#timer);
    this.#close();
  }

  /** Sends a message; tells whether it went. */
  send(m) {
    if (this.#socket?.readyState !== WebSocket.OPEN) return false;
    this.#socket.send(JSON.stringify(m));
    return true;
  }
}
