// More pages of the preview open at once than a browser opens connections to a server: the next one still loads, and a
// save reaches all of them.
//
// node preview.cjs ADDRESS FOLDER: where the preview server runs, and the knowledge base that it shows.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { run } = require("./browser.cjs");

const [address, folder] = process.argv.slice(2);
const PAGES = 9;
// A bound on hanging, not on speed.
const PATIENCE = { timeout: 300000 };

run({
  async "a ninth page loads while eight are open, and a save reloads them all"(browser) {
    const context = await browser.newContext();
    const pages = [];
    for (let number = 0; number < PAGES; number += 1) {
      const page = await context.newPage();
      await page.goto(address, { ...PATIENCE, waitUntil: "load" });
      assert.strictEqual(await page.evaluate(() => document.hidden), false, "each counts as seen");
      pages.push(page);
    }
    const build = () => document.querySelector("script[data-build]").dataset.build;
    // While a page loads anew, the script that names its build may not be there yet.
    const isOther = (old) => {
      const script = document.querySelector("script[data-build]");
      return script !== null && script.dataset.build !== old;
    };
    const shown = await pages[0].evaluate(build);
    const about = path.join(folder, "entries", "about.md");
    fs.appendFileSync(about, "\nOne more sentence.\n");
    for (const page of pages) {
      await page.waitForFunction(isOther, shown, PATIENCE);
    }
    // Whoever listened for all is closed; another takes its turn.
    await pages.shift().close();
    const next = await pages[0].evaluate(build);
    fs.appendFileSync(about, "\nAnd another.\n");
    for (const page of pages) {
      await page.waitForFunction(isOther, next, PATIENCE);
    }
    await context.close();
  },
});
