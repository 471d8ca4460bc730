// A keypad made for fractions: whole inches by digits, any sixteenth by one touch in a grid with
// quarters across and sixteenths down; elsewhere digits and the decimals.

import { ask, digitKeys, key, line, typed } from "./asks.js";
import { fractionText } from "./lengths.js";

// Asks for a length; resolves to a number of the measure's steps, or to null.
export function askLength(measure, heading, said) {
  return ask(heading, (answer) => {
    const reading = new Reading(measure);
    const shown = line("", "reading");
    shown.setAttribute("role", "status");
    const show = () => { shown.textContent = reading.text; };
    const box = document.createElement("div");
    box.className = measure.keys < 4 ? "keypad few" : "keypad";
    const pad = document.createElement("div");
    pad.className = "pad";
    pad.append(...digitKeys((digit) => { reading.digit(digit); show(); },
                            () => { reading.back(); show(); }));
    const parts = document.createElement("div");
    parts.className = "parts";
    const take = () => { if (reading.any) answer(reading.steps); };
    parts.append(...partKeys(measure, (part) => { reading.part(part); show(); }));
    if (measure.fraction > measure.keys) {
      parts.append(partKey(`+${measure.finest}`, 1, () => { reading.half(); show(); }));
    }
    box.append(parts, pad);
    typed(pad, (digit) => { reading.digit(digit); show(); }, take);
    show();
    return [line(said), shown, box, key("Take it", take, "main")];
  });
}

class Reading {
  constructor(measure) {
    this.measure = measure;
    this.whole = "";
    this.over = 0;
    this.finer = 0;
    this.any = false;
  }

  digit(digit) { if (this.whole.length < 5) { this.whole += digit; this.any = true; } }
  back() {
    if (this.over || this.finer) this.over = this.finer = 0;
    else this.whole = this.whole.slice(0, -1);
    this.any = Boolean(this.whole);
  }
  part(steps) { this.over = steps; this.any = true; }
  half() { this.finer = 1 - this.finer; this.any = true; }

  get steps() { return Number(this.whole || "0") * this.measure.fraction + this.over + this.finer; }
  get text() { return this.any ? this.measure.withUnit(this.steps) : "–"; }
}

// The grid: four across (none, quarter, half, three quarters), four down (none to 3/16 more).
function partKeys(measure, take) {
  const each = measure.fraction / measure.keys;
  if (!measure.inches) {
    return Array.from({ length: measure.keys },
                      (_, n) => partKey(`.${n * 10 / measure.keys}`, n * each, take));
  }
  const keys = [];
  for (let down = 0; down < 4; down += 1) {
    for (let across = 0; across < 4; across += 1) {
      const over = across * 4 + down;
      keys.push(partKey(fractionText(over, 16) || "Whole", over * each, take));
    }
  }
  return keys;
}

function partKey(words, steps, take) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "key";
  made.textContent = words;
  made.addEventListener("click", () => take(steps));
  return made;
}
