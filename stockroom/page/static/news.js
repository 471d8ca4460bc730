// The news: a change by anybody is shown on this page, without moving what is under a finger.
//
// Parts of a page that may change have the attribute data-live and an id; they are fetched again
// and put in place. Nothing is redrawn while a pointer is down or something is being typed in
// them, and the focus is put back where it was.

const REST_MS = 450; // after a touch, before anything may move

let down = false;
let lastTouch = 0;
let wanted = false;
let source = null;

let tell = say;

// `told(words)` says whether the server is there, where a page words that itself.
export function listen(told = say) {
  tell = told;
  if (!document.body.dataset.newest) return;
  addEventListener("pointerdown", () => { down = true; }, true);
  for (const end of ["pointerup", "pointercancel"]) {
    addEventListener(end, () => { down = false; lastTouch = Date.now(); settle(); }, true);
  }
  document.addEventListener("visibilitychange", follow);
  addEventListener("pagehide", close);
  addEventListener("pageshow", follow);
  follow();
}

// A hidden page keeps no stream: a browser opens six to one address, and a seventh page would wait.
function follow() {
  if (document.hidden) { close(); return; }
  if (source) return;
  source = new EventSource("/news");
  source.addEventListener("open", () => tell(""));
  source.addEventListener("error", () => tell("The server is away; this page waits for it."));
  source.addEventListener("message", (event) => {
    if (event.data === document.body.dataset.newest) return;
    document.body.dataset.newest = event.data;
    document.dispatchEvent(new CustomEvent("news", { detail: event.data }));
    wanted = true;
    settle();
  });
}

function close() {
  if (source) source.close();
  source = null;
}

function say(words) {
  const state = document.getElementById("state");
  if (state && state.textContent !== words) state.textContent = words;
}

function settle() {
  if (!wanted || down) return;
  const left = lastTouch + REST_MS - Date.now();
  if (left > 0) { setTimeout(settle, left + 10); return; }
  wanted = false;
  refresh();
}

export async function refresh() {
  const parts = [...document.querySelectorAll("[data-live][id]")].filter((part) => !typing(part));
  if (!parts.length) return;
  let fresh;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    return;
  }
  if (down) { wanted = true; return; }
  for (const part of parts) {
    const now = fresh.getElementById(part.id);
    if (now && now.innerHTML !== part.innerHTML && !typing(part)) put(part, now);
  }
}

function typing(part) {
  const at = document.activeElement;
  return at && part.contains(at) && at.matches("input, select, textarea");
}

function put(part, now) {
  const at = document.activeElement;
  const order = part.contains(at) ? [...part.querySelectorAll("a, button")].indexOf(at) : -1;
  const href = order >= 0 ? at.getAttribute("href") : null;
  part.replaceChildren(...now.childNodes);
  if (order < 0) return;
  const keys = [...part.querySelectorAll("a, button")];
  (keys.find((key) => href && key.getAttribute("href") === href) ?? keys[order])?.focus({ preventScroll: true });
}
