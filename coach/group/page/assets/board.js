// The coach's board: the walkers, who needs the coach first, and what can be done.

import { Link, version } from './link.js';
import { Groups } from './groups.js';
import { Rows } from './rows.js';
import { tab } from './keep.js';

const $ = (id) => document.getElementById(id);
const old = 2; // s without news, after which the page says so

let key = '';
let news = -Infinity; // page time of the last board, s
let board = null;
let n = 0;
const asked = new Map(); // commands that were not answered yet, by number

const link = new Link('board', {
  hello: () => ({ kind: 'key', version, key }),
  heard(m, at) {
    if (m.kind === 'board') {
      link.settle();
      link.spares = m.groups?.[0]?.spares ?? [];
      news = at;
      board = m;
      tab.set('key', key);
      show();
    }
    if (m.kind === 'done') {
      const what = asked.get(m.n);
      asked.delete(m.n);
      tell(m.why ? `${what ?? 'That'}: ${m.why}` : '');
    }
    if (m.kind === 'sorry') tell(m.why);
  },
  state(word, why) {
    if (word === 'refused') {
      tab.drop('key');
      open(why);
    }
    age();
  },
});

const tell = (words) => { $('done').textContent = words; };

/** Has a command done. */
function command(c, what) {
  asked.set(++n, what ?? c.do);
  if (!link.send({ kind: 'command', n, ...c })) tell('Not done: there is no connection to the leader.');
}

const groups = new Groups($('groups'), command);
const rows = new Rows($('need'), $('steady'), walker);

function show() {
  $('open').hidden = true;
  $('all').hidden = false;
  const walkers = board.walkers ?? [], here = walkers.filter((w) => w.here).length;
  groups.show(board);
  const need = rows.show(board);
  $('sum').textContent = `${here} of ${walkers.length} here${board.leads ? '' : ' · another hub leads'}`;
  $('need-title').textContent = need ? `Who needs you: ${need}` : 'Nobody needs you now';
  $('steady-title').textContent = `The others: ${walkers.length - need}`;
  age();
}

function age() {
  const s = performance.now() / 1000 - news, stale = !(s < old);
  $('link').classList.toggle('old', stale);
  $('link').textContent = !Number.isFinite(s) ? 'connecting …' : stale ? `no news for ${Math.floor(s)} s` : 'live';
}
setInterval(age, 500);

// One walker: move, or send away.
let chosen = null;
function walker(w) {
  chosen = w;
  $('walker-name').textContent = w.name;
  $('walker-more').textContent = `${w.agreed ? 'Agreed: steps and rhythm are stored with the leader.' : 'Nothing is stored.'}${w.hub ? ` At ${w.hub}.` : ''}`;
  $('walker-group').replaceChildren(...(board.groups ?? []).map((g) => new Option(g.group, g.group, false, g.group === w.group)));
  $('walker').showModal();
}
$('walker-move').addEventListener('click', () => command({ do: 'move', walker: chosen.id, group: $('walker-group').value }, `Moving ${chosen.name}`));
$('walker-remove').addEventListener('click', (e) => {
  if (confirm(`Send ${chosen.name} away? The seat is not given back.`)) command({ do: 'remove', walker: chosen.id, group: '' }, `Sending ${chosen.name} away`);
  else e.preventDefault();
});
$('new-group').addEventListener('submit', (e) => {
  e.preventDefault();
  const name = $('group-name').value.trim();
  if (name) command({ do: 'group', group: name }, `The group ${name}`);
  $('group-name').value = '';
});

function open(why = '') {
  $('all').hidden = true;
  $('open').hidden = false;
  $('key-trouble').textContent = why;
  $('key').focus();
}
$('key-form').addEventListener('submit', (e) => {
  e.preventDefault();
  key = $('key').value.trim();
  link.open();
});

window.steadfoot = { link, get board() { return board; }, show(b) { board = b; news = performance.now() / 1000; show(); } };

key = new URLSearchParams(location.hash.slice(1)).get('key') ?? tab.get('key', '');
if (location.hash) history.replaceState(null, '', location.pathname); // not to be seen over the shoulder
if (key) link.open();
else open();
