// Holds the browser's reader of rules.json to answers of the engine, under Node: numbers to 1e-9, all else exactly.
//
// node vectors.cjs RULES VECTORS [ANSWERS]: every vector, with its additions to the rules (JSON Patch, RFC 6902, `add`);
// then, if given, a file of JSON lines {"garment": …, "answer": …}.
"use strict";

const fs = require("fs");
const { load } = require("./parts.cjs");

const dating = load().bartackDating;

const comparing = import("../../src/publish/export/rules/conform.mjs");

function report(name, found) {
  if (found.length === 0) return 0;
  console.error(`${name}:\n  ${found.slice(0, 5).join("\n  ")}`);
  return 1;
}

async function main([rulesPath, vectorsPath, answersPath]) {
  const { differences, patched } = await comparing;
  const rules = JSON.parse(fs.readFileSync(rulesPath, "utf8"));
  const vectors = JSON.parse(fs.readFileSync(vectorsPath, "utf8"));
  const prepared = dating.prepare(rules);
  let failed = 0;
  for (const { name, patch, garment, answer } of vectors.cases) {
    const own = patch ? patched(rules, patch) : prepared;
    failed += report(name, differences(answer, dating.answer(own, garment), ""));
  }
  const lines = answersPath ? fs.readFileSync(answersPath, "utf8").split("\n").filter(Boolean) : [];
  for (const [number, line] of lines.entries()) {
    const { garment, answer } = JSON.parse(line);
    failed += report(`garment ${number}`, differences(answer, dating.answer(prepared, garment), ""));
  }
  // A share just below the whole is not written as the whole; the engine's words have the same test.
  const said = [0.994, 0.996, 0.9999999].map(dating.ruledOut);
  failed += report("a share of nearly all", differences(["99 %", "more than 99 %", "more than 99 %"], said, ""));
  console.log(`${vectors.cases.length} vectors and ${lines.length} garments, ${failed} failed`);
  // The comparison itself must be able to fail.
  if (differences({ a: 1 }, { a: 1 + 1e-6 }, "").length !== 1 || differences({ a: [1] }, { a: [] }, "").length !== 1)
    failed += 1;
  process.exit(failed === 0 && vectors.cases.length > 0 ? 0 : 1);
}

main(process.argv.slice(2));
