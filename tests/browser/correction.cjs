// What the tests of corrections share: a copy of the demo with entries as people leave them, the way from the page of an
// observation to the form that corrects it, and the program that takes what was handed in.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { opened, SIZES } = require("./browser.cjs");
const { inFolder, runProgram } = require("./files.cjs");

// A copy of the demo, where its site is built, the program.
const [copy, site, bartack] = process.argv.slice(2);
const base = `file://${site}/`;
const PHONE = SIZES[2];
const FOLDER = "makers/brackwold-tharn/sluice-118/standing-gate-men";
const ENTRY = `${FOLDER}/big-feb-74`;
const OTHER = "makers/brackwold-tharn/harrowcoat-204/standing-gate-men/aug-67";
const PICTURED = `${FOLDER}/march-64`;
const LONG = `${FOLDER}/jar-june-72`;
const at = (name) => path.join(copy, "entries", `${name}.md`);
const textOf = (name) => fs.readFileSync(at(name), "utf8");

// Comments, odd blanks and quotation marks, as people leave them.
function scribble() {
  const text = textOf(ENTRY)
    .replace("+++\n", "+++\n# Kept in the drawer.\n")
    .replace('hem = "chain-stitch"', "hem   =   'chain-stitch'  # by daylight")
    .replace("[[claims]]", "# His father's words:\n[[claims]]");
  fs.writeFileSync(at(ENTRY), text);
  const words = "no end of words ".repeat(1400);
  const long = `\n[[claims]]\nevent = "attested"\nwhen = "1972"\nas-written = "${words}"\nsources = ["jar"]\n`;
  const source = '\n[[source]]\nid = "jar"\ncitation = "A slip of paper in the jar"\nkind = "recollection"\n+++\nCare';
  fs.writeFileSync(
    at(LONG),
    textOf(LONG).replace("+++\nCare", () => `${long}${source}`),
  );
}

function bartackRan(...words) {
  return runProgram(bartack, copy, ...words);
}

// Builds the site of the copy.
function build() {
  scribble();
  const built = bartackRan("build", "--out", site);
  assert.strictEqual(built.status, 0, built.told);
}

const headOf = (made) => made.textContent("#correcting");
const handedIn = (made) => made.inputValue("#entry");

// From the page of an observation to the form, as a finger goes.
async function correct(made, name) {
  await made.goto(`${base}${name}.html`);
  await made.tap("text=Correct this");
  await made.waitForSelector("#correcting");
}

async function corrected(browser, name) {
  const { made, troubles, context } = await opened(browser, base, { path: `${name}.html`, ...PHONE });
  await made.tap("text=Correct this");
  await made.waitForSelector("#correcting");
  return { made, troubles, context };
}

// Chooses another state by the keyboard alone.
async function press(made, id, key) {
  await made.focus(`[id="${id}"]`);
  await made.keyboard.press(key);
}

// Opens a part of the form by keyboard.
async function unfold(made, name) {
  const isOpen = await made.evaluate((id) => document.getElementById(id).open, `items-${name}`);
  if (isOpen) return;
  await made.focus(`#items-${name} > summary`);
  await made.keyboard.press("Enter");
}

// Writes over what a field holds, by keyboard, letter by letter, and goes on to the next field.
async function keyed(made, id, text) {
  await made.focus(`[id="${id}"]`);
  await made.keyboard.press("ControlOrMeta+A");
  await made.keyboard.type(text);
  await made.keyboard.press("Tab");
}

// Gives a correction to the program, which may write.
function imported(text) {
  return inFolder((folder) => {
    const file = path.join(folder, "handed.md");
    fs.writeFileSync(file, text);
    return bartackRan("import", file, "--write");
  });
}

module.exports = {
  ...{ site, base, PHONE, ENTRY, OTHER, PICTURED, LONG, at, textOf, bartackRan, build },
  ...{ headOf, handedIn, correct, corrected, press, unfold, keyed, imported },
};
