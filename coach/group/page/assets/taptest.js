// How late is sound, by taps: clicks are played, the walker taps along with what is
// heard, and the taps are late by what the sound is late.

/** How much before what they hear people tap, s: the default of a profile. Taps lead
 * by 20 to 80 ms in people who make no music, less before quick beats (Repp 2005, from
 * memory). */
export const lead = 0.03;
const fewest = 8;
const settle = 4; // first clicks, with which nobody is in time yet
const most = 0.45; // s: what is later belongs to the next click

const quantile = (sorted, q) => {
  const x = (sorted.length - 1) * q, i = Math.floor(x), j = Math.min(i + 1, sorted.length - 1);
  return sorted[i] + (sorted[j] - sorted[i]) * (x - i);
};

/**
 * The delay from taps and clicks, page times in s: {n, median, spread, delay}, where
 * spread is half the distance of the quartiles; or {n} when there are too few taps
 * or they do not go with the clicks.
 */
export function delayOf(clicks, taps, early = 0.12) {
  const late = [];
  for (const c of clicks.slice(settle)) {
    const own = taps.filter((t) => t >= c - early && t < c + most).map((t) => t - c);
    if (own.length === 1) late.push(own[0]); // two taps: not in time
  }
  const n = late.length;
  if (n < fewest) return { n };
  late.sort((a, b) => a - b);
  const median = quantile(late, 0.5), spread = (quantile(late, 0.75) - quantile(late, 0.25)) / 2;
  if (spread > 0.06) return { n, spread };
  return { n, median, spread, delay: Math.max(0, median + lead) };
}

export const period = 0.6; // s between clicks, more than any delay
export const count = 20;
