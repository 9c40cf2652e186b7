// The field of search as a reader uses it: what is typed leads to a page, and what is not found is said in sight and to
// those who listen.
//
// node search.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { SIZES, opened, run } = require("./browser.cjs");
const { inFolder } = require("./files.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;

async function typed(made, text) {
  await made.fill("#find", "");
  await made.click("#find");
  await made.keyboard.type(text);
}

// Opens a page, and the field where a phone hides it.
async function start(browser, size) {
  const found = await opened(browser, base, { path: "makers/quillander.html", ...size });
  if (size.width < 600) await found.made.tap(".to-search a");
  return found;
}

const LEADS = [
  // Two words for one thing: common practice, no source.
  ["care tag", "features/care-label.html"],
  ["zipper teeth", "features/zip-metal.html"],
  ["seven belt loops", "features/belt-loops.html#shows-7"],
  ["standing gate and underlode", "compare/brackwold-tharn/line.standing-gate.underlode.html"],
  [
    "sluice, standing gate men’s vs underlode, men",
    "compare/brackwold-tharn/sluice-118/standing-gate-men.underlode-men.html",
  ],
];

const tests = {
  "counts and two names lead to their pages": async (browser) => {
    const { made, troubles } = await start(browser, SIZES[0]);
    for (const [text, page] of LEADS) {
      await typed(made, text);
      await made.waitForSelector("#found a");
      await made.keyboard.press("Enter");
      await made.waitForURL(base + page);
      assert.ok(fs.existsSync(path.join(site, page.split("#")[0])), page);
    }
    assert.deepStrictEqual(troubles, []);
  },
  "two names without a page of their own are put side by side": async (browser) => {
    const { made, troubles } = await start(browser, SIZES[0]);
    await typed(made, "standing gate and second bell");
    await made.waitForSelector("#found a");
    await made.keyboard.press("Enter");
    await made.waitForSelector("#beside table");
    const heads = await made.$$eval("#beside th[scope=col] a", (all) => all.map((one) => one.textContent));
    assert.deepStrictEqual(heads, ["the line Standing Gate", "the line Second Bell"]);
    assert.deepStrictEqual(troubles, []);
  },
  "what is not found is said in sight and aloud, with what to try": async (browser) => {
    for (const size of [SIZES[0], { width: 360, height: 740, hasTouch: true }]) {
      const { made, troubles, context } = await start(browser, size);
      await typed(made, "qwertyuiop");
      await made.waitForSelector("#found .nothing", { state: "visible" });
      const said = await made.textContent("#found .nothing");
      for (const word of ["“qwertyuiop”", "belt loops", "1960s", "A–Z"]) assert.ok(said.includes(word), said);
      assert.strictEqual(await made.textContent("[role=status].told"), said);
      assert.strictEqual(await made.getAttribute("#find", "aria-expanded"), "false");
      const box = await (await made.$("#found")).boundingBox();
      assert.ok(box.x >= 0 && box.x + box.width <= size.width, JSON.stringify(box));
      assert.deepStrictEqual(troubles, []);
      await context.close();
    }
  },
  "what is found stays within the window": async (browser) => {
    for (const size of [...SIZES, { width: 1000, height: 700, hasTouch: false }]) {
      const { made, context } = await start(browser, size);
      await typed(made, "sluice gate and underlode");
      await made.waitForSelector("#found a", { state: "visible" });
      const box = await (await made.$("#found")).boundingBox();
      assert.ok(box.x >= 0 && box.x + box.width <= size.width, `${size.width}: ${JSON.stringify(box)}`);
      await context.close();
    }
  },
  "what has only some of the words is not passed off as the answer": async (browser) => {
    const { made } = await start(browser, SIZES[0]);
    await typed(made, "hem qwertyuiop");
    await made.waitForSelector("#found .nothing", { state: "visible" });
    assert.match(await made.textContent("#found .nothing"), /Nothing is found by “qwertyuiop”.*most of them/);
    assert.match(await made.textContent("#found a"), /Hem stitch/);
    assert.match(await made.textContent("[role=status].told"), /most of them: [0-9]+ found/);
  },
  "an index that does not come is said in sight": async (browser) => {
    await inFolder(async (copy) => {
      for (const part of ["assets", "makers/quillander.html"])
        fs.cpSync(path.join(site, part), path.join(copy, part), { recursive: true });
      const { made } = await opened(browser, `file://${copy}/`, { path: "makers/quillander.html", ...SIZES[0] });
      await typed(made, "hem");
      await made.waitForSelector("#found .nothing", { state: "visible" });
      assert.match(await made.textContent("#found .nothing"), /could not be loaded; the A–Z/);
    });
  },
};

run(tests);
