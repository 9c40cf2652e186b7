// Hostile keys and codes for the browser's reader, doubled three times: the work may grow with the size, not with its
// square. Work is the processor time of this process, the least of several tries.
"use strict";

const { load } = require("../dating/parts.cjs");

const dating = load().bartackDating;

const DOUBLINGS = 3;
const MOST = 3;
// What is too short to be measured counts as this long, in microseconds.
const SHORTEST = 1000;

const YEAR = { digits: 2, is: "year-of-century" };

function key(id, forms) {
  return {
    id,
    title: id,
    feature: "code",
    makers: [],
    not_before: "1950-01-01",
    not_after: "1989-12-31",
    odds: 5,
    forms,
    sources: [],
  };
}

function read(forms, code) {
  const rules = { keys: [key("k", forms)] };
  return () => dating.readKey(rules, "k", code);
}

function name(number) {
  return [17576, 676, 26, 1].map((step) => String.fromCharCode(65 + (Math.floor(number / step) % 26))).join("");
}

// What every key that reads one code makes of it, as an answer asks.
function keysOfOne(count) {
  const keys = Array.from({ length: count }, (_, at) => dating.prepareKey(key(`k${at}`, [[YEAR]])));
  const prepared = { keys, features: new Map([["code", { kind: "code" }]]), years: [1977, 1978] };
  return () => {
    const found = dating.codesOf(prepared, { maker: "m" }, new Map([["code", "78"]]));
    if (!found.keys.every((one) => one.used)) throw new Error("keys that agree are used");
  };
}

const SHAPES = [
  ["a long code", 1 << 15, (size) => read([[YEAR]], "7".repeat(size)), false],
  ["a code of separators", 1 << 15, (size) => read([[YEAR]], `78${"- ".repeat(size / 2)}`), true],
  ["parts", 1 << 10, (size) => read([[...Array(size).fill({ text: "-" }), YEAR]], `${"-".repeat(size)}78`), true],
  ["forms and a long code", 1 << 10, (size) => read(Array(size).fill([YEAR]), "7".repeat(size)), false],
  [
    "rows of a table",
    1 << 14,
    (size) => {
      const table = Object.fromEntries(Array.from({ length: size }, (_, at) => [name(at), 1960]));
      return read([[{ letters: 4, is: "year", table }]], "AAAB");
    },
    true,
  ],
  ["keys that agree", 1 << 8, keysOfOne, null],
];

function once(act) {
  const begun = process.cpuUsage();
  act();
  const { user, system } = process.cpuUsage(begun);
  return user + system;
}

function work(act) {
  return Math.max(SHORTEST, Math.min(once(act), once(act), once(act)));
}

function growth(make, size) {
  const works = Array.from({ length: DOUBLINGS + 1 }, (_, doubling) => work(make(size << doubling)));
  return (works[DOUBLINGS] / works[0]) ** (1 / DOUBLINGS);
}

let failed = 0;
for (const [shape, size, make, isRead] of SHAPES) {
  if (isRead !== null && (make(size)() !== null) !== isRead) throw new Error(`${shape}: is not read as it should be`);
  // A second look at what seems to grow: a busy machine is slow twice more seldom than once.
  const ratio = Math.min(...[0, 1].map(() => growth(make, size)));
  console.log(`${shape}: ${ratio.toFixed(2)} a doubling`);
  if (ratio >= MOST) failed += 1;
}
process.exit(failed === 0 ? 0 : 1);
