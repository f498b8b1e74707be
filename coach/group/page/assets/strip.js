// A strip that shows a cadence against its band: the band in the middle, a mark where
// the walker is.

const half = 12; // steps/min from the middle to an end

export class Strip {
  constructor() {
    this.element = document.createElement('div');
    this.element.className = 'strip';
    this.element.setAttribute('aria-hidden', 'true'); // the figures beside it say the same
    this.band = this.element.appendChild(document.createElement('i'));
    this.mark = this.element.appendChild(document.createElement('b'));
  }

  show(target, cadence) {
    const at = (c) => Math.min(100, Math.max(0, 50 + (50 * (c - target.cadence)) / half));
    const aimed = target?.cadence > 0, known = aimed && cadence > 0;
    this.band.hidden = !aimed;
    this.mark.hidden = !known;
    if (aimed) {
      this.band.style.left = `${at(target.low)}%`;
      this.band.style.width = `${at(target.high) - at(target.low)}%`;
    }
    if (known) {
      this.mark.style.left = `${at(cadence)}%`;
      this.mark.className = cadence < target.low || cadence > target.high ? 'out' : '';
    }
  }
}
