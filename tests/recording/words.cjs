// Holds what the page of a garment to record makes of words to the table that holds the program to it, and prints what it
// makes of each text of a list, for the program to compare: the meaning, then the days and the words of each date.
//
// node words.cjs REPOSITORY < a JSON list of texts
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { DATES, load } = require("../dating/parts.cjs");

const [repository] = process.argv.slice(2);
const page = load(...DATES);
const { parse, span, members, isUncertain, isApproximate } = page.bartackDateNotation;
const { days, within } = page.bartackDateSpoken;
const { meaning } = page.bartackDateWords;
const { dayText } = page.bartackDating;
// The widening of a year by `~` where a knowledge base says nothing else; the test in Rust says the same.
const CIRCA = 2;

// The nearest spelling that the table has, and the rest of the row.
function told(text) {
  const { kind, dates } = meaning(text);
  if (kind === "unreadable") return "nothing | unreadable";
  if (kind === "which-century") return `nothing | which century: ${dates.join(" or ")}`;
  // Points between numbers are written where the day comes first.
  const both = text.includes(".") ? dates[0] : `[${dates[1]},${dates[0]}]`;
  if (kind === "day-or-month") return `${both} | day or month: ${dates.join(" or ")}`;
  return `${dates[0]} | ${kind === "certain" ? "certain" : "likely"}`;
}

const rows = fs.readFileSync(path.join(repository, "src/date/words.txt"), "utf8").split("\n");
for (const row of rows.filter((one) => one !== "" && !one.startsWith("#"))) {
  const [text] = row.split(" => ", 1);
  assert.strictEqual(`${text} => ${told(text)}`, row);
}

function day(number) {
  return number === null ? "" : dayText(number);
}

function shown(edtf) {
  const read = parse(edtf);
  const { first, last } = span(read, CIRCA);
  const marks = (isUncertain(read) ? "?" : "") + (isApproximate(read) ? "~" : "");
  const spans = members(read).map((one) => days(one) ?? "");
  return [edtf, day(first), day(last), marks, within({ first, last }), ...spans].join("; ");
}

const texts = JSON.parse(fs.readFileSync(0, "utf8"));
const read = texts.map(({ text, century, order }) => {
  const { kind, dates } = meaning(text, century ?? "written", order);
  return [kind, ...dates.map(shown)].join(" | ");
});
console.log(JSON.stringify(read));
