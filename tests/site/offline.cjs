// Runs the worker with a cache and a network of its own: `node offline.cjs WORKER.JS`.
"use strict";

const fs = require("fs");
const vm = require("vm");
const assert = require("assert");

const text = fs.readFileSync(process.argv[2], "utf8");
const split = text.indexOf(";\n") + 2;
const code = text.slice(split),
  SCOPE = "https://example.org/site/";
const stores = new Map();
const network = { up: true, fetched: [], missing: new Set() };

const caches = {
  has: async (name) => stores.has(name),
  delete: async (name) => stores.delete(name),
  open: async (name) => {
    if (!stores.has(name)) stores.set(name, new Map());
    const store = stores.get(name);
    return {
      match: async (url) => store.get(String(url))?.clone(),
      put: async (url, answer) => void store.set(String(url), answer),
      delete: async (url) => store.delete(String(url)),
    };
  },
};

async function fetched(request) {
  const url = typeof request === "string" ? request : request.url;
  if (!network.up) throw new TypeError("no network");
  network.fetched.push(url.slice(SCOPE.length));
  return network.missing.has(url.slice(SCOPE.length))
    ? new Response("", { status: 404 })
    : new Response(`content of ${url}`);
}

function worker(files) {
  const listeners = {},
    told = [];
  const self = {
    registration: { scope: SCOPE },
    skipWaiting() {},
    clients: { claim: async () => {}, matchAll: async () => [{ postMessage: (message) => told.push(message) }] },
    addEventListener: (name, listener) => (listeners[name] = listener),
  };
  vm.runInNewContext(`const FILES = ${JSON.stringify(files)};\n${code}`, {
    self,
    caches,
    fetch: fetched,
    URL,
    Response,
  });
  const send = async (name, event) => {
    const waits = [];
    let answer = null;
    listeners[name]({ waitUntil: (wait) => waits.push(wait), respondWith: (one) => (answer = one), ...event });
    await Promise.all(waits);
    return { answer };
  };
  return { send, told };
}

const get = (path, method = "GET") => ({ request: { url: SCOPE + path, method } });

(async () => {
  const files = JSON.parse(text.slice("const FILES = ".length, split - 2)),
    count = Object.keys(files).length;
  const first = worker(files);
  await first.send("install", {});
  await first.send("activate", {});
  assert.strictEqual(network.fetched.length, 0, "nobody asked, so nothing is fetched");
  network.up = false;
  await assert.rejects((await first.send("fetch", get("index.html"))).answer);
  network.up = true;

  network.missing.add("index.html");
  await first.send("message", { data: "keep" });
  assert.deepStrictEqual({ ...first.told.at(-1) }, { done: count, all: count, missing: 1, ended: true });
  network.missing.clear();
  network.fetched.length = 0;
  await first.send("message", { data: "keep" });
  assert.deepStrictEqual(network.fetched, ["index.html"], "a second run fetches only what is missing");
  assert.strictEqual(first.told.at(-1).missing, 0);

  network.up = false;
  for (const path of ["index.html", "", "sources.html?x=1", "search.js"]) {
    const answer = await (await first.send("fetch", get(path))).answer;
    assert((await answer.text()).startsWith("content of"), path);
  }
  assert.strictEqual((await first.send("fetch", get("index.html", "POST"))).answer, null);
  assert.strictEqual(
    (await first.send("fetch", { request: { url: "https://example.com/", method: "GET" } })).answer,
    null,
  );
  await assert.rejects((await first.send("fetch", get("no-such.html"))).answer);

  network.up = true;
  network.fetched.length = 0;
  const { "sources.html": dropped, ...rest } = files;
  const second = worker({ ...rest, "index.html": "0123456789abcdef" });
  await second.send("activate", {});
  assert.deepStrictEqual(network.fetched, ["index.html"], "a new build fetches what changed");
  network.up = false;
  await assert.rejects(
    (await second.send("fetch", get("sources.html"))).answer,
    "what is no longer there is forgotten",
  );
  await second.send("message", { data: "forget" });
  assert.strictEqual(stores.size, 0);
  console.log("the worker holds");
})();
