// The drawings beside the questions: whatever is tapped, no mark of the feature lies outside the part that is shown, and
// the piece of cloth that it is on is seen whole.
//
// node drawn.cjs SITE
"use strict";

const assert = require("node:assert");
const { SIZES, opened, run } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const KINDS = ["trousers", "jacket", "overalls", "shirt"];
const WITH_WORDS = [
  "compare/brackwold-tharn/sluice-118/standing-gate-men.underlode-men.html",
  "compare/brackwold-tharn/line.standing-gate.underlode.html",
  "makers/brackwold-tharn/sluice-118/standing-gate-men.html",
  "lines/brackwold-tharn/standing-gate.html",
  "features/origin.html",
  "features/leg-seam.html",
];
// A fraction of a pixel is lost where a part of a drawing is rounded to tenths of its units.
const NEAR = 1;

// What lies outside the drawing of a feature: its marks, and for a garment or a lens the cloth below them.
function cut(field, near) {
  const drawing = field.querySelector(".sketch svg");
  if (!drawing) return null;
  const frame = drawing.getBoundingClientRect();
  const isOutside = (/** @type {Element} */ part) => {
    const box = part.getBoundingClientRect();
    return (
      box.left < frame.left - near ||
      box.right > frame.right + near ||
      box.top < frame.top - near ||
      box.bottom > frame.bottom + near
    );
  };
  // What a lens clips is seen within the lens alone, which is looked at as cloth.
  const marks = [...drawing.querySelectorAll(".meant")];
  const isClipped = (/** @type {Element} */ part) => part.closest("[clip-path]") !== null;
  const middle = (/** @type {Element} */ part) => {
    const box = part.getBoundingClientRect();
    return [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  };
  const holds = (/** @type {Element} */ shape, [x, y]) => {
    const box = shape.getBoundingClientRect();
    return box.left <= x && x <= box.right && box.top <= y && y <= box.bottom;
  };
  const shapes = [...drawing.querySelectorAll(".cloth:is(path, circle), .cloth :is(path, circle)")];
  const cloth = shapes.filter((shape) => !isClipped(shape) && marks.some((mark) => holds(shape, middle(mark))));
  return {
    marks: marks.filter((mark) => !isClipped(mark) && isOutside(mark)).map((mark) => mark.outerHTML.slice(0, 120)),
    cloth: cloth.filter(isOutside).map((shape) => shape.outerHTML.slice(0, 120)),
    seen: marks.length,
  };
}

async function look(field, found) {
  const told = await field.evaluate(cut, NEAR);
  if (!told) return;
  const id = await field.getAttribute("id");
  if (told.seen > 0) found.drawn.add(id);
  found.cut.push(...[...told.marks, ...told.cloth].map((part) => `${id}: ${part}`));
}

async function walk(browser, kind, { taps, ...size }) {
  const { made, troubles, context } = await opened(browser, `file://${site}/`, {
    path: `in-hand.html#garment=${kind}`,
    ...size,
  });
  const found = { drawn: new Set(), cut: [] };
  await made.waitForSelector("details.zone");
  for (const zone of await made.$$("details.zone:not([open]) > summary")) await zone.click();
  await made.waitForFunction(() =>
    [...document.querySelectorAll("details.zone")].every((zone) => zone.querySelector("fieldset")),
  );
  await made.waitForSelector("#look-hem-depth svg, #look-label-make svg");
  const ids = await made.$$eval("fieldset[data-feature]", (all) => all.map((field) => field.id));
  for (const id of ids) {
    // Found anew each time: a tap may paint what stands beside it again.
    const field = made.locator(`[id="${id}"]`);
    await look(field, found);
    // A radio button lies over its word, and a tap draws the state at once.
    for (let tap = 0; taps && tap < (await field.locator(".tap input").count()); tap += 1) {
      await field.locator(".tap input").nth(tap).click();
      await look(field, found);
    }
  }
  assert.deepStrictEqual(troubles, []);
  await context.close();
  return found;
}

const tests = {
  "no mark and no cloth is cut off, in any state, on a desk and on a phone": async (browser) => {
    const phone = { width: 360, height: 740, hasTouch: true };
    for (const [kinds, size] of [
      [KINDS, { ...phone, taps: false }],
      [KINDS.slice(0, 1), { ...SIZES[0], taps: true }],
    ]) {
      for (const kind of kinds) {
        const { drawn, cut } = await walk(browser, kind, size);
        assert.ok(drawn.size > 15, `${kind}: ${drawn.size} features drawn`);
        assert.deepStrictEqual([...new Set(cut)], [], `${kind} at ${size.width}`);
      }
    }
  },
  "words in the drawings of pages are at least 11 pixels high, and no page becomes wider for it": async (browser) => {
    for (const width of [360, 768, 1280]) {
      for (const file of WITH_WORDS) {
        const { made, context } = await opened(browser, `file://${site}/`, { path: file, width, height: 900 });
        const found = await made.$$eval("svg.figure text", (all) =>
          all
            .filter((one) => one.textContent.trim() && !one.closest(".callout") && one.getBBox().width > 0)
            .map((one) => [one.textContent, parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a]),
        );
        assert.ok(found.length > 0, file);
        const small = found.filter(([, height]) => height < 11).map(([words, height]) => `${words}: ${height}`);
        assert.deepStrictEqual(small, [], `${file} at ${width}`);
        assert.strictEqual(await made.evaluate(() => document.documentElement.scrollWidth - innerWidth), 0, file);
        await context.close();
      }
    }
  },
};

run(tests);
