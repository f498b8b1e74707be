// Listening, with consent: by the microphone or by the phone's movement. What is
// found is told with page time; the sound itself stays between the ear and the
// detector.

import { pageNow } from './output.js';

const dumb = 3; // s without a row of motion, after which there is none

/** Why this page cannot listen, in words; '' when it can, as far as can be told. */
export function obstacle(way, win = window) {
  if (!win.isSecureContext) {
    return 'A browser gives no microphone and no movement to a page without TLS. Your coach can start the group with: steadfoot lead --tls';
  }
  if (way === 'sound' && !(win.navigator.mediaDevices?.getUserMedia && win.AudioWorkletNode)) {
    return 'This browser has no way to the microphone.';
  }
  if (way === 'motion' && !win.DeviceMotionEvent) return 'This browser tells nothing of the phone’s movement.';
  return '';
}

/** Whether the detector is in the program that serves the page; without the network
 * the browser may have kept it. */
export async function built() {
  try {
    return (await fetch('/phone.wasm', { method: 'HEAD' })).ok;
  } catch {
    return true;
  }
}

/**
 * Listener tells
 *   on.found(events, {page, fading})  events of the walk; page(t) is the page time of t
 *   on.failed(why)                    in words
 */
export class Listener {
  /** What is known of the microphone, in words. */
  about = '';
  #on;
  #worker = null;
  #ends = [];
  #leak = 0;
  #stated = 0; // delay of the microphone by its own word, s
  #output = null;
  #rate = 0;

  constructor(on) { this.#on = on; }

  get way() { return this.#worker ? (this.#rate ? 'sound' : 'motion') : ''; }

  /** Begins to hear. ctx plays, out is the node of all that is played. */
  async sound(ctx, out, output) {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 },
    });
    this.#ends.push(() => stream.getTracks().forEach((t) => t.stop()));
    const track = stream.getAudioTracks()[0], has = track.getSettings();
    track.onended = () => this.#fail('The microphone has ended.');
    this.#stated = has.latency > 0 && has.latency < 0.5 ? has.latency : 0;
    const changed = ['echoCancellation', 'noiseSuppression', 'autoGainControl'].filter((k) => has[k]);
    this.about = changed.length ? 'This browser changes the sound of the microphone; steps may be missed.' : '';
    await ctx.audioWorklet.addModule('/ear.js');
    const ear = new AudioWorkletNode(ctx, 'ear', { numberOfInputs: 2, numberOfOutputs: 1 });
    const mic = ctx.createMediaStreamSource(stream), mute = ctx.createGain(), line = new MessageChannel();
    mute.gain.value = 0; // a node is run when it leads somewhere
    mic.connect(ear, 0, 0);
    out.connect(ear, 0, 1);
    ear.connect(mute).connect(ctx.destination);
    ear.port.postMessage({ to: line.port1 }, [line.port1]);
    this.#ends.push(() => {
      ear.port.postMessage({ end: true });
      mic.disconnect();
      out.disconnect(ear);
      mute.disconnect();
    });
    this.#output = output;
    this.#rate = ctx.sampleRate;
    this.#start({ task: 'sound', rate: ctx.sampleRate, port: line.port2 }, [line.port2]);
  }

  /** Begins to feel. Must come of a tap, some phones ask then. */
  async motion() {
    if (typeof DeviceMotionEvent.requestPermission === 'function' && (await DeviceMotionEvent.requestPermission()) !== 'granted') {
      throw new Error('The phone did not allow it.');
    }
    let rows = [], last = pageNow();
    const take = (e) => {
      const a = e.accelerationIncludingGravity;
      if (a?.x == null) return;
      last = pageNow();
      rows.push([e.timeStamp / 1000, a.x, a.y, a.z]);
      if (rows.length >= 6) this.#post({ task: 'feel', rows: rows.splice(0) });
    };
    const timer = setInterval(() => pageNow() - last > dumb && this.#fail('This phone gives no data of its movement.'), 1000);
    addEventListener('devicemotion', take);
    this.#ends.push(() => removeEventListener('devicemotion', take), () => clearInterval(timer));
    this.#rate = 0;
    this.#start({ task: 'motion' });
  }

  #start(task, transfer) {
    const worker = new Worker('/detector.js');
    worker.onmessage = ({ data }) => this.#heard(data);
    worker.onerror = (e) => this.#fail(e.message || 'The detector could not be started.');
    this.#worker = worker;
    this.#ends.push(() => worker.terminate());
    worker.postMessage(task, transfer ?? []);
  }

  #heard(m) {
    if (m.failed) return this.#fail(m.failed);
    if (!m.events) return;
    this.#leak = m.leak;
    this.#on.found(m.events, { page: (t) => this.#page(t, m.at), fading: m.fading });
  }

  // The detector counts from its first sample or row, at.
  #page(t, at) {
    if (!this.#rate) return at + t;
    return this.#output.workedAt(at / this.#rate + t) - this.micDelay;
  }

  /** The delay of the microphone, s: measured by what is heard of the beat, or stated
   * by the browser, or 0. */
  get micDelay() {
    if (this.#leak > 0) return Math.max(0, this.#leak - (this.#output.latency - this.#output.extra));
    return this.#stated;
  }

  /** How well micDelay is known: 'measured', 'stated', or '' for not at all. */
  get micKnown() { return this.#leak > 0 ? 'measured' : this.#stated > 0 ? 'stated' : ''; }

  /** Says what the group is to walk. */
  aim(goal) { this.#post({ task: 'aim', ...goal }); }

  #post(m) { this.#worker?.postMessage(m); }

  #fail(why) {
    this.stop();
    this.#on.failed(why);
  }

  stop() {
    for (const end of this.#ends.splice(0)) end();
    this.#worker = null;
    this.#leak = 0;
  }
}
