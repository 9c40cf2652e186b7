// Holds a reader of rules.json in any language to vectors.json, and says which version of the rules it conforms to.
//
//     node conform.mjs COMMAND [ARGUMENT…]     runs the command with the path of a rules file as one more argument, or in
//                                              place of `{rules}`; gives it one garment a line on standard input and takes
//                                              one answer a line, both JSON, in the same order
//     node conform.mjs --mutants               breaks reader.mjs in each way of mutants.json; each must fail a vector
//
//     node conform.mjs node answer.mjs
//
// Status 0: it conforms. 1: it does not. 2: it could not be tried. The command is started once for each set of rules.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, realpathSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

const FOLDER = path.dirname(fileURLToPath(import.meta.url));
const TOLERANCE = 1e-9;
const LISTED = 10;
const MOST_OUTPUT = 1024 * 1024 * 1024;

/** What keeps a reader from being tried, as opposed to what it answers wrongly. */
class Untried extends Error {}

// Vectors.

/** Names each place where two answers differ: numbers by more than 1e-9, all else at all. */
export function differences(expected, found, at = "") {
  if (typeof expected === "number" && typeof found === "number") {
    return Math.abs(expected - found) <= TOLERANCE ? [] : [`${at}: expected ${expected}, found ${found}`];
  }
  const isNested = [expected, found].every((one) => one !== null && typeof one === "object");
  if (!isNested || Array.isArray(expected) !== Array.isArray(found)) {
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
export function patched(rules, operations) {
  const copy = JSON.parse(JSON.stringify(rules));
  for (const { op, path: pointer, value } of operations) {
    if (op !== "add") throw new Untried(`the vectors use the operation \`${op}\`, and only \`add\` is known here`);
    const keys = pointer
      .split("/")
      .slice(1)
      .map((key) => key.replace(/~1/g, "/").replace(/~0/g, "~"));
    const last = keys.pop();
    const parent = keys.reduce((node, key) => node[key], copy);
    if (last === "-") parent.push(value);
    else parent[last] = value;
  }
  return copy;
}

/** The vectors by the rules they are for. */
export function groups(rules, cases) {
  const known = new Map();
  for (const one of cases) {
    const key = JSON.stringify(one.patch || null);
    if (!known.has(key)) known.set(key, { rules: one.patch ? patched(rules, one.patch) : rules, cases: [] });
    known.get(key).cases.push(one);
  }
  return [...known.values()];
}

/** Where an answer is wrong. The words for a listing may be left out. */
function wrong({ answer }, found) {
  if (found !== null && typeof found === "object" && "paragraph" in found) return differences(answer, found);
  const { paragraph, ...rest } = answer;
  return differences(rest, found);
}

// A command.

/** The answers of a command to the garments of a group, a value or an `Untried` for each. */
function answers(command, file, { rules, cases }) {
  writeFileSync(file, JSON.stringify(rules));
  const placed = command.map((part) => part.replaceAll("{rules}", file));
  const [program, ...rest] = command.some((part) => part.includes("{rules}")) ? placed : [...command, file];
  const input = cases.map(({ garment }) => JSON.stringify(garment) + "\n").join("");
  const run = spawnSync(program, rest, { input, encoding: "utf8", maxBuffer: MOST_OUTPUT });
  // A command that stops reading early is judged by what it answered.
  if (run.error && run.error.code !== "EPIPE") throw new Untried(`\`${program}\` cannot be run: ${run.error.message}`);
  const lines = run.stdout.split("\n").filter((line) => line.trim() !== "");
  if (lines.length !== cases.length) {
    const said = run.stderr.trim().split("\n")[0];
    const status = run.status === null ? run.signal : `status ${run.status}`;
    throw new Untried(
      `\`${program}\` gave ${lines.length} lines for ${cases.length} garments (${status})${said ? `: ${said}` : ""}`,
    );
  }
  return lines.map(parsed);
}

function parsed(line) {
  try {
    return JSON.parse(line);
  } catch {
    return `not JSON: ${line.slice(0, 80)}`;
  }
}

/** The vectors that a command answers wrongly, each with what it found. */
function failures(command, all) {
  const folder = mkdtempSync(path.join(tmpdir(), "conform-"));
  try {
    return all.flatMap((group) => {
      const found = answers(command, path.join(folder, "rules.json"), group);
      const judged = group.cases.map((one, at) => ({ one, group, found: found[at], wrong: wrong(one, found[at]) }));
      return judged.filter((each) => each.wrong.length > 0);
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
}

// Broken readers.

/** A fragment of code as a pattern: line breaks, indents and commas before a closing bracket do not matter. */
function pattern(fragment) {
  const tokens = fragment.match(/"[^"]*"|\w+|\S/g);
  const escaped = tokens.map((token) => token.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&"));
  return new RegExp(
    escaped.map((token, at) => (at > 0 && /^\\[)\]}]$/.test(token) ? ",?\\s*" : "") + token).join("\\s*"),
    "g",
  );
}

/** The text of a reader with all that a mutant replaces; each fragment must be there once. */
function broken(text, { name, find, put }) {
  return find.reduce((sofar, fragment, at) => {
    const matches = [...sofar.matchAll(pattern(fragment))];
    if (matches.length !== 1) {
      throw new Untried(`${name}: the reader holds \`${fragment}\` ${matches.length} times, not once`);
    }
    const [match] = matches;
    return sofar.slice(0, match.index) + put[at] + sofar.slice(match.index + match[0].length);
  }, text);
}

/** A reader from the text of its module. */
function loaded(text) {
  return import(`data:text/javascript;base64,${Buffer.from(text).toString("base64")}`);
}

/** A function that gives the answers of a module as JSON has them; nothing where it breaks down. */
function answering({ date, prepare }) {
  const known = new Map();
  return (rules, garment) => {
    try {
      if (!known.has(rules)) known.set(rules, (rules.requires || []).length > 0 ? rules : prepare(rules));
      return JSON.parse(JSON.stringify(date(known.get(rules), garment)));
    } catch {
      return null;
    }
  };
}

function withoutParagraph(answer) {
  const { paragraph, ...rest } = answer;
  return rest;
}

/** The first vector that a broken reader answers otherwise; one that breaks down answers nothing. */
function firstFailure(reader, all) {
  const answer = answering(reader);
  for (const { rules, cases } of all) {
    for (const one of cases) {
      const found = answer(rules, one.garment);
      if (found !== null && wrong(one, withoutParagraph(found)).length > 0) return one.name;
    }
  }
  return null;
}

/** Breaks the published reader in each known way, and says which of them no vector notices. */
async function mutants(text, list, all) {
  // Patched vectors first: they were made to notice.
  const ordered = [...all].sort((one, other) => Boolean(other.cases[0].patch) - Boolean(one.cases[0].patch));
  const problems = [];
  const whole = firstFailure(await loaded(text), ordered);
  if (whole) problems.push(`the reader itself fails: ${whole}`);
  for (const mutant of list) {
    const failure = firstFailure(await loaded(broken(text, mutant)), ordered);
    if (failure) console.log(`${mutant.name}: fails ${failure}`);
    else problems.push(`${mutant.name}: every vector lets it pass`);
  }
  problems.forEach((problem) => console.error(problem));
  console.log(`${list.length} broken readers, ${problems.length} problems`);
  return problems.length === 0 && list.length > 0 ? 0 : 1;
}

/** The known mistakes that give the same wrong answers to all vectors that failed. */
async function suspects(text, list, failed) {
  const found = [];
  for (const mutant of list) {
    const same = answering(await loaded(broken(text, mutant)));
    const isAlike = failed.every(({ one, group, found }) => {
      const answer = same(group.rules, one.garment);
      return answer !== null && found !== null && typeof found === "object" && wrong({ answer }, found).length === 0;
    });
    if (isAlike) found.push(mutant.name);
  }
  return found;
}

// The whole.

function read(name) {
  try {
    return readFileSync(path.join(FOLDER, name), "utf8");
  } catch (error) {
    throw new Untried(`${name} must lie beside conform.mjs: ${error.message}`);
  }
}

function kit() {
  const [rules, vectors, list] = ["rules.json", "vectors.json", "mutants.json"].map((name) => JSON.parse(read(name)));
  if (rules.knowledge_base !== vectors.knowledge_base) {
    throw new Untried("rules.json and vectors.json are of two builds; take both from one");
  }
  return { rules, vectors, mutants: list.mutants, all: groups(rules, vectors.cases) };
}

async function judge(command, { rules, vectors, mutants: list, all }) {
  const failed = failures(command, all);
  const count = vectors.cases.length;
  const version = `version ${rules.version} of ${rules.format}`;
  const state = `vectors of knowledge base ${vectors.knowledge_base}`;
  if (failed.length === 0 && count > 0) {
    console.log(`${count} of ${count} vectors: the reader conforms to ${version} (${state})`);
    return 0;
  }
  for (const { one, wrong } of failed.slice(0, LISTED)) {
    console.error(`${one.name}:\n  ${wrong.slice(0, 3).join("\n  ")}`);
  }
  if (failed.length > LISTED) console.error(`… and ${failed.length - LISTED} more`);
  for (const name of await suspects(read("reader.mjs"), list, failed)) {
    console.error(`these answers are those of a reader that ${name}`);
  }
  console.log(`${count - failed.length} of ${count} vectors: the reader does not conform to ${version} (${state})`);
  return 1;
}

async function main(given) {
  if (given.length === 0)
    throw new Untried("usage: node conform.mjs COMMAND [ARGUMENT…], or node conform.mjs --mutants");
  const known = kit();
  return given[0] === "--mutants" ? mutants(read("reader.mjs"), known.mutants, known.all) : judge(given, known);
}

if (process.argv[1] && realpathSync(process.argv[1]) === realpathSync(fileURLToPath(import.meta.url))) {
  main(process.argv.slice(2))
    .catch((error) => {
      console.error(error instanceof Untried ? error.message : error);
      return 2;
    })
    .then((status) => (process.exitCode = status));
}
