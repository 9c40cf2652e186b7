// The parts of the browser's reader, for tests that run it under Node.
"use strict";

const fs = require("fs");
const path = require("path");

const SITE = path.join(__dirname, "..", "..", "site");

/** The scripts of the reader, in the order in which a page loads them: name and text. */
function parts() {
  const { dating } = JSON.parse(fs.readFileSync(path.join(SITE, "scripts.json"), "utf8"));
  return dating.map((script) => ({
    name: path.basename(script, ".js"),
    text: fs.readFileSync(path.join(SITE, script), "utf8"),
  }));
}

module.exports = { parts };
