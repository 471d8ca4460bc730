// The saw's page: one piece at a time, whether the server is there or not.

import { askNumber, hold, pick, rest, resting } from "./asks.js";
import { askLength } from "./keypad.js";
import { Measure, exactText } from "./lengths.js";
import { listen } from "../news.js";
import { Outbox, newKey } from "./outbox.js";
import { photographed } from "../photo.js";
import { scanned } from "../scanner.js";
import { expected, fresh, nextRail, oneBack, oneMore, spoilt, stretchesCut, told } from "./steps.js";
import { dropHalf, halfCut, keepHalf, keepWork, keptWork } from "./store.js";
import { showIdle, showPiece, showState } from "./shown.js";

const by = (id) => document.getElementById(id);
const box = by("saw");
let work = JSON.parse(box.dataset.work);
let half = null;
let away = ""; // what the news say of the server
let note = null; // what to write on the last offcut, or what became of a cut
const measure = new Measure(work.measure);
const outbox = new Outbox(written, show);

const settled = (piece) => piece.settled || outbox.holds(work.plan, piece.number);
const piece = () => work.pieces.find((one) => one.number === half?.piece) ?? null;
const nextWaiting = () => work.pieces.find((one) => !settled(one)) ?? null;

async function begin() {
  const kept = await keptWork();
  if (kept && kept.stamp > work.stamp) work = kept; // this page is an older one, kept by the worker
  half = (await halfCut()) ?? null;
  if (half && !piece()) half = null; // its plan is not at the saw any more
  await outbox.load();
  if (half && outbox.holds(half.plan, half.piece)) half = null; // it was told before the power failed
  go(half);
  document.addEventListener("news", refresh);
  addEventListener("online", () => outbox.send());
  addEventListener("resize", show);
  scanned(found);
  photographed(found);
  listen((words) => { away = words; if (!words) outbox.send(); showState(outbox, away, note); });
}

// The page turns to a piece as far as it is cut, or to the next that waits.
function go(state) {
  const waiting = nextWaiting();
  half = state ?? (waiting ? fresh(work.plan, waiting.number) : null);
  show();
}

// Every change of state: kept on the disk of the tablet before the next touch counts.
async function change(state) {
  rest();
  half = state;
  show();
  await keepHalf(half);
}

async function refresh() {
  try {
    const answer = await fetch(`/saw/work?plan=${work.plan}`, { headers: { Accept: "application/json" } });
    if (!answer.ok) return;
    const now = await answer.json();
    if (now.stamp < work.stamp) return await refresh(); // a cut was written since it was asked
    const begun = half && (half.done > 0 || half.instead || half.flaw);
    if (begun && !now.pieces.some((one) => one.number === half.piece)) return; // finish it first
    work = now;
    await keepWork(work);
  } catch {
    return;
  }
  outbox.send();
  showOrTurn();
}

// A piece that is settled by now, and of which nothing was cut here, gives way to the next.
function showOrTurn() {
  const untouched = half && !half.done && !half.instead && !half.flaw;
  if (!half || (untouched && (!piece() || settled(piece())))) go(null);
  else show();
}

// The piece at the saw, or that none waits; and what became of what was cut.
function show() {
  const now = piece();
  showState(outbox, away, note);
  box.classList.toggle("idle", !now);
  if (now) showPiece(now, half, work, measure); else showIdle(work, outbox);
}

// ---- what is touched ----

async function main() {
  const now = piece();
  if (!now || resting()) return;
  if (nextRail(now, half)) { note = note?.stays ? note : null; await change(oneMore(half)); return; }
  await record(told(now, half, measure, exactText));
}

async function record(body) {
  rest();
  const now = piece();
  const whole = { flaw: [], miscut: [], uncut: [], leftover: [], instead: null, why: "", ...body };
  note = { words: `Piece ${now.number} is on its way to the record. Pencil ${now.number} on its offcut.` };
  const release = hold(); // the piece stays, and the focus with it, until it is kept
  try {
    await outbox.put({ ...whole, key: newKey(), cut_at: new Date().toISOString() });
    await dropHalf();
    go(null);
  } finally {
    release();
  }
}

