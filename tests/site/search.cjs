// Holds the search to the demo's index and to one of 20,000 records, under Node; counts work, and only prints times.
//
// node search.cjs SEARCH.JS
"use strict";

const fs = require("fs");
const path = require("path");
const assert = require("assert");
const vm = require("vm");

require(path.join(__dirname, "..", "..", "site", "assets", "search-index.js"));
const { prepare, find } = globalThis.bartackFind;

const sandbox = { window: {} };
vm.runInNewContext(fs.readFileSync(process.argv[2], "utf8"), sandbox);
const demo = prepare(sandbox.window.bartackSearch);
const data = demo.data;
const names = (text) => find(demo, text).found.map((found) => found.name);
const sorts = (text) => find(demo, text).found.map((found) => found.sort);

function nameOf(at) {
  if (typeof data.names[at] === "number") return nameOf(data.names[at]);
  return data.names[at] || data.paths[at].replace(/^.*\/|\.html$/g, "").replace(/-/g, " ");
}

// Every name of the index is found by itself; short ones are among the first.
for (let at = 0; at < data.sort.length; at++) {
  const name = nameOf(at),
    own = find(demo, name);
  assert(own.count > 0 && (own.count > 12 || name.length > 40 || own.found.some((found) => found.name === name)), name);
}

// Prefixes, words of what something belongs to, sorts in their order.
assert.strictEqual(names("brack")[0], "Brackwold Tharn");
assert.strictEqual(sorts("brackwold tharn")[0], "maker");
assert(find(demo, "ropestaithe").found.every((found) => /ropestaithe/i.test(found.name + found.within)));
assert.strictEqual(sorts("ropestaithe")[0], "model");
assert(sorts("ropestaithe").includes("variant"), "a model's variants follow it");
assert(
  find(demo, "ropestaithe 1974").found.some((found) => found.sort === "variant" && /Ropestaithe/.test(found.within)),
);

// Misspellings: a letter changed, left out, added or swapped; two in long words; none in short words or numbers.
for (const wrong of ["brakwold", "brackwodl", "brackkwold", "brbckwold", "brakwodl", "Bràckwold"]) {
  assert.strictEqual(names(wrong)[0], "Brackwold Tharn", wrong);
}
assert.strictEqual(find(demo, "thzzn").count, 0, "two edits in five letters");
assert.strictEqual(find(demo, "19744").count, 0);
assert.strictEqual(find(demo, "").count, 0);
assert.strictEqual(find(demo, "…").count, 0);

// Years: what may have been made then, what appeared then, what is dated so; all of them hold it.
const year = find(demo, "1974");
const held = data.from.map((from, at) => from !== 0 && from <= 1974 && 1974 <= data.to[at]);
const said = (at) => /1974/.test(nameOf(at) + (data.up[at] ? nameOf(at - data.up[at]) : ""));
const expected = held.filter((is, at) => is || said(at)).length;
assert(year.count >= held.filter(Boolean).length && year.count <= expected + 20, `${year.count}, ${expected}`);
for (const sort of ["variant", "source", "observation"]) {
  const some = held.some((is, at) => is && data.sorts[data.sort[at]] === sort);
  assert(some, `the demo has a ${sort} of 1974`);
}

// Twenty thousand records: 100 makers, 10 models each, 5 variants of each, 14,000 observations; seeded.
let seed = 20260;
const random = (below) => ((seed = (seed * 1103515245 + 12345) % 2147483648), Math.floor(seed / 65536) % below);
const parts = [
  "bra",
  "tho",
  "qui",
  "led",
  "mar",
  "wen",
  "sto",
  "pel",
  "rud",
  "cas",
  "fen",
  "gol",
  "hip",
  "jun",
  "kel",
  "vor",
];
const word = () => Array.from({ length: 2 + random(3) }, () => parts[random(parts.length)]).join("");
function generated() {
  const made = { sorts: data.sorts, sort: [], names: [], paths: [], up: [], from: [], to: [], words: [], posts: [] };
  const posts = new Map();
  const add = (sort, parent, from, to) => {
    const at = made.sort.length,
      name = [word(), word(), String(random(3000))];
    made.sort.push(sort);
    made.names.push(name.join(" "));
    made.paths.push(`p/${at}.html`);
    made.up.push(parent === null ? 0 : at - parent);
    made.from.push(from);
    made.to.push(to);
    for (const one of new Set(name)) posts.set(one, [...(posts.get(one) || []), at]);
    return at;
  };
  for (let maker = 0; maker < 100; maker++) {
    const top = add(0, null, 0, 0);
    for (let model = 0; model < 9; model++) {
      const middle = add(2, top, 0, 0);
      for (let variant = 0; variant < 5; variant++) {
        const from = 1900 + random(80),
          low = add(3, middle, from, from + random(20));
        for (let seen = 0; seen < 3; seen++) add(8, low, from + 3, from + 3);
      }
    }
  }
  while (made.sort.length < 20000) add(7, null, 1900 + random(90), 0);
  made.to = made.to.map((to, at) => to || made.from[at]);
  for (const one of [...posts.keys()].sort()) {
    made.words.push(one);
    made.posts.push(posts.get(one).map((at, place, list) => (place ? at - list[place - 1] : at)));
  }
  return made;
}
const made = generated();
const began = performance.now();
const big = prepare(made);
console.log(
  `prepared ${made.sort.length} records, ${made.words.length} words in ${(performance.now() - began).toFixed(1)} ms`,
);
assert.strictEqual(made.sort.length, 20000);
const [one, two] = made.names[4321].split(" ");
const queries = [
  "b",
  "br",
  "1974",
  one,
  `${one} ${two}`,
  one.slice(0, 3),
  `x${one}`,
  one.slice(1) + "x",
  "brathoquiledmarx",
  "xxxxxxxx",
  "thoxquil",
  "a b c d e f g h",
  "1950 quixled",
  "wenstopelx brathox",
  "stoquixledmar",
];
let most = 0,
  longest = 0;
for (const query of queries) {
  const start = performance.now(),
    { count, work } = find(big, query),
    took = performance.now() - start;
  [most, longest] = [Math.max(most, work), Math.max(longest, took)];
  console.log(
    `${took.toFixed(1).padStart(7)} ms ${String(work).padStart(8)} steps ${String(count).padStart(6)} found: ${query}`,
  );
}
// A step touches one thing or one row of a comparison: linear in the records for each word, and never their square.
assert(most <= 20000 * 2 * 8 + made.words.length, `${most} steps`);
assert(longest < 2000, `${longest} ms`);
assert(find(big, `x${one}`).count > 0 || one.length < 4, "misspelt among many");
console.log(`at most ${most} steps; searches hold`);
