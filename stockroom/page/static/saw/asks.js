// One question at a time, in a dialog: its answers are keys, and Escape or "Back" is none of them.

export const REST_MS = 450; // after each change no key acts: a repeated touch is no second one

let quiet = 0;
export const resting = () => quiet > 0;
export function rest() { setTimeout(hold(), REST_MS); }

// No key acts until what this gives is called.
export function hold() {
  quiet += 1;
  document.documentElement.classList.add("resting");
  return () => {
    quiet -= 1;
    if (!quiet) document.documentElement.classList.remove("resting");
  };
}

// A key that acts once, and never within the rest after a change.
export function key(words, act, name = "") {
  const made = document.createElement("button");
  made.type = "button";
  made.className = `key ${name}`.trim();
  made.textContent = words;
  made.addEventListener("click", () => { if (!resting()) act(); });
  return made;
}

export function line(words, name = "") {
  const made = document.createElement("p");
  if (name) made.className = name;
  made.textContent = words;
  return made;
}

// Asks; `fill(answer)` gives what stands between heading and keys. Resolves to null for "Back".
export function ask(heading, fill) {
  const dialog = document.getElementById("ask");
  return new Promise((resolve) => {
    const answer = (value) => {
      dialog.onclose = null;
      if (dialog.open) dialog.close();
      dialog.replaceChildren();
      rest();
      resolve(value);
    };
    const head = document.createElement("h2");
    head.textContent = heading;
    dialog.replaceChildren(head, ...fill(answer), key("Back", () => answer(null), "back"));
    dialog.setAttribute("aria-label", heading);
    // Closing is told late: by then the next question may be open in the same dialog.
    dialog.onclose = () => { if (!dialog.open) answer(null); };
    rest();
    if (!dialog.open) dialog.showModal();
  });
}

// One of several, each a key.
export function pick(heading, choices, said = "") {
  return ask(heading, (answer) => {
    const box = document.createElement("div");
    box.className = "picks";
    box.append(...choices.map(([words, value]) => key(words, () => answer(value))));
    return said ? [line(said), box] : [box];
  });
}

// A piece's number: typed on the keys, or by a scanner.
export function askNumber(heading, said) {
  return ask(heading, (answer) => {
    const shown = line("", "reading");
    shown.setAttribute("role", "status");
    let digits = "";
    const show = () => { shown.textContent = digits || "–"; };
    const type = (digit) => { if (digits.length < 9) digits += digit; show(); };
    const pad = document.createElement("div");
    pad.className = "pad digits-only";
    pad.append(...digitKeys(type, () => { digits = digits.slice(0, -1); show(); }));
    const take = key("Take it", () => { if (digits) answer(Number(digits)); }, "main");
    typed(pad, type, () => { if (digits) answer(Number(digits)); });
    show();
    return [line(said), shown, pad, take];
  });
}

export function digitKeys(type, back) {
  const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3"].map((digit) => digitKey(digit, type));
  const away = document.createElement("button");
  away.type = "button";
  away.className = "key";
  away.textContent = "⌫";
  away.setAttribute("aria-label", "Delete the last digit");
  away.addEventListener("click", back);
  return [...keys, away, digitKey("0", type)];
}

function digitKey(digit, type) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "key";
  made.textContent = digit;
  made.addEventListener("click", () => type(digit));
  return made;
}

// Digits of a keyboard or a scanner, and Enter after them, while this part is shown.
export function typed(part, type, done) {
  const dialog = document.getElementById("ask");
  let any = false;
  const heard = (event) => {
    if (!part.isConnected) { dialog.removeEventListener("keydown", heard, true); return; }
    if (/^[0-9]$/.test(event.key)) {
      type(event.key);
      any = true;
      event.preventDefault();
    } else if (event.key === "Enter" && any) {
      event.preventDefault();
      done();
    }
  };
  dialog.addEventListener("keydown", heard, true);
}
