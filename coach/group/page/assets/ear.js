// The ear: hands on what the microphone gives, with what was played in the same
// moment, in pieces of some 20 ms. It runs in the audio thread and keeps nothing.

const size = 1024;

class Ear extends AudioWorkletProcessor {
  #to = null;
  #mic = new Float32Array(size);
  #own = new Float32Array(size);
  #fill = 0;
  #frame = 0;
  #ended = false;

  constructor() {
    super();
    this.port.onmessage = ({ data }) => {
      if (data.to) this.#to = data.to;
      if (data.end) this.#ended = true;
    };
  }

  process([mic, own]) {
    if (!this.#to) return !this.#ended;
    const n = (mic[0] ?? own[0])?.length ?? 128;
    if (this.#fill === 0) this.#frame = currentFrame;
    this.#take(this.#mic, mic, n);
    this.#take(this.#own, own, n);
    this.#fill += n;
    if (this.#fill + n > size) {
      const piece = { frame: this.#frame, mic: this.#mic.slice(0, this.#fill), own: this.#own.slice(0, this.#fill) };
      this.#to.postMessage(piece, [piece.mic.buffer, piece.own.buffer]);
      this.#fill = 0;
    }
    return !this.#ended;
  }

  // The mean of the channels; an input with nothing connected has none.
  #take(into, channels, n) {
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (const x of channels) sum += x[i];
      into[this.#fill + i] = channels.length ? sum / channels.length : 0;
    }
  }
}

registerProcessor('ear', Ear);
