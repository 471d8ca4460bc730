// How far a plan is: asked every half second; the draft is opened as soon as there is one.
import "./page.js";

const EVERY_MS = 500;

async function look() {
  try {
    const answer = await fetch("/morning/working");
    if (answer.redirected) { location.replace(answer.url); return; }
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const now = fresh.querySelector("[data-working]");
    if (!now) { location.reload(); return; }
    document.querySelector("[data-working]").replaceChildren(...now.childNodes);
  } catch {
    // The server is away; it is asked again.
  }
  setTimeout(look, EVERY_MS);
}

if (document.querySelector("[data-working]")) setTimeout(look, EVERY_MS);
