// Breaks the browser's reader on purpose, one rule at a time, and holds the vectors to it: each broken reader must
// answer at least one vector otherwise than the engine did.
//
// node mutants.cjs RULES VECTORS
"use strict";

const fs = require("fs");
const vm = require("vm");
const { parts, differences, patched } = require("./comparing.cjs");
const MUTANTS = require("./mutants-list.cjs");

/** A fragment of code as a pattern: line breaks, indents and commas before a closing bracket do not matter. */
function pattern(fragment) {
  const tokens = fragment.match(/"[^"]*"|\w+|\S/g);
  const escaped = tokens.map((token) => token.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&"));
  return new RegExp(
    escaped.map((token, at) => (at > 0 && /^\\[)\]}]$/.test(token) ? ",?\\s*" : "") + token).join("\\s*"),
    "g",
  );
}

/** The reader's parts with one fragment replaced, or a sentence that says why not. */
function replaced(texts, find, put) {
  const matches = texts.map((text) => [...text.matchAll(pattern(find))]);
  const count = matches.flat().length;
  if (count !== 1) return { problem: `the reader holds \`${find}\` ${count} times, not once; write this mutant anew` };
  const change = (text, [match]) =>
    match ? text.slice(0, match.index) + put + text.slice(match.index + match[0].length) : text;
  return { texts: texts.map((text, part) => change(text, matches[part])) };
}

/** The reader's parts with all that a mutant replaces. */
function broken(texts, { find, put }) {
  const fragments = [].concat(find);
  return fragments.reduce(
    (sofar, fragment, at) =>
      sofar.problem ? sofar : replaced(sofar.texts, fragment, Array.isArray(put) ? put[at] : put),
    { texts },
  );
}

function reader(texts) {
  const context = vm.createContext({});
  for (const text of texts) vm.runInContext(text, context);
  return context.bartackDating;
}

/** An answer without the words for a listing, which a reader may leave out. */
function numbers(answer) {
  const { paragraph, ...rest } = answer;
  return rest;
}

/** The first vector that a reader answers otherwise, or nothing. */
function firstFailure(dating, cases) {
  const prepared = new Map();
  for (const { name, rules, garment, answer } of cases) {
    let found;
    try {
      if (!prepared.has(rules)) prepared.set(rules, rules.requires.length > 0 ? rules : dating.prepare(rules));
      found = JSON.parse(JSON.stringify(dating.answer(prepared.get(rules), garment)));
    } catch {
      // A reader that breaks down shows nothing: every broken one here is to answer, and wrongly.
      continue;
    }
    const [first] = differences(numbers(answer), numbers(found), "");
    if (first) return { name, first };
  }
  return null;
}

/** The vectors, those with a patch first, each with the rules that it is for. */
function cases(rules, vectors) {
  const known = new Map();
  const own = (patch) => {
    const key = JSON.stringify(patch || null);
    if (!known.has(key)) known.set(key, patch ? patched(rules, patch) : rules);
    return known.get(key);
  };
  const all = vectors.cases.map((one) => ({ ...one, rules: own(one.patch) }));
  return all.sort((one, other) => Boolean(other.patch) - Boolean(one.patch));
}

function main([rulesPath, vectorsPath]) {
  const read = (file) => JSON.parse(fs.readFileSync(file, "utf8"));
  const all = cases(read(rulesPath), read(vectorsPath));
  const texts = parts().map(({ text }) => text);
  const problems = [];
  const whole = firstFailure(reader(texts), all);
  if (whole) problems.push(`the reader itself fails ${whole.name}: ${whole.first}`);
  for (const mutant of MUTANTS) {
    const { problem, texts: changed } = broken(texts, mutant);
    const failure = problem ? null : firstFailure(reader(changed), all);
    if (problem) problems.push(`${mutant.name}: ${problem}`);
    else if (!failure) problems.push(`${mutant.name}: every vector lets it pass`);
    else console.log(`${mutant.name}: fails ${failure.name}`);
  }
  const names = new Set(MUTANTS.map(({ name }) => name));
  if (names.size !== MUTANTS.length) problems.push("two mutants have one name");
  problems.forEach((problem) => console.error(problem));
  console.log(`${MUTANTS.length} broken readers, ${problems.length} problems`);
  process.exit(problems.length === 0 && MUTANTS.length > 0 ? 0 : 1);
}

main(process.argv.slice(2));
