// Keeps the saw's page through a reload while the server is away. (Service workers are there on
// https, and on the shop's own computer; over plain http a reload needs the server.)
//
// The server is asked first, always; what it last answered is shown only when it does not answer.

const KEPT = "saw";
const isKept = (path) => path === "/saw" || path.startsWith("/static/") || path.startsWith("/type/");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  event.waitUntil(Promise.all(event.data.filter((address) => isKept(new URL(address).pathname))
    .map((address) => newestOrKept(new Request(address)).catch(() => null))));
});
self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method === "GET" && isKept(new URL(url).pathname)) event.respondWith(newestOrKept(event.request));
});

async function newestOrKept(request) {
  const kept = await caches.open(KEPT);
  const name = new URL(request.url).pathname;
  let answer;
  try {
    answer = await fetch(request);
  } catch (away) {
    const last = await kept.match(name);
    if (!last) throw away;
    return last;
  }
  if (answer.status === 401) await caches.delete(KEPT); // shut out: nothing is shown any more
  else if (answer.ok && !answer.redirected) await kept.put(name, answer.clone());
  return answer;
}
