// What the tests of the browser's reader share: its parts, answers compared, and rules patched.
"use strict";

const fs = require("fs");
const path = require("path");

const TOLERANCE = 1e-9;
const SITE = path.join(__dirname, "..", "..", "site");

/** The scripts of the reader, in the order in which a page loads them: name and text. */
function parts() {
  const { dating } = JSON.parse(fs.readFileSync(path.join(SITE, "scripts.json"), "utf8"));
  return dating.map((script) => ({
    name: path.basename(script, ".js"),
    text: fs.readFileSync(path.join(SITE, script), "utf8"),
  }));
}

/** Names each place where two answers differ: numbers by more than 1e-9, all else at all. */
function differences(expected, found, at) {
  if (typeof expected === "number" && typeof found === "number") {
    return Math.abs(expected - found) <= TOLERANCE ? [] : [`${at}: expected ${expected}, found ${found}`];
  }
  if (expected === null || found === null || typeof expected !== "object" || typeof found !== "object") {
    return expected === found ? [] : [`${at}: expected ${JSON.stringify(expected)}, found ${JSON.stringify(found)}`];
  }
  const keys = new Set([...Object.keys(expected), ...Object.keys(found)]);
  return [...keys].flatMap((key) =>
    key in expected && key in found
      ? differences(expected[key], found[key], `${at}/${key}`)
      : [`${at}/${key}: only ${key in expected ? "expected" : "found"}`],
  );
}

/** The rules with additions (JSON Patch, RFC 6902: `add` puts a member in place of one of the same name). */
function patched(rules, operations) {
  const copy = JSON.parse(JSON.stringify(rules));
  for (const { op, path: pointer, value } of operations) {
    if (op !== "add") throw new Error(`operation ${op} is not used here`);
    const keys = pointer.split("/").slice(1);
    const last = keys.pop();
    const parent = keys.reduce((node, key) => node[key], copy);
    if (last === "-") parent.push(value);
    else parent[last] = value;
  }
  return copy;
}

module.exports = { parts, differences, patched };
