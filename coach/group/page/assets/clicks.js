// The sounds of the beat, made as package audio/cue makes them (recipes.go): like a
// woodblock, two partials in a ratio that is no simple fraction, left lower than
// right, 3 dB softer in the ear away from the foot.

const length = 0.02, attack = 0.0005, release = 0.008, decay = 0.008;
const partials = [[1, 1], [1.83, 0.8]];
const freqs = { left: 1050, right: 1575 };
const farEar = 0.7079;
/** What a beat is turned down by where others are accented, dB. */
export const softer = -6;

const rise = (x) => 0.5 - 0.5 * Math.cos(Math.PI * x);

function samples(freq, rate) {
  const out = new Float32Array(Math.ceil(length * rate));
  for (let i = 0; i < out.length; i++) {
    const t = i / rate;
    let e = Math.exp(-t / decay);
    if (t < attack) e *= rise(t / attack);
    if (length - t < release) e *= rise((length - t) / release);
    for (const [ratio, level] of partials) out[i] += e * level * Math.sin(2 * Math.PI * freq * ratio * t);
  }
  const peak = out.reduce((a, b) => Math.max(a, Math.abs(b)), 0);
  return out.map((x) => (0.7 * x) / peak);
}

/** The click of a foot: {buffer, onset}; onset is the first sample of half its peak, s. */
export function click(ctx, side) {
  const mono = samples(freqs[side] ?? freqs.left, ctx.sampleRate);
  const buffer = ctx.createBuffer(2, mono.length, ctx.sampleRate);
  const gains = side === 'right' ? [farEar, 1] : side === 'left' ? [1, farEar] : [1, 1];
  gains.forEach((g, i) => buffer.copyToChannel(mono.map((x) => g * x), i));
  return { buffer, onset: mono.findIndex((x) => Math.abs(x) >= 0.35) / ctx.sampleRate };
}
