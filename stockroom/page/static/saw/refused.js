// Cuts that the record refused: who was first and when, and what the framer can do. Nothing is
// thrown away without being asked twice.

import { key, line, pick, rest } from "./asks.js";

export function showRefused(box, outbox) {
  const told = outbox.refused.map((cut) => `${cut.order}`).join(" ");
  if (box.dataset.shown === told) return;
  box.dataset.shown = told;
  box.replaceChildren(...outbox.refused.map((cut) => one(cut, outbox)));
}

function one(cut, outbox) {
  const section = document.createElement("section");
  section.className = "refusal";
  const heading = document.createElement("h2");
  heading.textContent = `Piece ${cut.body.piece} of plan ${cut.body.plan} is not in the record`;
  const keys = document.createElement("p");
  keys.className = "picks";
  keys.append(
    key("It is true: record it", () => { rest(); outbox.insist(cut); }),
    key("Throw mine away", () => throwAway(cut, outbox)),
  );
  section.append(heading, line(`${cut.refusal.said} ${cut.refusal.remedy}`.trim()), keys);
  return section;
}

async function throwAway(cut, outbox) {
  const sure = await pick(`Throw away what you told of piece ${cut.body.piece}?`,
    [["Yes, throw it away", true]], "The record stays as it is.");
  if (sure) await outbox.drop(cut);
}
