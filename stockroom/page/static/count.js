// A label that is scanned while a shelf is counted: its piece is here, or it is one more label.
import "./page.js";

const others = document.getElementById("f-others");

document.addEventListener("scanned", (event) => {
  event.preventDefault();
  const number = Number(event.detail);
  const box = document.querySelector(`#count input[name="seen"][value="${number}"]`);
  if (box) {
    box.checked = true;
    box.focus();
  } else if (!others.value.split(/[ ,]+/).includes(String(number))) {
    others.value = `${others.value} ${number}`.trim();
  }
});
