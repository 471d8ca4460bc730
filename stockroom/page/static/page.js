// What every page does: it hears the news, takes in what a scanner types, sends a form once,
// and opens a keypad beside a length.
import "./fields.js";
import { listen } from "./news.js";
import { photographed } from "./photo.js";
import { scanned } from "./scanner.js";

const SENT_MS = 3000; // a second touch while an answer is on its way sends nothing

listen();
for (const reader of [scanned, photographed]) reader((digits) => {
  const heard = new CustomEvent("scanned", { detail: digits, cancelable: true });
  if (document.dispatchEvent(heard)) location.assign(`/scanned?piece=${digits}`);
});

let sent = 0;
document.addEventListener("submit", (event) => {
  if (event.target.method !== "post") return;
  if (Date.now() - sent < SENT_MS) { event.preventDefault(); return; }
  sent = Date.now();
});
addEventListener("pageshow", () => { sent = 0; });
