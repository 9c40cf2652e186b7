// The scripts of the pages, for tests that run them under Node: the browser's reader, and what builds on it.
"use strict";

const path = require("path");

const SITE = path.join(__dirname, "..", "..", "site");
const { dating, record } = require(path.join(SITE, "scripts.json"));

/** The scripts of the page that records which read and say dates. */
const DATES = record.map((script) => path.basename(script, ".js")).filter((name) => name.startsWith("date-"));

/**
 * Runs the reader and then more scripts, by their names, in a world whose window is Node's own, and gives that world.
 * @param {string[]} names
 */
function load(...names) {
  globalThis.window = globalThis;
  for (const script of [...dating, ...names.map((name) => `assets/${name}.js`)]) require(path.join(SITE, script));
  return globalThis;
}

module.exports = { DATES, load };
