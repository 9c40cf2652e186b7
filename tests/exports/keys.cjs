// Holds the browser's reader of keys to what the engine reads: node keys.cjs FOLDER, with rules.json and cases.jsonl.
"use strict";

const fs = require("fs");
const path = require("path");
const { load } = require("../dating/parts.cjs");

const dating = load().bartackDating;

const [folder] = process.argv.slice(2);
const rules = dating.prepare(JSON.parse(fs.readFileSync(path.join(folder, "rules.json"), "utf8")));
const lines = fs.readFileSync(path.join(folder, "cases.jsonl"), "utf8").split("\n").filter(Boolean);
let wrong = 0;
for (const line of lines) {
  const { key, code, read } = JSON.parse(line);
  const found = dating.readKey(rules, key, code);
  const own = found && { reads: found.reads, dates: found.dates, years: found.years, factory: found.factory };
  const ordered = read && { reads: read.reads, dates: read.dates, years: read.years, factory: read.factory };
  if (JSON.stringify(own) === JSON.stringify(ordered)) continue;
  wrong += 1;
  if (wrong <= 5) console.error(key, JSON.stringify(code), JSON.stringify(own), JSON.stringify(ordered));
}
console.log(`${lines.length} codes, ${wrong} read otherwise`);
process.exit(lines.length > 0 && wrong === 0 ? 0 : 1);
