// A worker: the detector and the coach of steadfoot, as WebAssembly (cmd/phone). Sound
// comes in by a port of its own or as messages, rows of motion as messages; steps,
// rhythm and cues go out. Nothing else does.

/* global importScripts, Go, steadfoot */

const ready = (async () => {
  importScripts('/wasm_exec.js');
  const go = new Go();
  const wasm = await WebAssembly.instantiateStreaming(fetch('/phone.wasm'), go.importObject);
  await new Promise((done) => {
    self.steadfootReady = done;
    go.run(wasm.instance);
  });
})();

let first = -1; // frame of the first sample: the detector's second 0

const bytes = (x) => (x ? new Uint8Array(x.buffer, x.byteOffset, x.byteLength) : null);

function tell(events, at) {
  if (events) postMessage({ events, at, leak: steadfoot.leak(), fading: steadfoot.fading() });
}

function hear({ frame, mic, own }) {
  if (first < 0) first = frame;
  tell(steadfoot.hear(frame - first, bytes(mic), bytes(own)), first);
}

function feel(rows) {
  for (const [t, x, y, z] of rows) {
    if (first < 0) first = t;
    tell(steadfoot.feel(t, x, y, z), first);
  }
}

const tasks = {
  sound({ rate, port }) {
    first = -1;
    if (port) port.onmessage = ({ data }) => hear(data);
    return steadfoot.sound(rate);
  },
  motion() {
    first = -1;
    return steadfoot.motion();
  },
  aim: ({ cadence, low, high, beat }) => steadfoot.aim(cadence, low, high, beat),
  hear: (m) => hear(m),
  feel: ({ rows }) => feel(rows),
  echo: ({ n }) => postMessage({ echo: n }), // tells that all before it is done
};

self.onmessage = async ({ data }) => {
  try {
    await ready;
    const why = tasks[data.task](data);
    if (why) postMessage({ failed: why });
  } catch (err) {
    postMessage({ failed: String(err?.message ?? err) });
  }
};

ready.then(() => postMessage({ ready: true }), (err) => postMessage({ failed: String(err?.message ?? err) }));
