// Garment in hand and a comparison by keyboard alone: everything can be reached, seen and used without a pointer, and
// what was answered can be shared by its address.
//
// node hand.cjs SITE BARTACK
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const { spawnSync } = require("node:child_process");
const { opened: openedAt, page, run } = require("./browser.cjs");

const [site, bartack] = process.argv.slice(2);
const base = `file://${site}/`;
const MOST_STEPS = 400;

function opened(browser, path) {
  return openedAt(browser, base, { path, width: 360, height: 740 });
}

// Presses a key until the focus is where a test wants it; the focus must be visible at each step.
async function press(made, key, isThere) {
  for (let step = 0; step < MOST_STEPS; step += 1) {
    await made.keyboard.press(key);
    const seen = await made.evaluate(() => {
      const { activeElement: at } = document;
      const shown = at.matches("input[type=radio], input[type=checkbox]") ? at.nextElementSibling : at;
      const style = getComputedStyle(shown);
      return {
        id: at.id,
        text: at.textContent.trim(),
        name: at.tagName,
        isMarked: style.outlineStyle !== "none" || at === document.body,
      };
    });
    assert.ok(seen.isMarked, `the focus cannot be seen on ${JSON.stringify(seen)}`);
    if (isThere(seen)) return seen;
  }
  throw new Error(`not reached in ${MOST_STEPS} steps of ${key}`);
}

