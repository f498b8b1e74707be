// The groups of the board: what each walks, and what can be done with it.

import { partAt, targetAt } from './beats.js';
import * as words from './words.js';

const make = (tag, props = {}, ...inside) => {
  const e = Object.assign(document.createElement(tag), props);
  e.append(...inside);
  return e;
};

export class Groups {
  #list;
  #command;
  #cards = new Map();

  constructor(list, command) {
    this.#list = list;
    this.#command = command;
  }

  show(board) {
    const seen = new Set();
    for (const map of board.groups ?? []) {
      let card = this.#cards.get(map.group);
      if (!card) {
        card = this.#card(map.group);
        this.#cards.set(map.group, card);
        this.#list.append(card.element);
      }
      seen.add(map.group);
      const walkers = (board.walkers ?? []).filter((w) => w.group === map.group);
      this.#fill(card, map, board.now, walkers);
    }
    for (const [name, card] of this.#cards) {
      if (seen.has(name)) continue;
      card.element.remove();
      this.#cards.delete(name);
    }
  }

  #card(group) {
    const title = make('h3'), figure = make('b'), more = make('span'), state = make('p', { className: 'fine' });
    title.append(make('em', { textContent: group }), figure, more);
    const act = (label, c) => make('button', { type: 'button', textContent: label, onclick: () => this.#command({ group, ...c }, `${label}, ${group}`) });
    const buttons = {
      start: act('Start', { do: 'start' }), pause: act('Pause', { do: 'pause' }), resume: act('Walk on', { do: 'resume' }),
      skip: act('Next part', { do: 'skip' }), stop: act('Stop', { do: 'stop' }),
    };
    const slower = act('−1', { do: 'shift', by: -1 }), quicker = act('+1', { do: 'shift', by: 1 });
    slower.setAttribute('aria-label', `one step a minute less, ${group}`);
    quicker.setAttribute('aria-label', `one step a minute more, ${group}`);
    const target = make('input', { type: 'number', min: 90, max: 240, step: 0.5, placeholder: 'target' });
    target.setAttribute('aria-label', `target in steps a minute, ${group}`);
    const set = make('form', { className: 'do' }, target, make('button', { textContent: 'Set' }), slower, quicker);
    set.addEventListener('submit', (e) => {
      e.preventDefault();
      if (target.value) this.#command({ do: 'target', group, cadence: +target.value }, `Target, ${group}`);
      target.value = '';
    });
    const more2 = make('div', { className: 'do' }, act('Beat on', { do: 'beat on' }), act('Beat off', { do: 'beat off' }), act('Every step', { do: 'beat', every: 1 }), act('Every fourth', { do: 'beat', every: 4 }));
    const element = make('section', { className: 'group' }, title, state, set, make('div', { className: 'do' }, ...Object.values(buttons)),
      make('div', { className: 'folds' }, this.#session(group), make('details', {}, make('summary', { textContent: 'Beat' }), more2)));
    element.setAttribute('aria-label', `Group ${group}`);
    return { element, figure, more, state, buttons };
  }

  // A session, pasted or from a file.
  #session(group) {
    const text = make('textarea', { spellcheck: false }), file = make('input', { type: 'file', accept: '.toml,text/plain' });
    const length = make('input', { type: 'number', min: 0.3, max: 2, step: 0.01, placeholder: 'step length, m', className: 'long' });
    text.setAttribute('aria-label', `session file, ${group}`);
    file.setAttribute('aria-label', `choose a session file, ${group}`);
    length.setAttribute('aria-label', `step length the group is reckoned with, m, ${group}`);
    file.addEventListener('change', async () => { if (file.files[0]) text.value = await file.files[0].text(); });
    const take = make('button', { type: 'button', textContent: 'Take up this session' });
    take.addEventListener('click', () => this.#command({ do: 'session', group, session: text.value, ...(length.value ? { length: +length.value } : {}) }, `Session, ${group}`));
    return make('details', {}, make('summary', { textContent: 'Session' }), file, text, make('div', { className: 'do' }, length, take));
  }

  #fill(card, map, now, walkers) {
    const t = targetAt(map, now), { part, next, ends } = partAt(map, now), b = card.buttons;
    card.figure.textContent = t.cadence > 0 && map.state !== 'waiting' ? words.cadence(t.cadence) : '–';
    card.more.textContent = t.cadence > 0 && map.state !== 'waiting' ? `${words.cadence(t.low)} to ${words.cadence(t.high)}` : '';
    const here = walkers.filter((w) => w.here).length;
    const parts = [map.state === 'walking' ? words.part(part) || 'Walking' : words.states[map.state], ends > 0 ? `${words.clock(Math.max(0, ends - now))} to go` : '',
      next ? `then ${words.part(next).replace(/^./, (c) => c.toLowerCase())}` : '', map.session ?? '', `${here} walkers`];
    card.state.textContent = parts.filter(Boolean).join(' · ');
    const walking = map.state === 'walking', paused = map.state === 'paused';
    b.start.disabled = walking || paused;
    b.pause.hidden = paused;
    b.pause.disabled = b.skip.disabled = !walking;
    b.resume.hidden = !paused;
    b.stop.disabled = !(walking || paused);
  }
}
