// Holds rules/reader.mjs to every vector under Node: node module.mjs RULES_FOLDER
import { readFileSync } from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { differences, patched } from "../../src/publish/export/rules/conform.mjs";

const folder = path.resolve(process.argv[2]);
const read = (name) => JSON.parse(readFileSync(path.join(folder, name), "utf8"));
const { date, prepare, Unreadable } = await import(pathToFileURL(path.join(folder, "reader.mjs")));

const rules = read("rules.json");
const prepared = prepare(rules);
const problems = read("vectors.json").cases.flatMap(({ name, patch, garment, answer }) =>
  differences(answer, date(patch ? patched(rules, patch) : prepared, garment), "")
    .slice(0, 3)
    .map((difference) => `${name}: ${difference}`),
);
try {
  date({}, {});
  problems.push("rules that are none were read");
} catch (error) {
  if (!(error instanceof Unreadable)) problems.push(`rules that are none gave ${error}`);
}
if ("bartackDating" in globalThis) problems.push("the module leaves something in the global scope");
problems.slice(0, 20).forEach((problem) => console.error(problem));
process.exit(problems.length === 0 ? 0 : 1);