function written(body, answer) {
  const piece = work.pieces.find((one) => one.number === body.piece && work.plan === body.plan);
  if (piece) piece.settled = answer.settled;
  work.stamp = answer.stamp;
  keepWork(work);
  note = { words: answer.words, offcut: answer.offcuts[0]?.number ?? null, stays: answer.undone };
  showOrTurn();
}

async function miscut() {
  const now = piece();
  const able = now.rails.slice(0, Math.min(half.done + 1, now.rails.length));
  const at = await pick("Which rail is spoilt?", able.map((rail) => [`Rail ${rail.at}: ${rail.text}`, rail.at]),
    "It goes through the saw, and into the next plan.");
  if (at) await remainsOf(at, now.rails[at - 1]);
}

// A spoilt rail that is long enough goes on the rack.
async function remainsOf(at, rail) {
  const what = await pick(`What remains of rail ${at}?`, [
    ["Nobody measured it", "whole"], ["Measured: type it", "tape"], ["Scrap", "scrap"]],
    "Long enough, it goes on the rack as an offcut.");
  if (what === null) return;
  if (what !== "tape") { await change(spoilt(half, at, what === "whole" ? null : 0)); return; }
  const steps = await askLength(measure, `What remains of rail ${at}?`, "Its long point, along the back edge.");
  if (steps !== null) await change(spoilt(half, at, measure.um(steps)));
}

async function nudge(by) {
  if (resting()) return;
  const now = piece();
  const last = stretchesCut(now, half).at(-1);
  const steps = (half.left[last] ?? measure.steps(expected(now, half)[last])) + by;
  if (steps >= 0) await change({ ...half, left: { ...half.left, [last]: steps } });
}

async function measureLeft() {
  const now = piece();
  const planned = expected(now, half);
  const cut = stretchesCut(now, half);
  const stretch = cut.length === 1 ? cut[0] : await pick("Which leftover?",
    cut.map((one) => [`${measure.withUnit(measure.steps(planned[one]))} planned`, one]));
  if (stretch === null) return;
  const steps = await askLength(measure, "What is left?", "Along the back edge, as the tape says.");
  if (steps === null || !(await sure(steps, planned[stretch]))) return;
  await change({ ...half, left: { ...half.left, [stretch]: steps } });
}

// A reading far off the plan is a slip of the tape more often than not.
async function sure(steps, planned) {
  const off = measure.um(steps) - planned;
  if (Math.abs(off) <= measure.farUm || half.instead) return true;
  const far = measure.withUnit(measure.steps(Math.abs(off)));
  return await pick(`${measure.withUnit(steps)}: is that right?`,
    [[`Yes, ${measure.withUnit(steps)}`, true]],
    (off < 0 ? `It is ${far} less than planned.` : `It is ${far} more than planned.`)
    + " Back lets you measure again.") === true;
}

async function flaw() {
  const now = piece();
  const cutAll = !nextRail(now, half);
  const where = cutAll ? "On the leftover, from its fresh cut, where its label goes." : `On piece ${now.number}, from the end its label is on.`;
  const from = await askLength(measure, "Where does the flaw begin?", where);
  if (from === null) return;
  const to = await askLength(measure, "Where does it end?", `${where} It begins at ${measure.withUnit(from)}.`);
  if (to === null) return;
  const span = `${measure.withUnit(from)}..${measure.withUnit(to)}`;
  if (cutAll) { await change({ ...half, flaw: span }); return; }
  if (half.done) {
    await pick("Cut this piece up to here first", [["I see", 0]], "Not today records what is cut; then mark the flaw on its offcut.");
    return;
  }
  await record({ plan: half.plan, piece: half.piece, outcome: "not today", flaw: [span], why: "flaw" });
}

