// Lengths as a tape and a machine's stop read them: whole steps of the shop's unit, and their
// words. What is written goes as text to the record, which alone turns it into micrometres.

const UNIT_UM = { in: 25400, mm: 1000, cm: 10000 };
const SLIP_UM = 5; // what the rounding of typed parts adds up to
const PARTS = { mm: 2, cm: 20 }; // half a millimetre

export class Measure {
  constructor(unit, fraction) {
    this.unit = unit;
    this.fraction = PARTS[unit] ?? Math.min(fraction, 32); // steps of a unit
    this.stepUm = UNIT_UM[unit] / this.fraction;
  }

  steps(um) { return Math.floor((um + SLIP_UM) / this.stepUm); } // stock goes down
  um(steps) { return Math.floor(steps * this.stepUm); }

  text(steps) {
    if (this.unit !== "in") return `${Number((steps / this.fraction).toFixed(2))}`;
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
