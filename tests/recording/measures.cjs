// Holds what the pages make of measures to the table beside it, as the terminal is held to it; and each sixteenth of an
// inch to itself, there and back. Values of the table are worked out by hand from 1 in = 2.54 cm.
//
// node measures.cjs REPOSITORY
"use strict";

const assert = require("node:assert");
const path = require("node:path");

const [repository] = process.argv.slice(2);
let stored = {};
global.window = { addEventListener() {} };
global.localStorage = {
  getItem: (name) => stored[name] ?? null,
  setItem: (name, value) => (stored[name] = value),
};
// What the script takes from the scripts before it; the addresses of pages are tried elsewhere.
window.bartackElements = { own: (object, key) => (Object.hasOwn(object, key) ? object[key] : undefined) };
window.bartackAddress = { wrongValue: () => "Write a number, such as 8.25." };
const script = path.join(repository, "site/assets/measures.js");
require(script);
const { read, text, system, choose, convert } = window.bartackMeasures;
const feature = (unit, range) => ({
  id: "leg",
  name: "Leg",
  kind: "measure",
  look: "",
  states: [],
  columns: [],
  unit,
  range,
});

const rows = require("./measures.json");
for (const { text: written, unit, value, within = 0 } of rows) {
  const found = read(feature(unit), written, unit === "in" ? "in" : "cm");
  assert.strictEqual(found.value === "", value === null, `${written}: ${JSON.stringify(found)}`);
  assert.strictEqual(found.problem !== "", value === null, `${written}: ${JSON.stringify(found)}`);
  if (value !== null) assert.ok(Math.abs(Number(found.value) - value) <= within, `${written}: ${found.value}`);
}

// A tape in inches: what stands in the field means what was typed there.
for (let sixteenths = 1; sixteenths <= 16 * 40; sixteenths += 1) {
  for (const unit of ["cm", "mm", "in"]) {
    const kept = read(feature(unit), `${sixteenths / 16}`, "in").value;
    const shown = text(feature(unit), kept, "in");
    assert.ok(!shown.includes("."), `${sixteenths}/16 in is shown as ${shown}`);
    assert.strictEqual(read(feature(unit), shown, "in").value, kept);
    assert.ok(Math.abs(convert(Number(kept), unit, "in") - sixteenths / 16) < 1e-12, kept);
  }
}
assert.strictEqual(text(feature("cm"), "20.955", "in"), "8 1/4");
assert.strictEqual(text(feature("cm"), "21", "in"), "8.27");
assert.strictEqual(text(feature("in"), "31.5", "cm"), "80.01");
assert.strictEqual(text(feature("mm"), "12.7", "in"), "1/2");

// What is understood is said, unless it stands there word for word.
assert.strictEqual(read(feature("cm"), "21", "cm").reading, "");
assert.strictEqual(read(feature("cm"), "21,5", "cm").reading, "Read as 21.5 cm.");
assert.strictEqual(read(feature("cm"), "8¼", "in").reading, "Read as 8.25 in, which is 20.955 cm.");
assert.strictEqual(read(feature("in"), "31 1/2", "in").reading, "Read as 31.5 in.");

// A range is said in the unit in use, and both its ends lie in it.
const leg = feature("cm", [12, 40]);
assert.match(read(leg, "21", "in").problem, /between 4\.73 and 15\.74 in\. If you measured it in centimetres, choose/);
assert.match(read(leg, "9", "cm").problem, /between 12 and 40 cm\. If you measured it in inches, choose inches above/);
assert.strictEqual(read(leg, "900", "cm").problem, "It must be between 12 and 40 cm.");
assert.strictEqual(read(leg, "21 in", "cm").problem, "It must be between 4.73 and 15.74 in.");
for (const end of ["4.73", "15.74"]) assert.strictEqual(read(leg, end, "in").problem, "");

// The choice: of the vocabulary, then of the person, then of the next page; and without a place to keep it.
assert.strictEqual(system([feature("cm"), feature("mm"), feature("in")]), "cm");
assert.strictEqual(system([feature("cm"), feature("in"), feature("in")]), "in");
choose("in");
const again = () => {
  delete require.cache[require.resolve(script)];
  require(script);
  return window.bartackMeasures;
};
assert.strictEqual(again().system([feature("cm")]), "in");
stored = { "bartack measures": "furlongs" };
assert.strictEqual(again().system([feature("cm")]), "cm");
Object.defineProperty(global, "localStorage", {
  get() {
    throw new Error("refused");
  },
});
const refused = again();
assert.strictEqual(refused.system([feature("cm")]), "cm");
refused.choose("in");
assert.strictEqual(refused.system([feature("cm")]), "in");
console.log(rows.length);