const tests = {
  "a garment is dated by keyboard alone": async (browser) => {
    const { made, troubles } = await opened(browser, "in-hand.html");
    await press(made, "Tab", (at) => at.id === "know-maker");
    await made.keyboard.press("ArrowDown");
    assert.strictEqual(
      await made.evaluate(() => document.activeElement.id),
      "know-maker",
      "the focus stays where it was",
    );
    await press(made, "Tab", (at) => at.name === "SUMMARY" && at.text.startsWith("hem"));
    await made.keyboard.press("Enter");
    await press(made, "Tab", (at) => at.id.startsWith("see-hem-"));
    await made.keyboard.press("ArrowDown");
    const hash = await made.evaluate(() => location.hash);
    assert.match(hash, /maker=[a-z-]+&hem=[a-z-]+/);
    const told = await made.textContent("#told");
    assert.ok(told.includes("%"), told);
    const figure = await made.getAttribute("#look-hem svg.figure", "aria-label");
    assert.match(figure, /drawn with Hem stitch/);
    // The answer's first link to a feature leads back to its question.
    await press(made, "Tab", (at) => at.name === "BUTTON" && at.text.length > 0 && at.text !== "Begin again");
    await made.keyboard.press("Enter");
    assert.match(await made.evaluate(() => document.activeElement.id), /^see-/);
    // The same address gives the same answer.
    const again = await opened(browser, "in-hand.html" + hash);
    assert.strictEqual(await again.made.textContent("#told"), told);
    assert.deepStrictEqual([...troubles, ...again.troubles], []);
  },
  "the kind is chosen from drawings, and a model says it by itself": async (browser) => {
    for (const path of ["in-hand.html", "garment.html"]) {
      const { made, troubles } = await opened(browser, path);
      const kinds = await made.$$eval("#kinds .kind", (all) => all.map((one) => one.textContent));
      assert.deepStrictEqual(kinds, ["jacket", "overalls", "shirt", "trousers", "another, or not known"]);
      assert.strictEqual(await made.locator("#kinds .kind svg.figure").count(), 4, "each kind is drawn");
      assert.strictEqual(await made.locator("#look-hem").count(), 1);
      await made.click("#kind-jacket");
      assert.match(await made.evaluate(() => location.hash), /garment=jacket/);
      assert.strictEqual(await made.locator("#look-hem").count(), 0, "a jacket is not asked for its legs");
      await made.focus("#kind-jacket");
      await made.keyboard.press("ArrowDown");
      assert.match(await made.evaluate(() => location.hash), /garment=overalls/);
      await made.click("#kind-none");
      assert.doesNotMatch(await made.evaluate(() => location.hash), /garment=/);
      await made.focus("#know-model");
      await made.keyboard.press("ArrowDown");
      await made.waitForSelector("#kinds", { state: "detached" });
      assert.deepStrictEqual(troubles, []);
    }
  },
  "a wrong count is said and not taken": async (browser) => {
    const { made } = await opened(browser, "in-hand.html#belt-loops=7");
    await made.fill("#see-belt-loops-value", "0");
    await made.keyboard.press("Tab");
    assert.match(await made.textContent("#see-belt-loops-value-problem"), /whole number/);
    assert.match(await made.evaluate(() => location.hash), /belt-loops=7/);
  },
  "the changes that support these years are those that the terminal names": async (browser) => {
    let count = 0;
    for (const garment of [
      { model: "brackwold-tharn/sluice-118", "main-thread": "cotton", pocketing: "sheeting" },
      { model: "brackwold-tharn/ossick-126", "main-thread": "core-spun", "watch-pocket": "absent" },
      { line: "brackwold-tharn/line:standing-gate", "main-thread": "cotton" },
      { maker: "brackwold-tharn", "main-thread": "cotton", hem: "chain-stitch" },
      { "main-thread": "cotton" },
    ]) {
      const { made, troubles } = await opened(browser, "in-hand.html#" + new URLSearchParams(garment));
      const said = await made.$$eval("section[aria-labelledby^=part-changes] li", (all) =>
        all.map((one) => one.textContent),
      );
      const known = ["maker", "model", "line"].filter((key) => garment[key]).map((key) => [`--${key}`, garment[key]]);
      const seen = Object.keys(garment).filter((key) => !["maker", "model", "line"].includes(key));
      const words = ["date", "--format", "json", ...known.flat(), ...seen.map((key) => `${key}=${garment[key]}`)];
      const { stdout } = spawnSync(bartack, words, { encoding: "utf8" });
      const sentences = JSON.parse(stdout).changes.map((one) => one.sentence);
      assert.deepStrictEqual(said.toSorted(), sentences.toSorted(), JSON.stringify(garment));
      assert.deepStrictEqual(troubles, []);
      count += said.length;
    }
    assert.ok(count >= 4, `${count} sentences`);
  },
  "where to look next comes after the rest, and is what the terminal names": async (browser) => {
    for (const path of ["in-hand.html", "garment.html"]) {
      const { made, troubles } = await opened(browser, path + "#model=brackwold-tharn%2Fsluice-118");
      const advice = async () => {
        await made.waitForSelector("#look-next section:not([aria-busy]) li");
        return made.$$eval("#look-next .jump", (all) => all.map((one) => one.textContent));
      };
      const first = await advice();
      assert.strictEqual(first.length, 3);
      // Another answer gives other advice, which leaves out what was looked at.
      await made.click("#look-next .jump");
      const taps = "fieldset:focus-within .tap:nth-child(2)";
      await made.click(taps);
      await made.waitForFunction((was) => !document.querySelector("#look-next").textContent.includes(was), first[0]);
      const [id, value] = (await made.evaluate(() => location.hash)).split("&").pop().split("=");
      const words = ["date", "--format", "json", "--model", "brackwold-tharn/sluice-118", `${id}=${value}`];
      const { stdout } = spawnSync(bartack, words, { encoding: "utf8" });
      const looks = JSON.parse(stdout).look_next.map((one) => one.look);
      await advice();
      const said = await made.$$eval("#look-next li", (all) => all.map((one) => one.textContent));
      assert.strictEqual(said.length, looks.length);
      for (const [at, look] of looks.entries()) assert.ok(said[at].endsWith(look), `${said[at]}: ${look}`);
      assert.deepStrictEqual(troubles, []);
    }
  },
  "what is printed at once has where to look next": async (browser) => {
    const { made, troubles } = await opened(browser, "in-hand.html#model=brackwold-tharn%2Fsluice-118");
    const found = await made.evaluate(() => {
      document.querySelector("input[type=radio]:not(:checked, [name=units])").click();
      const isBusy = document.querySelector("#look-next section").getAttribute("aria-busy");
      window.dispatchEvent(new Event("beforeprint"));
      return { isBusy, after: document.querySelector("#look-next section").getAttribute("aria-busy") };
    });
    assert.deepStrictEqual(found, { isBusy: "true", after: null });
    assert.deepStrictEqual(troubles, []);
  },
  // The names are those of the Unicode CLDR, by the codes of ISO 3166-1.
  "a market is named by its country": async (browser) => {
    const { made, troubles } = await opened(browser, "in-hand.html");
    const named = await made.$$eval("#know-market option", (all) =>
      all.map((one) => `${one.value} ${one.textContent}`),
    );
    assert.deepStrictEqual(named.slice(1), ["DE Germany", "GB United Kingdom", "JP Japan", "US United States"]);
    assert.deepStrictEqual(troubles, []);
  },
  "targets are large enough for a thumb": async (browser) => {
    const { made } = await opened(browser, "in-hand.html#hem=chain-stitch");
    const small = await made.evaluate(() =>
      [
        ...document.querySelectorAll(
          "#hand .tap, #hand select, #hand summary, #hand input[type=text], #hand .act:not(a)",
        ),
      ]
        .filter((one) => one.checkVisibility())
        .map((one) => [one.textContent.slice(0, 20), one.getBoundingClientRect().height])
        .filter(([, height]) => height < 44),
    );
    assert.deepStrictEqual(small, []);
  },
  "the dots of each feature are one stop, and arrow keys lead to every one of them": async (browser) => {
    for (const path of [await comparison(browser), await comparison(browser, "line")]) {
      const { made, troubles } = await opened(browser, path);
      const counts = await made.evaluate(() => {
        const rows = [...document.querySelectorAll(".beside, .over-models")].filter((row) =>
          row.querySelector(".dots a"),
        );
        const stops = rows.map((row) => row.querySelectorAll(".dots a:not([tabindex='-1'])").length);
        return { stops, dots: document.querySelectorAll(".dots a").length };
      });
      assert.ok(counts.dots > 40 && counts.dots > 2 * counts.stops.length, JSON.stringify(counts));
      assert.ok(
        counts.stops.every((one) => one === 1),
        `${path}: ${counts.stops}`,
      );
      const id = await made.evaluate(() => {
        const rows = [...document.querySelectorAll(".beside, .over-models")];
        const row = rows.find(
          (one) => one.querySelectorAll(".dots").length > 1 && one.querySelectorAll(".dots a").length > 4,
        );
        row.querySelector(".dots a[tabindex='0']").focus();
        return row.id;
      });
      const dots = await made.$$eval(`[id="${id}"] .dots a`, (all) => all.map((one) => one.href));
      const at = () =>
        made.evaluate((row) => {
          const all = [...document.getElementById(row).querySelectorAll(".dots a")];
          return all.indexOf(document.activeElement);
        }, id);
      for (let step = 1; step < dots.length; step += 1) {
        await made.keyboard.press("ArrowRight");
        assert.strictEqual(await at(), step);
      }
      await made.keyboard.press("ArrowRight");
      assert.strictEqual(await at(), dots.length - 1, "there is none behind the last");
      await made.keyboard.press("ControlOrMeta+Home");
      assert.strictEqual(await at(), 0);
      await made.keyboard.press("ArrowDown");
      const below = await at();
      assert.ok(below > 0, "the next line");
      await made.keyboard.press("ArrowUp");
      assert.strictEqual(await at(), 0);
      // The place is kept, and Tab leads past the rest.
      await made.keyboard.press("End");
      await made.keyboard.press("Tab");
      assert.strictEqual(await at(), -1);
      await made.keyboard.press("Shift+Tab");
      assert.ok((await at()) >= 0);
      const [href, now] = [dots[await at()], await made.evaluate(() => document.activeElement.href)];
      assert.strictEqual(href, now);
      await made.keyboard.press("Enter");
      await made.waitForURL(href);
      assert.deepStrictEqual(troubles, []);
    }
    const context = await browser.newContext({ javaScriptEnabled: false });
    const { made } = await page(context, base);
    await made.goto(base + (await comparison(browser)));
    assert.strictEqual(await made.locator(".dots a[tabindex]").count(), 0, "without scripts each is a link");
    const lost = await made.$$eval(
      ".dots a",
      (dots) =>
        dots.filter((dot) => !document.getElementById(dot.hash.slice(1))?.matches(".behind li:has(a[href])")).length,
    );
    assert.strictEqual(lost, 0, "to the list of garments");
    const dot = made.locator(".dots a").first();
    assert.match(await dot.innerText(), /^[0-9]+/, "with its number in sight");
    await dot.click();
    await made.click(".behind li:target a");
    await made.waitForURL(/makers\/.*\/.*\/.*\.html$/);
    // With scripts each has the name of its garment, and no other.
    const named = await opened(browser, await comparison(browser));
    const wrong = await named.made.$$eval(".dots a", (dots) => {
      const entries = new Map([...document.querySelectorAll(".behind a")].map((one) => [one.href, one.textContent]));
      return dots.filter((dot) => !dot.getAttribute("aria-label").startsWith(entries.get(dot.href))).length;
    });
    assert.strictEqual(wrong, 0);
  },
  "a comparison is read by keyboard alone": async (browser) => {
    const path = await comparison(browser);
    const { made, troubles } = await opened(browser, path);
    await press(made, "Tab", (at) => at.name === "A" && at.text === "Skip to the text");
    await made.keyboard.press("Enter");
    assert.strictEqual(await made.evaluate(() => document.activeElement.id), "main");
    await press(made, "Tab", (at) => at.name === "SUMMARY");
    const before = await made.evaluate(() => document.activeElement.parentElement.open);
    await made.keyboard.press("Enter");
    assert.notStrictEqual(await made.evaluate(() => document.activeElement.parentElement.open), before);
    assert.deepStrictEqual(troubles, []);
  },
};

// The first comparison that a model's page leads to, or one of two lines.
async function comparison(browser, of) {
  if (of) {
    const all = fs.readdirSync(`${site}/compare`, { recursive: true }).sort();
    return `compare/${all.find(
      (one) =>
        one
          .split("/")
          .pop()
          .startsWith(of + ".") && one.endsWith(".html"),
    )}`;
  }
  const { made } = await opened(browser, "index.html");
  const models = await made.$$eval("a[href^='makers/']", (links) =>
    links.map((link) => link.getAttribute("href")).filter((href) => href.split("/").length === 3),
  );
  await made.goto(base + models[0]);
  const link = await made.$eval("a[href*='compare/']", (found) => found.href);
  return link.replace(base, "");
}

run(tests);
