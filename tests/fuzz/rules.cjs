// Rules and garments that nobody would write, given to the browser's reader under Node: an answer whose numbers are
// numbers, or an error in words; no hang, and nothing of the language itself changed.
//
// node rules.cjs RULES CORPUS COUNT           what is kept, then COUNT seeded inputs
// node rules.cjs RULES CORPUS SECONDS guided  goes on for so long, guided by coverage, and keeps what reaches something new
//
// An input is { edits: [{ at: [key, …], to | deep | gone | as | times }], garment, address }: edits of the rules, a
// garment, and an address as it is shared.
"use strict";

const { createHash } = require("crypto");
const fs = require("fs");
const path = require("path");
const vm = require("vm");
const { load } = require("../dating/parts.cjs");

load("address");

const [rulesPath, corpusPath, limit, mode] = process.argv.slice(2);
const RULES = fs.readFileSync(rulesPath, "utf8");
if (JSON.parse(RULES).keys.length === 0) throw new Error("the rules have no key, so nothing of keys is tried");
const KEPT = fs
  .readdirSync(corpusPath)
  .sort()
  .map((name) => JSON.parse(fs.readFileSync(path.join(corpusPath, name), "utf8")));
const LONGEST = 5000;
const MOST_KEPT = 40;
const KEYS = ["__proto__", "constructor", "prototype", "toString", "hasOwnProperty", "length", "hem", "", "of"];
const WORDS = [
  "lost",
  "absent",
  "other",
  "x",
  "",
  "any",
  "all",
  "state",
  "range",
  "hard",
  "soft",
  "2026-02-30",
  "1e999",
  "NaN",
  "9999999999-01-01",
];
const CODES = ["D3-118", "c 1 – 007", "E4118", "D5-118", "-", "\u202ed3-118", "D3-11\ud83d\ude00", "d".repeat(100000)];
const VALUES = [
  null,
  true,
  false,
  0,
  -1,
  0.5,
  1e-320,
  1e308,
  -1e308,
  1e9,
  4294967296,
  [],
  {},
  [[]],
  [null],
  ...KEYS,
  ...WORDS,
];

// Marsaglia 2003, xorshift32.
let seed = 0x5eed0f9a;
function below(count) {
  seed ^= seed << 13;
  seed ^= seed >>> 17;
  seed ^= seed << 5;
  return (seed >>> 0) % Math.max(count, 1);
}
const pick = (list) => list[below(list.length)];

function own(object, key, value) {
  Object.defineProperty(object, key, { value, enumerable: true, configurable: true, writable: true });
}

// A way to somewhere in the rules.
function way(rules) {
  const keys = [];
  let node = rules;
  do {
    const names = Object.keys(node);
    if (names.length === 0) break;
    const key = pick(names);
    keys.push(Array.isArray(node) ? Number(key) : key);
    node = node[key];
  } while (node !== null && typeof node === "object" && below(6) > 0);
  return keys;
}

function edited(edits) {
  const rules = JSON.parse(RULES);
  for (const { at, to, gone, as, times, deep } of edits) {
    const last = at[at.length - 1];
    const parent = at
      .slice(0, -1)
      .reduce(
        (node, key) => (node !== null && typeof node === "object" && Object.hasOwn(node, key) ? node[key] : null),
        rules,
      );
    if (parent === null || typeof parent !== "object" || !Object.hasOwn(parent, last)) continue;
    if (gone) Array.isArray(parent) ? parent.splice(last, 1) : delete parent[last];
    else if (as !== undefined && !Array.isArray(parent)) own(parent, as, parent[last]);
    else if (times && Array.isArray(parent)) parent.splice(last, 0, ...Array(times).fill(parent[last]));
    else if (as === undefined && !times) own(parent, last, deep ? nested(deep) : structuredClone(to));
  }
  return rules;
}

function nested(depth) {
  return Array.from({ length: depth }).reduce((inner) => ({ kind: "any", of: [inner] }), {
    kind: "state",
    feature: "hem",
    state: "raw",
  });
}

function edit(rules) {
  const at = way(rules);
  return pick([
    () => ({ at, to: pick(VALUES) }),
    () => ({ at, to: pick(VALUES) }),
    () => ({ at, deep: pick([3, 300, 30000]) }),
    () => ({ at, gone: true }),
    () => ({ at, as: pick(KEYS) }),
    () => ({ at, times: 1 + below(3) }),
  ])();
}

function garmentOf(garment, rules) {
  const made = JSON.parse(JSON.stringify(garment));
  if (!made.features || typeof made.features !== "object" || Array.isArray(made.features)) made.features = {};
  const features = rules.vocabulary.features;
  for (let left = below(4); left > 0; left -= 1) {
    const feature = below(3) === 0 ? pick(KEYS) : pick(features).id;
    const { states: listed, kind } = features.find((one) => one.id === feature) || {};
    const states = kind === "code" ? CODES : listed || WORDS;
    own(made.features, feature, pick([pick(states), pick(states), pick(VALUES), below(100) / 4, String(below(100))]));
  }
  if (below(6) === 0)
    own(made, pick(["maker", "model", "line", "wearer", "variant", "market", "id", "features", ...KEYS]), pick(VALUES));
  return made;
}

