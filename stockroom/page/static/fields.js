// A key beside each field for a length opens the saw's keypad: no fraction is typed letter by letter.
import { askLength } from "./saw/keypad.js";
import { Measure } from "./saw/lengths.js";

const tape = document.body.dataset.measure; // none where no shop is open

for (const field of document.querySelectorAll("input[data-length]")) beside(field);

function beside(field) {
  const named = field.labels?.[0]?.textContent.trim() || field.getAttribute("aria-label");
  const measure = new Measure(JSON.parse(tape));
  const opens = document.createElement("button");
  opens.type = "button";
  opens.className = "key";
  opens.textContent = measure.inches ? "½" : ".5";
  opens.setAttribute("aria-label", `Keypad: ${named}`);
  field.after(opens); // the field stays where it is: it may be in use by now
  opens.addEventListener("click", async () => {
    const steps = await askLength(measure, named, "As the tape says.");
    if (steps === null) return;
    field.value = measure.text(steps);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

// What a browser puts back into a form when one goes back is not left folded away.
addEventListener("pageshow", () => {
  for (const group of document.querySelectorAll("details.group:not([open])")) {
    const told = [...group.querySelectorAll("input")].some((one) => one.value && (one.type !== "radio" || one.checked));
    if (told) group.open = true;
  }
});
