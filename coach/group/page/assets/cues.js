// The sounds of cues: the leader's, fetched once and kept by the browser, or plain
// tones where there are none.

const level = 0.35; // of a plain tone
const between = 0.06; // s between the digits of a figure
const room = 0.4; // the leader's sounds are as loud as can be

// Notes of the plain tones: [start s, length s, Hz].
const rising = [[0, 0.16, 784], [0.18, 0.24, 1176]];
const falling = [[0, 0.16, 1176], [0.18, 0.24, 784]];
const tones = {
  quicken: rising, ease: falling, fade: [[0, 0.12, 1176], [0.18, 0.2, 988], [0.5, 0.3, 784]],
  settled: [[0, 0.5, 988]], hold: [[0, 0.3, 988], [0.34, 0.3, 988]],
  countdown: [[0, 0.12, 880], [1, 0.12, 880], [2, 0.12, 880]], 'rep start': [[0, 0.6, 1319]],
  'rep end': [[0, 0.09, 1047], [0.14, 0.09, 1047], [0.28, 0.4, 698]],
};
const plain = [[0, 0.14, 1319]];

/** Every cue that has a sound. */
export const names = [
  'start', 'end', 'quicken', 'ease', 'settled', 'hold', 'fade', 'uneven', 'cannot hear', 'heard again', 'countdown',
  'rep start', 'half way', 'last part', 'rep end', 'recovery over', 'reminder', 'paused', 'resumed', 'lap', 'fault',
  ...'0123456789',
];

export class Cues {
  #ctx;
  #sounds = new Map();

  constructor(ctx) { this.#ctx = ctx; }

  /** Fetches what the leader has; how many sounds that were. Sounds that are missing
   * stay tones. */
  async fetch() {
    await Promise.all(names.map(async (name) => {
      if (this.#sounds.has(name)) return;
      try {
        const answer = await fetch(`/cues/${encodeURIComponent(name)}.wav`);
        if (!answer.ok) return;
        const sound = await this.#ctx.decodeAudioData(await answer.arrayBuffer());
        for (let i = 0; i < sound.numberOfChannels; i++) {
          const x = sound.getChannelData(i);
          for (let j = 0; j < x.length; j++) x[j] *= room;
        }
        this.#sounds.set(name, sound);
      } catch {
        // The network is gone, or the file is no sound: the tone will do.
      }
    }));
    return this.#sounds.size;
  }

  /** What a cue sounds like: buffers and when each begins, s after the cue. */
  parts(cue) {
    if (cue.name === 'cadence') return this.#figure(cue.value);
    const sound = this.#sounds.get(cue.name) ?? this.#tone(cue.name);
    return [{ buffer: sound, at: 0 }];
  }

  #figure(value) {
    const parts = [];
    let at = 0;
    for (const d of String(Math.round(value))) {
      const buffer = this.#sounds.get(d);
      if (!buffer) return [{ buffer: this.#tone('cadence'), at: 0 }];
      parts.push({ buffer, at });
      at += buffer.duration + between;
    }
    return parts;
  }

  #tone(name) {
    const notes = tones[name] ?? plain, rate = this.#ctx.sampleRate;
    const end = Math.max(...notes.map(([start, length]) => start + length));
    const buffer = this.#ctx.createBuffer(1, Math.ceil(end * rate), rate), x = buffer.getChannelData(0);
    for (const [start, length, freq] of notes) {
      for (let i = 0; i < length * rate; i++) {
        const t = i / rate, edge = Math.min(1, t / 0.008, (length - t) / 0.03);
        const wave = Math.sin(2 * Math.PI * freq * t) + 0.6 * Math.sin(4 * Math.PI * freq * t);
        x[Math.round(start * rate) + i] += (level / 1.6) * edge * wave;
      }
    }
    return buffer;
  }
}
