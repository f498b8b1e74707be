// Figures and states in words.

/** A time in s as m:ss or h:mm:ss. */
export function clock(t) {
  if (!(t >= 0 && t < 360000)) return '–:––';
  const s = Math.floor(t), two = (x) => String(x).padStart(2, '0');
  return s >= 3600 ? `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
}

/** A cadence in whole steps/min. */
export const cadence = (c) => (c >= 1 && c < 1000 ? String(Math.round(c)) : '–');

/** A pace in s/km, '' when it is not known. */
export const pace = (p) => (p >= 30 && p < 3599.5 ? `${clock(Math.round(p))} /km` : '');

const upper = (s) => s.charAt(0).toUpperCase() + s.slice(1);

/** A length in m. */
export const metres = (m) => (m >= 1000 ? `${+(m / 1000).toFixed(2)} km` : `${Math.round(m)} m`);

/** A part: "Rep 3 of 8, set 2: 400 m". */
export function part(p) {
  if (!p || !(p.n > 0)) return '';
  let t = !p.role || p.role === 'free' ? 'free walk' : p.role;
  if (p.rep > 0) t += p.of > 0 ? ` ${p.rep} of ${p.of}` : ` ${p.rep}`;
  if (p.set > 0) t += `, set ${p.set}`;
  const plan = p.length > 0 ? metres(p.length) : p.duration > 0 ? clock(p.duration) : '';
  if (p.label || plan) t += `: ${[p.label, plan].filter(Boolean).join(', ')}`;
  return upper(t);
}

/** Announcements and advice, as large words. */
const said = {
  start: 'Walk', end: 'All done', quicken: 'Quicker steps', ease: 'Easier', settled: 'Good', hold: 'Right: keep it',
  fade: 'You are fading', uneven: 'Left and right have come apart', 'cannot hear': 'I cannot hear your steps',
  'heard again': 'I hear you again', countdown: 'Ready', 'rep start': 'Go', 'half way': 'Half way', 'last part': 'Nearly there',
  'rep end': 'Rep over', 'recovery over': 'Get ready', paused: 'Paused', resumed: 'Walk on', lap: 'Lap', fault: 'Something is wrong',
};
export function cue(c) {
  if (c.name === 'cadence') return `${Math.round(c.value)} steps a minute`;
  if (c.name === 'reminder') return upper(c.line || 'think of it');
  return said[c.name] ?? upper(String(c.name));
}

/** How far feet are from the beat. */
export function off(s) {
  if (!(s.n >= 8)) return '';
  if (s.r < 0.5) return 'not with the beat';
  if (!s.off) return 'with the beat';
  const ms = Math.round(Math.abs(s.off));
  return ms < 5 ? 'on the beat' : `${ms} ms ${s.off < 0 ? 'early' : 'late'}`;
}

/** How well the clock is known, from ms; 0 and infinity are not at all. */
export function agreed(ms) {
  if (!(ms > 0 && ms < 1e5)) return 'clock: not yet agreed';
  return `clock: within ${ms < 1 ? '1' : Math.round(ms)} ms`;
}

export const states = { waiting: 'Waiting for the start', walking: 'Walking', paused: 'Paused', ended: 'The session has ended' };
