// Lengths as a tape and a machine's stop read them: whole steps of the shop's unit, and their
// words. What is written goes as text to the record, which alone turns it into micrometres.

const INCH_UM = 25400;

export class Measure {
  constructor(unit, fraction) {
    this.unit = unit;
    this.fraction = unit === "in" ? Math.min(fraction, 32) : 2; // steps of an inch, or of a mm
    this.stepUm = (unit === "in" ? INCH_UM : 1000) / this.fraction;
  }

  steps(um) { return Math.round(um / this.stepUm); }
  um(steps) { return Math.floor(steps * this.stepUm); }

  text(steps) {
    if (this.unit === "mm") return `${Math.floor(steps / 2)}${steps % 2 ? ".5" : ""}`;
    const whole = Math.floor(steps / this.fraction);
    const part = fractionText(steps % this.fraction, this.fraction);
    return part ? (whole ? `${whole} ${part}` : part) : `${whole}`;
  }

  withUnit(steps) { return `${this.text(steps)} ${this.unit}`; }
  get stepText() { return this.unit === "in" ? fractionText(1, this.fraction) : ".5"; }
  get farUm() { return 12700; } // half an inch off the plan is asked about
}

export function fractionText(top, bottom) {
  if (!top) return "";
  while (top % 2 === 0) { top /= 2; bottom /= 2; }
  return `${top}/${bottom}`;
}

export const exactText = (um) => `${(um / 1000).toFixed(3)} mm`;