function addressOf(rules) {
  const part = () => {
    const key = pick([pick(rules.vocabulary.features).id, "maker", "model", "variant", "view", ...KEYS]);
    const value = String(pick([...WORDS, ...KEYS, below(99)]));
    return `${encodeURIComponent(key)}=${encodeURIComponent(value)}`;
  };
  return "#" + Array.from({ length: below(5) }, part).join("&") + pick(["", "%", "%ff", "#", "&&=", "=%00"]);
}

function changed(input) {
  const rules = JSON.parse(RULES);
  const edits = input.edits.filter(() => below(5) > 0);
  while (below(3) > 0) edits.push(edit(rules));
  return {
    edits,
    garment: garmentOf(below(2) ? input.garment : pick(KEPT).garment, rules),
    address: below(3) ? input.address : addressOf(rules),
  };
}

// Holds an answer to what every answer promises.
function wrong(found, at = "") {
  if (typeof found === "number") return Number.isFinite(found) ? null : `${at} is ${found}`;
  if (found === null || typeof found !== "object") return null;
  for (const [key, one] of Object.entries(found)) {
    if (key === "probability" && typeof one === "number" && !(one >= 0 && one <= 1 + 1e-9))
      return `${at}/${key} is ${one}`;
    const inner = wrong(one, `${at}/${key}`);
    if (inner) return inner;
  }
  return null;
}

const BUILTIN = [Object, Array, String, Number, Map, Set, Function].map((one) => one.prototype);
const shape = () => BUILTIN.map((one) => Reflect.ownKeys(one).map(String).join()).join(";");
const BEFORE = shape();

// Tries one input in every way; gives what is wrong.
const TRIED = new vm.Script("tryOne()");
function tried(input) {
  const dating = globalThis.bartackDating;
  const asked = [];
  globalThis.tryOne = () => {
    const rules = edited(input.edits);
    asked.push(wrong(dating.answer(rules, input.garment)));
    const prepared = dating.prepare(rules);
    asked.push(
      wrong(
        dating.answer(
          prepared,
          globalThis.bartackAddress.garment(globalThis.bartackAddress.read(input.address, prepared)),
        ),
      ),
    );
  };
  try {
    TRIED.runInThisContext({ timeout: LONGEST });
  } catch (error) {
    if (!(error instanceof dating.Unreadable) || !error.message) return `${error && error.stack}`;
  }
  if (shape() !== BEFORE) return "the language itself was changed";
  return asked.find(Boolean) || null;
}

function fail(input, problem) {
  console.error(`${problem}\n${JSON.stringify(input)}`);
  process.exit(1);
}

function bounded(count) {
  const all = [...KEPT, ...Array.from({ length: count }, () => changed(pick(KEPT)))];
  for (const input of all) {
    const problem = tried(input);
    if (problem) fail(input, problem);
  }
  console.log(`${all.length} inputs`);
}

// Coverage of blocks, as V8 counts it; each block counts by how often, roughly, it ran.
function watch() {
  const { Session } = require("inspector");
  const watched = new Session();
  watched.connect();
  watched.post("Profiler.enable");
  watched.post("Profiler.startPreciseCoverage", { callCount: true, detailed: true });
  const seen = new Set();
  return () => {
    let isNew = false;
    watched.post("Profiler.takePreciseCoverage", (error, { result }) => {
      for (const script of result.filter((one) => one.url.includes("/site/assets/"))) {
        for (const { ranges } of script.functions) {
          for (const { startOffset, endOffset, count } of ranges) {
            const key = `${script.url}:${startOffset}:${endOffset}:${Math.min(Math.floor(Math.log2(count + 1)), 8)}`;
            if (count > 0 && !seen.has(key)) isNew = Boolean(seen.add(key));
          }
        }
      }
    });
    return isNew;
  };
}

// Keeps of what was found the shortest inputs that reach what no kept one does, and no more than are soon tried.
function keep(found) {
  const isNew = watch();
  for (const input of KEPT) tried(input);
  isNew();
  let kept = 0;
  for (const text of found.map((input) => JSON.stringify(input)).sort((one, other) => one.length - other.length)) {
    if (text.length > 1024 || kept === MOST_KEPT) break;
    tried(JSON.parse(text));
    if (!isNew()) continue;
    kept += 1;
    fs.writeFileSync(path.join(corpusPath, `${createHash("sha1").update(text).digest("hex").slice(0, 12)}.json`), text);
  }
  return kept;
}

function guided(seconds) {
  const isNew = watch();
  const corpus = [...KEPT];
  seed ^= Date.now() | 1;
  for (const input of corpus) tried(input);
  isNew();
  const end = Date.now() + seconds * 1000;
  let count = 0;
  for (; Date.now() < end; count += 1) {
    const input = changed(pick(corpus));
    const problem = tried(input);
    if (problem) fail(input, problem);
    if (isNew()) corpus.push(input);
  }
  console.log(`${count} executions, ${keep(corpus.slice(KEPT.length))} inputs kept`);
}

if (mode === "guided") guided(Number(limit));
else bounded(Number(limit));
