// A form that is left before it is sent: what was typed is kept in this tab, and put back when one
// comes back to it.

export function keepDraft(form, name) {
  const fields = () => [...form.elements].filter((one) => one.name && one.type !== "hidden" && one.type !== "submit");
  const begun = fields().some((one) => one.defaultValue && one.type === "text" && one.name !== "quantity");
  const kept = JSON.parse(sessionStorage.getItem(name) ?? "null");
  if (kept && !begun && !form.closest("main").querySelector(".refusal")) putBack();

  form.addEventListener("input", () => sessionStorage.setItem(name, JSON.stringify(
    fields().filter((one) => one.type !== "radio" || one.checked).map((one) => [one.name, one.value]))));
  for (const end of ["submit", "reset"]) form.addEventListener(end, () => sessionStorage.removeItem(name));

  function putBack() {
    for (const [which, value] of kept) {
      for (const one of fields().filter((field) => field.name === which)) {
        if (one.type === "radio") one.checked = one.value === value; else one.value = value;
      }
    }
    const said = document.createElement("p");
    said.className = "minded w12";
    said.textContent = "As it was typed before it was left. ";
    const empty = document.createElement("button");
    empty.type = "reset";
    empty.className = "key";
    empty.textContent = "Empty it";
    form.addEventListener("reset", () => said.remove());
    said.append(empty);
    form.prepend(said);
  }
}
