// The counter's live sizes: what is typed so far is sent, and its sizes and section put beside it.
import { keepDraft } from "./draft.js";
import "./page.js";

const PAUSE_MS = 250; // after the last key, before the sizes are asked for

const form = document.getElementById("job");
const place = document.getElementById("sizes");
let timer = 0;
let asked = 0;

keepDraft(form, "job");
for (const when of ["input", "reset"]) form.addEventListener(when, soon);
soon(); // what was typed before this program was there

function soon() {
  clearTimeout(timer);
  timer = setTimeout(show, PAUSE_MS);
}

async function show() {
  const mine = ++asked;
  try {
    const answer = await fetch("/counter/sizes", { method: "POST", body: new URLSearchParams(new FormData(form)) });
    if (!answer.ok || mine !== asked) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const named of fresh.querySelectorAll("[data-field]"))
      named.textContent = form.elements[named.dataset.field]?.labels[0].textContent ?? named.textContent;
    if (mine === asked) place.replaceChildren(...fresh.body.childNodes);
  } catch {
    // The server is away: the news say so, and the next key asks again.
  }
}
