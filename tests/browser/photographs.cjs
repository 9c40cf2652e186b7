// Photographs in the rows of pages and the viewer over them: by mouse, finger and keys, on a phone and at a desk, and as
// plain links where no script runs.
//
// node photographs.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { fileURLToPath } = require("node:url");
const { faults } = require("./accessible.cjs");
const { opened, run } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const DESK = { width: 1280, height: 900 };
const PHONE = { width: 360, height: 740, hasTouch: true };
const COMPARISON = "compare/brackwold-tharn/sluice-118/standing-gate-men.underlode-men.html";
const PAGES = [
  COMPARISON,
  "makers/brackwold-tharn/sluice-118/standing-gate-men.html",
  "features/leg-seam.html",
  "makers/brackwold-tharn/sluice-118/standing-gate-men/march-64.html",
];
const LINKS = "a.to-photograph";

// The photographs of a page, each once, in order.
function photographs(made) {
  return made.$$eval(LINKS, (all) => [...new Set(all.map((one) => `${one.href} ${one.dataset.entryName}`))]);
}

// What the viewer shows, once its pictures are there.
async function shown(made) {
  await made.waitForFunction(() => {
    const all = [...document.querySelectorAll(".viewer[open] .viewed img")];
    return all.length > 0 && all.every((one) => one.complete && one.naturalWidth > 0);
  });
  return made.$eval(".viewer", (viewer) => ({
    place: viewer.querySelector("[role=status]").textContent,
    figures: [...viewer.querySelectorAll(".viewed figure")].map((figure) => ({
      says: figure.querySelector("figcaption").textContent,
      href: figure.querySelector("a").href,
      alt: figure.querySelector("img").alt,
      box: figure.querySelector("img").getBoundingClientRect().toJSON(),
    })),
  }));
}

async function closed(made) {
  await made.waitForFunction(() => !document.querySelector(".viewer[open]"));
}

function focusOf(made) {
  return made.evaluate((links) => [...document.querySelectorAll(links)].indexOf(document.activeElement), LINKS);
}

// A finger laid on the photograph and drawn sideways.
async function swipe(made, context, { right, down }) {
  const session = await context.newCDPSession(made);
  const box = await made.locator(".viewed").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + 60];
  const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
  await touch("touchStart", [{ x, y }]);
  for (const part of [0.25, 0.5, 0.75, 1]) await touch("touchMove", [{ x: x + part * right, y: y + part * down }]);
  await touch("touchEnd", []);
}

