// Caches the files above when a page asks for it, answers from the cache if the network fails, and
// after a new build fetches only changed files. Until a page asks, it caches nothing.
"use strict";

const CACHE = "bartack-kept",
  LIST = "kept-list.json",
  AT_ONCE = 6;
const address = (path) => new URL(path, self.registration.scope).href;

async function keptList() {
  const cache = await caches.open(CACHE),
    found = await cache.match(address(LIST));
  return found ? found.json() : {};
}

async function tell(message) {
  for (const client of await self.clients.matchAll()) client.postMessage(message);
}

// Files already in the cache are not fetched again; an interrupted run continues where it stopped.
async function keep() {
  const cache = await caches.open(CACHE),
    list = await keptList();
  for (const path of Object.keys(list).filter((path) => !(path in FILES))) {
    await cache.delete(address(path));
    delete list[path];
  }
  const wanted = Object.keys(FILES).filter((path) => list[path] !== FILES[path]),
    all = wanted.length;
  const save = () => cache.put(address(LIST), new Response(JSON.stringify(list)));
  let done = 0,
    missing = 0;
  async function fetchNext() {
    while (wanted.length > 0) {
      const path = wanted.shift();
      try {
        const answer = await fetch(address(path), { cache: "no-cache" });
        if (!answer.ok) throw new Error(String(answer.status));
        await cache.put(address(path), answer);
        list[path] = FILES[path];
      } catch (error) {
        missing++;
      }
      if (++done % 50 === 0) {
        await save();
        await tell({ done, all });
      }
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, fetchNext));
  await save();
  await tell({ done, all, missing, ended: true });
}

async function renewed() {
  await self.clients.claim();
  if (await caches.has(CACHE)) await keep();
}

async function answered(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const url = new URL(request.url);
    const path = url.origin + url.pathname.replace(/\/$/, "/index.html");
    const cache = (await caches.has(CACHE)) ? await caches.open(CACHE) : null;
    const found = cache && (await cache.match(path));
    if (found) return found;
    throw error;
  }
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(renewed()));
self.addEventListener("message", (event) => {
  if (event.data === "keep") event.waitUntil(keep());
  if (event.data === "forget") event.waitUntil(caches.delete(CACHE).then(() => tell({ forgotten: true })));
});
self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method === "GET" && url.startsWith(self.registration.scope)) event.respondWith(answered(event.request));
});
