// A scanner that types: digits and Enter, wherever one is in the page but in a field.
//
// They are swallowed at any speed, so that a scanner's Enter never presses the key that has the
// focus. A person at a keyboard presses keys with the space bar, or with Enter when no digit
// came before it.

const FORGET_MS = 1500;

export function scanned(take) {
  let digits = "";
  let last = 0;
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target.closest?.("input, select, textarea, dialog")) return;
    const now = Date.now();
    if (now - last > FORGET_MS) digits = "";
    if (/^[0-9]$/.test(event.key)) {
      digits += event.key;
      last = now;
      event.preventDefault();
      event.stopPropagation();
    } else if (event.key === "Enter" && digits) {
      const all = digits;
      digits = "";
      event.preventDefault();
      event.stopPropagation();
      if (all.length < 10) take(all);
    } else {
      digits = "";
    }
  }, true);
}
