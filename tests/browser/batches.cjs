// A variant with two thousand garments: its page is short, an address of a garment in a folded part opens that part, and
// what is printed is whole.
//
// node batches.cjs BARTACK: builds a knowledge base of tests/bench/generate.py. SITE=FOLDER takes a site that is built.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { execFileSync } = require("node:child_process");
const { opened, run } = require("./browser.cjs");

const [bartack] = process.argv.slice(2);
const PHONE = { width: 360, height: 740, hasTouch: true };
const ROWS = 2000;
const MOST_HIGH = 20_000;

function built() {
  if (process.env.SITE) return process.env.SITE;
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "batches-"));
  process.on("exit", () => fs.rmSync(folder, { recursive: true }));
  const generate = path.join(__dirname, "..", "bench", "generate.py");
  const size = ["--observations", ROWS, "--garments", ROWS, "--seed", 1].map(String);
  execFileSync("python3", [generate, ...size, "--out", path.join(folder, "base")]);
  execFileSync(bartack, ["--root", path.join(folder, "base"), "build", "--out", path.join(folder, "site")], {
    stdio: "ignore",
  });
  return path.join(folder, "site");
}

const site = built();

// The page of the one variant, the only one whose table has parts.
function pageOfVariant() {
  const found = fs
    .readdirSync(path.join(site, "makers"), { recursive: true, encoding: "utf8" })
    .filter((file) => file.endsWith(".html"))
    .filter((file) => fs.readFileSync(path.join(site, "makers", file), "utf8").includes('<tr id="entry-'));
  const largest = found.sort((one, other) => one.length - other.length)[0];
  return "makers/" + largest.split(path.sep).join("/");
}

const variant = pageOfVariant();

async function idIn(made, part) {
  return made.evaluate(
    (number) => document.querySelectorAll(".batch")[number - 1].querySelectorAll("tr[id]")[50].id,
    part,
  );
}

async function isInSight(made, id) {
  await made.waitForFunction((own) => {
    const box = document.getElementById(own).getBoundingClientRect();
    return box.height > 0 && box.top >= -1 && box.bottom <= innerHeight + 1;
  }, id);
}

const tests = {
  "the page is short, and each part says what it holds": async (browser) => {
    const { made, troubles } = await opened(browser, `file://${site}/`, { path: variant, ...PHONE });
    const high = await made.evaluate(() => document.documentElement.scrollHeight);
    assert.ok(high < MOST_HIGH, `${high} px high`);
    assert.strictEqual(await made.locator("tr[id^=entry-]").count(), ROWS);
    const said = await made.$$eval(".batch > summary", (all) => all.map((one) => one.textContent));
    assert.strictEqual(said.length, ROWS / 100);
    assert.match(said[14], /^1401–1500, /);
    assert.strictEqual(await made.locator(".batch[open]").count(), 1);
    assert.deepStrictEqual(troubles, []);
  },
  "an address of a garment in the fifteenth part opens that part alone and leads to it": async (browser) => {
    for (const javaScriptEnabled of [true, false]) {
      const { made } = await opened(browser, `file://${site}/`, { path: variant, ...PHONE });
      const id = await idIn(made, 15);
      const context = await browser.newContext({ viewport: PHONE, javaScriptEnabled });
      const page = await context.newPage();
      await page.goto(`file://${site}/${variant}#${id}`);
      await page.waitForSelector(`[id="${id}"]`, { state: "visible" });
      if (javaScriptEnabled) await isInSight(page, id);
      const open = await page.locator(".batch[open]").count();
      assert.strictEqual(open, 2, `scripts ${javaScriptEnabled}`);
      await context.close();
    }
  },
  "a link on the page itself opens it too": async (browser) => {
    const { made } = await opened(browser, `file://${site}/`, { path: variant, ...PHONE });
    const id = await idIn(made, 3);
    await made.evaluate((own) => {
      const link = document.createElement("a");
      link.href = "#" + own;
      link.id = "to-it";
      link.textContent = "to it";
      document.querySelector("h1").after(link);
    }, id);
    await made.tap("#to-it");
    await isInSight(made, id);
  },
  "a part is opened by keyboard": async (browser) => {
    const { made } = await opened(browser, `file://${site}/`, { path: variant, width: 1280, height: 900 });
    await made.focus(".batch:nth-of-type(2) > summary");
    await made.keyboard.press("Enter");
    assert.strictEqual(await made.locator(".batch[open]").count(), 2);
  },
  "all parts are printed, and fold again": async (browser) => {
    const { made } = await opened(browser, `file://${site}/`, { path: variant, width: 1280, height: 900 });
    const open = () => made.locator(".batch[open]").count();
    await made.evaluate(() => {
      window.addEventListener("beforeprint", () => {
        document.body.dataset.printed = String(document.querySelectorAll(".batch[open]").length);
      });
    });
    await made.pdf();
    await made.waitForFunction(() => document.body.dataset.printed !== undefined);
    assert.strictEqual(await made.getAttribute("body", "data-printed"), String(ROWS / 100));
    await made.waitForFunction(() => document.querySelectorAll(".batch[open]").length === 1);
    assert.strictEqual(await open(), 1);
  },
};

run(tests);