const tests = {
  "each page with photographs opens them large, says whose they are, and gives the focus back": async (browser) => {
    for (const size of [DESK, PHONE]) {
      for (const file of PAGES) {
        const { made, troubles } = await opened(browser, base, { path: file, ...size });
        const link = made.locator(LINKS).first();
        // A picture far below has no size before it is loaded.
        await link.evaluate((one) => one.scrollIntoView({ block: "center" }));
        const small = await link.locator("img").getAttribute("alt");
        assert.ok(small.length > 10, small);
        await (size.hasTouch ? link.tap() : link.click());
        const [first] = (await shown(made)).figures;
        assert.match(first.says, /Inside leg seam: felled/);
        assert.match(first.says, /Credit: drawn for the demonstration; licence: CC-BY-4\.0\./);
        assert.ok(fs.existsSync(fileURLToPath(first.href)), first.href);
        assert.ok(first.box.width > 0.8 * size.width - 300 && first.box.right <= size.width, JSON.stringify(first.box));
        await made.keyboard.press("Escape");
        await closed(made);
        assert.strictEqual(await focusOf(made), 0, "the focus is where it was");
        assert.deepStrictEqual(troubles, [], file);
        await made.close();
      }
    }
  },
  "a photograph opens from the row of its state among the details of a variant": async (browser) => {
    for (const size of [DESK, PHONE]) {
      const { made, troubles } = await opened(browser, base, { path: PAGES[1], ...size });
      const links = made.locator(`#state-leg-seam\\.felled-triple ${LINKS}`);
      assert.strictEqual(await links.count(), 2);
      const link = links.first();
      await link.evaluate((one) => one.scrollIntoView({ block: "center" }));
      await (size.hasTouch ? link.tap() : link.click());
      const [first] = (await shown(made)).figures;
      assert.match(first.says, /Inside leg seam: felled with three/);
      assert.deepStrictEqual(await faults(made), []);
      await made.keyboard.press("Escape");
      await closed(made);
      assert.deepStrictEqual(troubles, []);
      await made.close();
    }
  },
  "buttons and arrow keys go from one photograph to the next, and round": async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: COMPARISON, ...DESK });
    const count = (await photographs(made)).length;
    assert.ok(count >= 3, `${count} photographs`);
    await made.locator(LINKS).first().focus();
    await made.keyboard.press("Enter");
    const first = await shown(made);
    assert.strictEqual(first.place, `1 of ${count}`);
    await made.click(".viewer button:text('Next')");
    const second = await shown(made);
    assert.strictEqual(second.place, `2 of ${count}`);
    assert.notStrictEqual(second.figures[0].href, first.figures[0].href);
    await made.keyboard.press("ArrowLeft");
    await made.keyboard.press("ArrowLeft");
    assert.strictEqual((await shown(made)).place, `${count} of ${count}`);
    await made.keyboard.press("ArrowRight");
    assert.deepStrictEqual((await shown(made)).figures[0].href, first.figures[0].href);
    await made.click(".viewer button:text('Close')");
    await closed(made);
    assert.strictEqual(await focusOf(made), 0);
    // With a key held, the click is the browser's.
    await made
      .locator(LINKS)
      .first()
      .click({ modifiers: ["ControlOrMeta"] });
    assert.ok(!(await made.isVisible(".viewer")));
    assert.deepStrictEqual(troubles, []);
  },
  "a second photograph of the same feature stands beside it, on a phone below": async (browser) => {
    for (const size of [DESK, PHONE]) {
      const { made, troubles } = await opened(browser, base, { path: COMPARISON, ...size });
      await made.locator(LINKS).first().click();
      const [first] = (await shown(made)).figures;
      const other = made.locator(".strip-of-photographs button").last();
      const name = await other.locator("img").getAttribute("alt");
      await (size.hasTouch ? other.tap() : other.click());
      await made.waitForFunction(() => document.querySelectorAll(".viewed figure").length === 2);
      const { figures } = await shown(made);
      assert.strictEqual(figures[0].says, first.says);
      assert.ok(
        name.startsWith(figures[1].alt) && figures[1].says.startsWith("Inside leg seam: felled with two"),
        name,
      );
      const [one, two] = figures.map((figure) => figure.box);
      if (size.hasTouch) assert.ok(two.top >= one.bottom && Math.abs(two.left - one.left) < 2, "below");
      else assert.ok(two.left >= one.right && Math.abs(two.top - one.top) < 2, "beside");
      const pressed = () => made.$$eval(".strip-of-photographs [aria-pressed=true]", (all) => all.length);
      assert.strictEqual(await pressed(), 1);
      assert.ok(
        await made.evaluate(() => document.activeElement.matches(".strip-of-photographs button")),
        "focus stays",
      );
      assert.deepStrictEqual(await faults(made), []);
      await made.keyboard.press("Enter");
      await made.waitForFunction(() => document.querySelectorAll(".viewed figure").length === 1);
      assert.strictEqual(await pressed(), 0);
      assert.deepStrictEqual(await faults(made), []);
      assert.deepStrictEqual(troubles, []);
      await made.close();
    }
  },
  "a finger drawn sideways turns to the next, one drawn down does not": async (browser) => {
    const { made, troubles, context } = await opened(browser, base, { path: COMPARISON, ...PHONE });
    await made.locator(LINKS).first().tap();
    const count = (await photographs(made)).length;
    const at = async () => (await shown(made)).place;
    assert.strictEqual(await at(), `1 of ${count}`);
    await swipe(made, context, { right: -150, down: 10 });
    await made.waitForFunction(() => document.querySelector(".viewer [role=status]").textContent.startsWith("2 of"));
    await swipe(made, context, { right: 150, down: 10 });
    await made.waitForFunction(() => document.querySelector(".viewer [role=status]").textContent.startsWith("1 of"));
    await swipe(made, context, { right: -50, down: 150 });
    await swipe(made, context, { right: 20, down: 0 });
    assert.strictEqual(await at(), `1 of ${count}`);
    assert.deepStrictEqual(troubles, []);
  },
  "everything to tap is large enough": async (browser) => {
    for (const size of [DESK, PHONE]) {
      const { made } = await opened(browser, base, { path: COMPARISON, ...size });
      await made.locator(LINKS).first().click();
      await shown(made);
      const small = await made.$$eval(".thumbs a, .viewer button, .viewer a", (all) =>
        all
          .filter((one) => one.checkVisibility())
          .map((one) => [one.textContent || one.querySelector("img").alt, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < 24 || box.height < 24)
          .map(([name]) => name),
      );
      assert.deepStrictEqual(small, []);
      await made.close();
    }
  },
  "without scripts each photograph is a link to its widest picture": async (browser) => {
    for (const file of PAGES) {
      const context = await browser.newContext({ javaScriptEnabled: false, viewport: DESK });
      const made = await context.newPage();
      await made.goto(base + file);
      await made.locator(LINKS).first().click();
      await made.waitForURL(/\/photographs\/.*\.jpg$/);
      await context.close();
    }
  },
  "a dot with a square leads to an entry with a photograph of the feature": async (browser) => {
    const { made } = await opened(browser, base, { path: COMPARISON, ...DESK });
    const marked = await made.$$eval(".dots a.pictured", (all) =>
      all.map((one) => ({ href: one.href, says: one.getAttribute("aria-label"), row: one.closest("article").id })),
    );
    assert.ok(marked.length >= 3, `${marked.length} marked`);
    assert.match(await made.textContent(".facing .key"), /small square/);
    for (const { href, says, row } of marked) {
      assert.match(says, /with a photograph$/);
      const entry = fs.readFileSync(fileURLToPath(href), "utf8");
      const features = [...entry.matchAll(/data-features="([^"]*)"/g)].flatMap(([, all]) => all.split(" "));
      assert.ok(features.includes(row.replace(/^feature-/, "")), `${path.basename(href)} ${row}`);
    }
    const all = await made.$$eval(".dots a", (all) => all.length);
    assert.ok(all > 10 * marked.length, "most have none");
  },
  "people's own colours leave marks and frames in sight": async (browser) => {
    const context = await browser.newContext({ viewport: DESK, forcedColors: "active" });
    const made = await context.newPage();
    await made.goto(base + COMPARISON);
    const mark = await made.$eval(".dots a.pictured", (one) => {
      const { borderTopColor, borderTopWidth } = getComputedStyle(one.parentElement, "::after");
      return [borderTopColor !== getComputedStyle(document.body).backgroundColor, parseFloat(borderTopWidth) >= 1];
    });
    assert.deepStrictEqual(mark, [true, true]);
    await made.locator(LINKS).first().click();
    await shown(made);
    const frames = await made.$$eval(".viewer button", (all) =>
      all.map(
        (one) => getComputedStyle(one).borderTopColor !== getComputedStyle(one.closest("dialog")).backgroundColor,
      ),
    );
    assert.ok(frames.length > 2 && frames.every(Boolean));
  },
};

run(tests);
