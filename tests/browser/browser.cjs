// The browser of these tests: Chromium on pages of our own, with whatever goes wrong on a page kept for the test to see.
"use strict";

const fs = require("node:fs");
const path = require("node:path");
const { spawnSync } = require("node:child_process");
const { chromium } = require("playwright-core");

const NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

// How long anything may take before it counts as never coming: no machine is so slow, however busy.
const PATIENCE = 300000;

function find() {
  return NAMES.find((name) => spawnSync(name, ["--version"]).status === 0);
}

// Opens the browser, gives it to a test, and closes it whatever happens.
async function open(test) {
  const name = find();
  if (!name) throw new Error("no Chromium");
  const executablePath = spawnSync("which", [name]).stdout.toString().trim();
  // The pages are our own, so the sandbox, which a root user cannot have, is left out. A container's shared memory may be
  // too small for nine pages.
  const args = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"];
  const browser = await chromium.launch({ executablePath, args, timeout: PATIENCE });
  const began = browser.newContext.bind(browser);
  browser.newContext = async (options) => {
    const context = await began(options);
    context.setDefaultTimeout(PATIENCE);
    return context;
  };
  try {
    await test(browser);
  } finally {
    await browser.close();
  }
}

// The widths at which a page is used, and with what.
const SIZES = [
  { width: 1280, height: 900, hasTouch: false },
  { width: 768, height: 1024, hasTouch: false },
  { width: 390, height: 844, hasTouch: true },
];

// A page that asks about a garment is ready when its questions stand there: `garment.html` unpacks its rules first.
async function asks(made) {
  const isAsking = () => !document.querySelector(".asking") || document.querySelector(".asking :is(input, select)");
  await made.waitForFunction(isAsking);
}

// Opens a page of a site in a browser of its own that keeps nothing from before.
async function opened(browser, base, { path, width, height, hasTouch = false }) {
  const context = await browser.newContext({ viewport: { width, height }, hasTouch, isMobile: hasTouch });
  const { made, troubles } = await page(context, base);
  await made.goto(base + path);
  await asks(made);
  return { made, troubles, context };
}

// A page that notes errors, dialogs and requests to any other place than its own.
async function page(context, own) {
  const made = await context.newPage();
  const troubles = [];
  made.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) troubles.push(`console: ${message.text()}`);
  });
  made.on("pageerror", (error) => troubles.push(`script: ${error.message}`));
  made.on("dialog", (dialog) => {
    troubles.push(`dialog: ${dialog.message()}`);
    dialog.dismiss();
  });
  made.on("request", (request) => {
    if (!/^(data|blob):/.test(request.url()) && !request.url().startsWith(own))
      troubles.push(`request: ${request.url()}`);
  });
  return { made, troubles };
}

// Chooses an option of a field by its number, as a hand on the keyboard would.
async function choose(made, id, number) {
  await made.click(`[id="${id}"]`);
  await made.keyboard.press("Home");
  for (let step = 0; step < number; step += 1) await made.keyboard.press("ArrowDown");
  await made.keyboard.press("Enter");
}

// Writes a text over what a field holds; it comes in one piece, as from a keyboard that knows whole words.
async function write(made, id, text) {
  await made.click(`[id="${id}"]`);
  await made.keyboard.press("ControlOrMeta+A");
  if (text === "") await made.keyboard.press("Delete");
  else await made.keyboard.insertText(text);
}

// Writes a text over what a field holds, and goes on to the next field.
async function typed(made, id, text) {
  await write(made, id, text);
  await made.keyboard.press("Tab");
}

// Runs the tests of a file one after the other and ends with 1 where one failed. ONLY=WORDS runs those whose names hold
// these words.
async function run(tests) {
  let failed = 0;
  await open(async (browser) => {
    for (const [name, test] of Object.entries(tests).filter(([name]) => name.includes(process.env.ONLY || ""))) {
      const start = Date.now();
      try {
        await test(browser);
        console.log(`ok   ${name} (${((Date.now() - start) / 1000).toFixed(1)} s)`);
      } catch (error) {
        failed += 1;
        console.log(`FAIL ${name}\n${error.stack}`);
      }
    }
  });
  process.exitCode = failed > 0 ? 1 : 0;
}

// Notes how often something was tried, where tests/run asks for it: tests/README.md says the same numbers.
function tried(what, count) {
  const folder = process.env.BARTACK_TRIED;
  if (folder) fs.writeFileSync(path.join(folder, what.replaceAll(" ", "-")), `| ${what} | ${count} |\n`);
}

module.exports = { SIZES, asks, choose, opened, page, run, tried, typed, write };
