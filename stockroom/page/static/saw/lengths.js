// Lengths as a tape and a machine's stop read them: whole steps of the shop's unit, and their
// words. What is written goes as text to the record, which alone turns it into micrometres.

const SLIP_UM = 5; // what the rounding of typed parts adds up to

export class Measure {
  // As the shop's settings have it: the unit's name, its micrometres, and the parts it is read in.
  constructor({ unit, um, parts, inches }) {
    this.unit = unit;
    this.inches = inches;
    this.fraction = parts;
    this.stepUm = um / parts;
    this.keys = inches ? 16 : Math.min(parts, 10); // so many parts have a key each
  }

  get finest() {
    return this.inches ? `1/${this.fraction}` : `${1 / this.fraction}`.replace("0.", ".");
  }

  steps(um) { return Math.floor((um + SLIP_UM) / this.stepUm); } // stock goes down
  um(steps) { return Math.floor(steps * this.stepUm); }

  text(steps) {
    if (!this.inches) return `${Number((steps / this.fraction).toFixed(2))}`;
    const whole = Math.floor(steps / this.fraction);
    const part = fractionText(steps % this.fraction, this.fraction);
    return part ? (whole ? `${whole} ${part}` : part) : `${whole}`;
  }

  withUnit(steps) { return `${this.text(steps)} ${this.unit}`; }
  get farUm() { return 12700; } // half an inch off the plan is asked about
}

export function fractionText(top, bottom) {
  if (!top) return "";
  while (top % 2 === 0) { top /= 2; bottom /= 2; }
  return `${top}/${bottom}`;
}

export const exactText = (um) => `${(um / 1000).toFixed(3)} mm`;