async function other(number = null) {
  const now = piece();
  const instead = number ?? await askNumber("Which piece do you cut instead?", "Type or scan its label.");
  if (instead === null || instead === now.number) return;
  await change({ ...half, instead, left: {} });
}

async function notToday() {
  const now = piece();
  const begun = half.done > 0;
  const why = await pick(begun ? `Stop after rail ${half.done}?` : `Leave piece ${now.number} today?`,
    ["no time", "not found", "looks wrong"].map((words) => [words, words]),
    begun ? "The rails that are not cut go into the next plan." : "Its rails go into the next plan.");
  if (!why) return;
  if (!begun) { await record({ plan: half.plan, piece: half.piece, outcome: "not today", why }); return; }
  await record({ ...told(now, half, measure, exactText), why });
}

async function pieces() {
  const state = (one) => (one.settled ? `${one.settled.kind} by ${one.settled.who} at ${one.settled.at}`
    : outbox.holds(work.plan, one.number) ? "kept here" : "to cut");
  const plans = work.plans.filter((plan) => plan !== work.plan).map((plan) => [`Plan ${plan}`, -plan]);
  const chosen = await pick(`Plan ${work.plan}`, [
    ...work.pieces.map((one) => [`${one.place || "?"}  ${one.number}: ${state(one)}`, one.number]), ...plans]);
  if (chosen === null) return;
  if (chosen < 0) { location.assign(`/saw?plan=${-chosen}`); return; }
  const one = work.pieces.find((each) => each.number === chosen);
  if (settled(one)) await about(one);
  else await leaveFor(one);
}

async function about(one) {
  if (!one.settled || !work.owner) return;
  const undo = await pick(`Piece ${one.number}: ${one.settled.kind} by ${one.settled.who} at ${one.settled.at}`,
    [["Undo it in the record", true]], one.settled.offcuts.map((each) => `${each.number}: ${each.text}`).join(", "));
  if (undo) await undoEntry(one.settled.entry);
}

async function undoEntry(entry) {
  const answer = await fetch(`/saw/undo/${entry}`, { method: "POST", headers: { Accept: "application/json" } });
  const said = await answer.json();
  note = { words: answer.ok ? said.words : `${said.said} ${said.remedy}`, stays: true };
  await refresh();
  show();
}

async function leaveFor(one) {
  if (half?.done && one.number !== half.piece) {
    await pick(`Piece ${half.piece} is half cut`, [["I see", 0]], "Finish it, or say Not today, before the next.");
    return;
  }
  await change(fresh(work.plan, one.number));
}

// A label that was scanned: a piece of this plan, or one that is cut instead.
async function found(digits) {
  if (by("ask").open || resting()) return;
  const number = Number(digits);
  const one = work.pieces.find((each) => each.number === number);
  if (!half || number === half.piece) return;
  if (one && !settled(one)) { await leaveFor(one); return; }
  const yes = await pick(`You scanned ${number}`, [[`Cut ${number} instead of ${half.piece}`, true]],
    `The plan takes piece ${half.piece} now.`);
  if (yes) await other(number);
}

for (const [id, act] of Object.entries({
  "main-key": main, miscut, flaw, other: () => other(), "not-today": notToday, pieces,
  undo: () => change(oneBackOrClean()), less: () => nudge(-1), more: () => nudge(1), keypad: measureLeft,
  "note-seen": () => { note = null; rest(); show(); },
})) by(id).addEventListener("click", () => { if (!resting()) act(); });

function oneBackOrClean() {
  if (half.flaw) return { ...half, flaw: "" };
  if (!half.done) return { ...half, instead: null };
  return oneBack(half);
}

// Where the browser has one, a worker keeps this page for a reload while the server is away.
async function keepPage() {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/saw-kept.js", { scope: "/" });
  const ready = await navigator.serviceWorker.ready;
  const parts = performance.getEntriesByType("resource").map((part) => part.name);
  ready.active.postMessage([location.href, ...parts]);
}

begin();
keepPage().catch(() => null); // none is given where a certificate's warning was clicked away
