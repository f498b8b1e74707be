// The connection to the leader: it is there, or it comes back. What it carries are the
// messages of package group.

export const version = 1;
const silent = 6; // s without a word, after which the connection counts as dead
const longest = 8; // s between two tries
const lasting = new Set(['word', 'version', 'removed', 'elsewhere']); // trying again is of no use

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
 * Link keeps one connection up.
 *   hello(hub)    the first message, an object
 *   heard(m, at)  a message came at page time at, s
 *   state(word)   'connecting', 'there', 'away', or 'refused' with the reason
 */
export class Link {
  spares = []; // other hubs, in the order in which they are tried
  #endpoint;
  #on;
  #socket = null;
  #tries = 0;
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

  /** The hub that is tried now: the page's own first, a spare after two failures. */
  get hub() {
    const all = ['', ...this.spares].filter((hub) => addressOf(hub, this.#endpoint));
    return all[Math.floor(this.#tries / 2) % all.length];
  }

  open() {
    this.#ended = false;
    clearTimeout(this.#timer);
    this.#close();
    this.#on.state('connecting');
    const hub = this.hub, socket = new WebSocket(addressOf(hub, this.#endpoint));
    this.#socket = socket;
    this.#last = performance.now();
    socket.onopen = () => this.send(this.#on.hello(hub));
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
      this.#tries = 0;
      this.#on.state('there');
    }
    this.#on.heard(m, at / 1000);
  }

  #sorry(m) {
    this.#on.heard(m, performance.now() / 1000);
    if (lasting.has(m.code)) {
      this.close();
      this.#on.state('refused', m.why);
    } else if (m.code === 'ending') {
      this.#tries = 2; // to the first spare
      this.#lost();
    }
  }

  #lost() {
    if (this.#ended) return;
    this.#close();
    this.#on.state('away');
    const wait = Math.min(longest, 0.5 * 2 ** Math.min(this.#tries, 10)) * (0.75 + 0.5 * Math.random());
    this.#tries++;
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
