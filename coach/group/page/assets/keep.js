// What the phone remembers, and how it stays awake.

const prefix = 'steadfoot.';

/** A store that does without one: some browsers forbid it. */
function guarded(name) {
  return {
    get(key, fallback = null) {
      try {
        return JSON.parse(window[name].getItem(prefix + key)) ?? fallback;
      } catch {
        return fallback;
      }
    },
    set(key, value) {
      try {
        window[name].setItem(prefix + key, JSON.stringify(value));
      } catch {
        // It is full or forbidden: the walk goes on without.
      }
    },
    drop(key) {
      try {
        window[name].removeItem(prefix + key);
      } catch {
        // nothing was kept
      }
    },
  };
}

/** Kept for this phone, and for this tab only. */
export const phone = guarded('localStorage');
export const tab = guarded('sessionStorage');

/** Keeps the screen on while it is wanted; tells told(words) how that goes. */
export class Awake {
  #lock = null;
  #wanted = false;
  #told;

  constructor(told) {
    this.#told = told;
    document.addEventListener('visibilitychange', () => this.#take());
  }

  want() {
    this.#wanted = true;
    return this.#take();
  }

  leave() {
    this.#wanted = false;
    this.#lock?.release().catch(() => {});
    this.#lock = null;
  }

  async #take() {
    if (!this.#wanted || document.hidden || this.#lock) return;
    if (!navigator.wakeLock) {
      this.#told(window.isSecureContext ? 'This browser cannot keep the screen on: set it so in the phone’s settings.'
        : 'Without TLS a page cannot keep the screen on: set it so in the phone’s settings.');
      return;
    }
    try {
      this.#lock = await navigator.wakeLock.request('screen');
      this.#lock.onrelease = () => { this.#lock = null; };
      this.#told('');
    } catch {
      this.#told('The phone does not keep the screen on now; saving power forbids it, mostly.');
    }
  }
}

/** Keeps the pages for a reload without the network; false where that is impossible. */
export async function keepPages() {
  try {
    await navigator.serviceWorker.register('/worker.js');
    return true;
  } catch {
    return false; // no TLS, or a certificate that the phone does not trust
  }
}
