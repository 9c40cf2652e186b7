// Folders of the browser tests: what lies in them, copies that are thrown away, and the program run on a knowledge base.
"use strict";

const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { spawnSync } = require("node:child_process");

// Every file in a folder and in those below it.
function below(folder) {
  return fs.readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const at = path.join(folder, entry.name);
    return entry.isDirectory() ? below(at) : [at];
  });
}

// Gives a test an empty folder, which is gone when the test ends.
async function inFolder(test) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "browser-"));
  try {
    return await test(folder);
  } finally {
    fs.rmSync(folder, { recursive: true });
  }
}

// Runs the program on a knowledge base; says how it ended and everything it printed.
function runProgram(bartack, root, ...words) {
  const { status, stdout, stderr } = spawnSync(bartack, ["--root", root, ...words], { maxBuffer: 1 << 28 });
  return { status, told: `${stdout}${stderr}`, stdout: stdout.toString() };
}

module.exports = { below, inFolder, runProgram };
