// The pulse of the page: 20 times a second something looks whether there is anything to
// do. It comes from a worker, because the timers of a page that nobody sees run once a
// second, and once a minute after some silence, as in a long recovery.

const gap = 50; // ms

/** Calls beat(n), n from 0, as long as the page lives. */
export function pulse(beat) {
  let n = 0;
  const alone = () => setInterval(() => beat(n++), gap);
  try {
    const worker = new Worker('/ticks.js');
    worker.onmessage = () => beat(n++);
    worker.onerror = alone; // it could not be loaded
    worker.postMessage(gap);
  } catch {
    alone();
  }
}
