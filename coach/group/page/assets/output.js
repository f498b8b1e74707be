// When is heard what is played? The context's clock counts samples, the page's
// counts seconds, and between a sample and the ear lie the machine's buffers and, with
// wireless earbuds, much more.

const readings = 24; // kept, for a median
const every = 0.2; // s between two
const slewest = 0.02; // s/s, where the delay has changed while beats play
const settle = 3; // readings until the delay is known: the first ones are of a device that starts
const hope = 10; // readings that a browser may take until it pairs its clocks
const jump = 0.25; // s: the context stood still, or the device is another one

const median = (xs) => {
  const s = [...xs].sort((a, b) => a - b), n = s.length;
  return n % 2 ? s[(n - 1) / 2] : (s[n / 2 - 1] + s[n / 2]) / 2;
};

/** Page time in s. */
export const pageNow = () => performance.now() / 1000;

export class Output {
  /** Seconds from the device to the ear that the system does not know of. */
  extra = 0;
  #ctx;
  #now; // the page's clock
  #heard = []; // context time of what is heard less page time
  #made = []; // context time of what is being made less page time
  #last = -Infinity;
  #used = NaN; // #heard's median, without steps
  #missing = 0; // readings without a pair of clocks, in a row

  constructor(ctx, now = pageNow) {
    this.#ctx = ctx;
    this.#now = now;
  }

  /** Reads the clocks, not more often than is of use, and tells whether the context
   * stood still or is at another device: what was planned comes at a wrong time then. */
  look() {
    const now = this.#now();
    if (now - this.#last < every) return false;
    const passed = now - this.#last, made = this.#ctx.currentTime - now, heard = this.#reading(made);
    this.#last = now;
    if (Number.isNaN(heard)) return false;
    const jumped = this.#heard.length > 0 && Math.abs(made - median(this.#made)) > jump;
    if (jumped) this.forget();
    this.#made = [...this.#made, made].slice(-readings);
    this.#heard = [...this.#heard, heard].slice(-readings);
    const right = median(this.#heard);
    if (this.#heard.length <= settle) this.#used = right;
    const most = Math.min(passed, 1) * slewest;
    this.#used += Math.min(Math.max(right - this.#used, -most), most);
    return jumped;
  }

  // getOutputTimestamp pairs the two clocks at the device. Where it is missing or
  // makes no sense, what the context says of its delays has to do.
  #reading(made) {
    const stamp = this.#ctx.getOutputTimestamp?.();
    if (stamp?.performanceTime > 0 && stamp.contextTime > 0) {
      const heard = stamp.contextTime - stamp.performanceTime / 1000, behind = made - heard;
      if (behind > -0.05 && behind < 1) {
        this.#missing = 0;
        return heard;
      }
    }
    if (stamp && ++this.#missing <= hope) return NaN;
    return made - (this.#ctx.outputLatency || this.#ctx.baseLatency || 0);
  }

  /** Forgets what was known: the context stood still. */
  forget() {
    this.#heard = [];
    this.#made = [];
    this.#used = NaN;
  }

  get known() { return this.#heard.length >= settle; }

  /** Context time at which a sound must start to be heard at page time t. */
  startFor(t) { return t + this.#used - this.extra; }

  /** Page time at which a sound that starts at context time c is heard. */
  heardAt(c) { return c - this.#used + this.extra; }

  /** Page time at which the context works at context time c. It sees its clock move
   * in blocks, so that the latest of the readings is the right one. */
  workedAt(c) { return c - Math.max(...this.#made); }

  /** From the context to the ear, s. */
  get latency() { return this.known ? Math.max(...this.#made) - this.#used + this.extra : 0; }
}
