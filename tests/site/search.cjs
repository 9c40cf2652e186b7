// Holds the search to the demo's index and to one of 20,000 records, under Node; counts work, and only prints times.
//
// node search.cjs SEARCH.JS
"use strict";

const fs = require("fs");
const path = require("path");
const assert = require("assert");
const vm = require("vm");

for (const part of ["terms", "pairs", "index"]) {
  require(path.join(__dirname, "..", "..", "site", "assets", `search-${part}.js`));
}
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
  assert(own.isAll, name);
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

// Decades and words of time; a part of a decade finds no more than the decade.
const overlaps = (first, last) => (found) => found.span && found.span[0] <= last && first <= found.span[1];
for (const text of ["seventies", "70s", "1970s", "’70s"])
  assert(find(demo, text).found.every(overlaps(1970, 1979)), text);
assert.deepStrictEqual(names("mid-60s"), names("mid sixties"));
assert(find(demo, "late 70s").count < find(demo, "70s").count);
assert.deepStrictEqual(
  find(demo, "late 70s").found.map((found) => found.path),
  find(demo, "1976-1979").found.map((found) => found.path),
);
for (const [text, first, last] of [
  ["before 1960", 1, 1959],
  ["after 1990", 1991, 9999],
  ["between 1960 and 1965", 1960, 1965],
  ["from 1960 to 1965", 1960, 1965],
  ["since 1990", 1990, 9999],
]) {
  const { found } = find(demo, text);
  assert(found.length > 0, text);
  assert(found.every(overlaps(first, last)), text);
}
assert(find(demo, "jackets from the 1960s").found.every((found) => /jacket|coat/i.test(found.name + found.within)));

// Counts, in figures and in words; other words of the vocabulary.
for (const text of ["7 belt loops", "seven belt loops", "belt loops: 7", "7 loops"]) {
  assert.deepStrictEqual(
    find(demo, text).found.map((found) => found.path),
    ["features/belt-loops.html#shows-7"],
    text,
  );
}
assert(find(demo, "corduroy").found.some((found) => found.sort === "state"));
assert.strictEqual(find(demo, "outseam").found[0].sort, "feature");

// Two names: the page that compares them, else the page that puts any two side by side.
const first = (text) => find(demo, text).found[0];
assert.strictEqual(
  first("standing gate and underlode").path,
  "compare/brackwold-tharn/line.standing-gate.underlode.html",
);
const sluice = "compare/brackwold-tharn/sluice-118/standing-gate-men.underlode-men.html";
for (const text of ["sluice gate and underlode men", "sluice underlode vs gate", "gate / underlode sluice"]) {
  assert.strictEqual(first(text).path, sluice, text);
}
assert(
  find(demo, "standing gate underlode sluice").found.some((found) => found.path === sluice),
  "no word between",
);
assert.strictEqual(
  first("underlode, women’s vs underlode, men’s").path,
  "compare/brackwold-tharn/sluice-118/underlode-men.underlode-women.html",
);
assert.deepStrictEqual(
  [first("standing gate and second bell").sort, first("culmer and sluice").path],
  ["side by side", "compare.html#thing=brackwold-tharn%2Fculmer-31&thing=brackwold-tharn%2Fsluice-118"],
);
assert.strictEqual(first("Thessop & Yarrick").sort, "maker", "a name may hold such a word");
assert(find(demo, "1960s and 1970s").found.every((found) => found.sort !== "comparison"));

// Not every two variants of a model with more than twelve have a page: they are put side by side.
function model(variants) {
  const names = Array.from({ length: variants }, (_, at) => `v${at}`);
  const none = [0, ...names.map(() => 0)];
  return prepare({
    ...{ sorts: data.sorts, sort: [2, ...names.map(() => 3)], names: ["bolt", ...names] },
    ...{ paths: ["makers/m/bolt.html", ...names.map((name) => `/${name}`)], from: none, to: none },
    ...{
      words: ["bolt", ...names.toSorted()],
      posts: [[0], ...names.toSorted().map((name) => [names.indexOf(name) + 1])],
    },
    up: [0, ...names.map((_, at) => at + 1)],
  });
}
assert.strictEqual(find(model(12), "v11 and v10").found[0].path, "compare/m/bolt/v10.v11.html");
const [beside] = find(model(13), "v10 and v11").found;
assert.strictEqual(beside.path, "compare.html#thing=m%2Fbolt%2Fv10&thing=m%2Fbolt%2Fv11");

// Where nothing has all words, what has most is found and said not to be all; what nothing has is named.
const partly = find(demo, "hem qwertyuiop");
assert.deepStrictEqual([partly.isAll, partly.missing, partly.found[0].sort], [false, ["qwertyuiop"], "feature"]);
const early = find(demo, "ropestaithe before 1930");
assert(!early.isAll && early.found.every((found) => /ropestaithe/i.test(found.name + found.within)));
const lost = find(demo, "qwertyuiop");
assert.deepStrictEqual([lost.count, lost.isAll, lost.missing], [0, false, ["qwertyuiop"]]);

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
  const made = {
    sorts: data.sorts,
    sort: [],
    names: [],
    paths: [],
    up: [],
    from: [],
    to: [],
    words: [],
    posts: [],
    many: [],
    pairs: [],
  };
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
  `${one} and ${two}`,
  "a b c and d e f g",
  "late 1960s to early 1980s",
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
