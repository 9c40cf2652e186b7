// Answers garments by reader.mjs: a line of JSON for each garment, in the order of standard input.
//
//     node answer.mjs rules.json < garments.jsonl
//
// A line that is no garment ends it with status 1. What it answers is an opinion from recorded observations, not an
// authentication.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { date, prepare } from "./reader.mjs";

/** Whether these rules require anything is for `date` to say, so they are handed over as they are. */
function laidOut(rules) {
  return (rules.requires || []).length > 0 ? rules : prepare(rules);
}

async function main([path]) {
  if (path === undefined) throw new Error("usage: node answer.mjs rules.json < garments.jsonl");
  const rules = laidOut(JSON.parse(readFileSync(path, "utf8")));
  let number = 0;
  for await (const line of createInterface({ input: process.stdin })) {
    number += 1;
    try {
      process.stdout.write(JSON.stringify(date(rules, JSON.parse(line))) + "\n");
    } catch (error) {
      throw new Error(`line ${number}: ${error.message}`);
    }
  }
}

main(process.argv.slice(2)).catch((error) => {
  console.error(error.message);
  process.exitCode = 1;
});
