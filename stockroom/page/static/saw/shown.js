// What the saw's page shows: the piece with its next rail or what is left of it, and what is kept.

import { draw } from "./drawing.js";
import { showRefused } from "./refused.js";
import { expected, moreAtStop, nextRail, stretchesCut, uncut } from "./steps.js";

const by = (id) => document.getElementById(id);

export function showPiece(now, half, work, measure) {
  by("place").textContent = now.place || "?";
  by("number").textContent = half.instead ? `${half.instead}` : `${now.number}`;
  by("about").textContent = `${now.profile} · batch ${now.batch} · ${now.kind} ${now.text}`
    + (half.instead ? ` · instead of ${now.number}` : "")
    + (now.said ?? []).map((words) => ` · ${words}`).join("");
  by("count").textContent = `piece ${work.pieces.indexOf(now) + 1} of ${work.pieces.length}, plan ${work.plan}`;
  draw(by("drawing"), now, half);
  const rail = nextRail(now, half);
  by("saw").classList.toggle("leaving", !rail);
  if (rail) showRail(now, half, rail); else showLeft(now, half, measure);
  by("undo").disabled = !half.done && !half.instead && !half.flaw;
}

function showRail(now, half, rail) {
  const more = moreAtStop(now, half);
  by("length").textContent = rail.text;
  by("words").textContent = `rail ${rail.at} of ${now.rails.length}, for ${rail.frame}`
    + (more ? `, then ${more} more at this stop` : "")
    + (rail.far ? ", cut from the other end" : "")
    + (rail.hold ? "; too short to hold: clamp it" : "")
    + (rail.also ? ` (${rail.reads}; ${rail.also})` : "");
  by("main-key").textContent = `Rail ${rail.at} is cut`;
}

function showLeft(now, half, measure) {
  const planned = expected(now, half);
  const left = stretchesCut(now, half).map((stretch) => measure.withUnit(
    half.left[stretch] ?? measure.steps(planned[stretch]))).join(" + ");
  const kept = planned.some((um, stretch) => um - now.left[stretch].trim >= now.keep);
  by("length").textContent = left;
  by("words").textContent = (kept ? "left, along the back edge" : "only scrap")
    + (half.miscut.length ? `; rail ${half.miscut.join(", ")} miscut` : "")
    + (uncut(now, half).length ? "; the rest is not cut" : "");
  by("main-key").textContent = kept ? `${left} is left: record it` : "Only scrap is left: record it";
}

export function showIdle(work, outbox) {
  const unsent = outbox.items.length;
  by("idle-words").textContent = !work.plan ? "No plan waits at the saw."
    : `All pieces of plan ${work.plan} are cut${unsent ? "; some are still to be written" : ""}.`;
}

// Whether the server is there, what is kept here, what was refused, what the last cut became.
export function showState(outbox, away, note) {
  const many = outbox.unsent.length;
  const state = outbox.shutOut ? "This device is not let in any more; what it cut is kept here."
    : many && outbox.away ? `The server is away: ${many} kept on this device. Cut on.`
      : many ? "Writing…" : away;
  if (by("state").textContent !== state) by("state").textContent = state;
  by("saw").classList.toggle("away", Boolean(many && outbox.away));
  showRefused(by("refused"), outbox);
  by("note").hidden = !note;
  if (note) by("note-words").textContent = note.words;
  by("label").hidden = !note?.offcut;
  if (note?.offcut) by("label").action = `/saw/label/${note.offcut}`;
}
