// The page that records, by mouse and touch: whatever kind of field comes after which, what was typed stays, and the next
// click or tap does at the first try what it should.
//
// node typing.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const { isDeepStrictEqual } = require("node:util");
const { opened, run, SIZES } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const GARMENT = "#variant=brackwold-tharn%2Fsluice-118%2Funderlode-men&hem=chain-stitch&belt-loops=7";
// The part of a page that is opened and closed.
const PART = "details:has(#look-bar-code)";
const MOST_WAITS = 100;
// Chromium drops keys that come sooner after a tap, on any page, with or without scripts: no hand is as fast.
const FROM_TAP_TO_KEYS = 500;
// What of the entry holds word for word what was typed.
const WORD_FOR_WORD = ["#tell-observer", "#tell-madeNote", "#special-hem-note", "#tell-body", "#made-first"];

// Every kind after every other and after itself: a de Bruijn sequence of order 2, closed to a ring.
function everyPair(kinds) {
  const ring = kinds.flatMap((one, at) => [one, ...kinds.slice(at + 1).flatMap((other) => [one, other])]);
  return [...ring, ring[0]];
}

// What somebody sees of fields.
function allHeld(made, selectors) {
  return made.evaluate((all) => {
    const one = (field) => (field.type === "checkbox" ? field.checked : (field.open ?? field.value));
    return Object.fromEntries(all.map((selector) => [selector, one(document.querySelector(selector))]));
  }, selectors);
}

// A tap reaches the page a moment after it was made, so what it does is waited for; nothing is tapped twice.
async function settled(made, wanted, message) {
  for (let wait = 0; wait < MOST_WAITS; wait += 1) {
    if (isDeepStrictEqual(await allHeld(made, Object.keys(wanted)), wanted)) return;
    await made.waitForTimeout(50);
  }
  assert.deepStrictEqual(await allHeld(made, Object.keys(wanted)), wanted, message);
}

async function held(made, selector) {
  return (await allHeld(made, [selector]))[selector];
}

// Kinds that are typed into: each time another field, and another text.
function typing(made, press) {
  let count = 0;
  const typed = (selectors, words) => async () => {
    count += 1;
    const selector = selectors[count % selectors.length];
    await press(selector);
    await made.waitForFunction((one) => document.activeElement.matches(one), selector);
    await made.keyboard.press("ControlOrMeta+A");
    await made.keyboard.type(words(count));
    return { [selector]: words(count) };
  };
  return {
    text: typed(["#tell-observer", "#tell-madeNote"], (number) => `word ${number}`),
    // Where it is empty, the question below it goes.
    citation: typed(["#tell-ownCitation"], (number) => (number % 2 ? `book ${number}` : " ")),
    note: typed(["#special-hem-note", "#special-belt-loops-note"], (number) => `seen ${number}`),
    words: typed(["#tell-body"], (number) => `whole story ${number}`),
    // Some of them are no year, which is said below the field.
    year: typed(["#made-first"], (number) => (number % 3 ? String(1960 + (number % 20)) : "196")),
    measure: typed(["#see-hem-depth-value"], (number) => String(10 + (number % 9))),
    wrong: typed(["#see-leg-opening-value"], (number) => `9${number}99`),
    count: typed(["#see-belt-loops-value"], (number) => String(4 + (number % 5))),
  };
}

// Kinds that are tapped.
function tapping(made, press) {
  let count = 0;
  const next = (selectors) => selectors[(count += 1) % selectors.length];
  return {
    async choice() {
      const selector = next(["#tell-placedBy", "#tell-madeBy"]);
      const before = await held(made, selector);
      await press(selector);
      await made.waitForFunction((one) => document.activeElement.matches(one), selector);
      await made.keyboard.press(before === "" ? "ArrowDown" : "Home");
      await made.keyboard.press("Enter");
      const now = await held(made, selector);
      assert.notStrictEqual(now, before, `nothing could be chosen from ${selector}`);
      return { [selector]: now };
    },
    async state() {
      const before = await held(made, "[name=see-hem]:checked");
      const value = next(["chain-stitch", "lockstitch", "absent"].filter((one) => one !== before));
      await press(`#see-hem-${value}`);
      return { "[name=see-hem]:checked": value };
    },
    async tick() {
      const selector = next(["#special-hem-altered", "#special-belt-loops-unsure"]);
      const before = await held(made, selector);
      await press(selector);
      return { [selector]: !before };
    },
    async part() {
      const before = await held(made, PART);
      await press(`${PART} > summary`);
      return { [PART]: !before };
    },
  };
}

// Kinds that do something at once.
function doing(made, press) {
  return {
    async photograph() {
      const before = await made.locator("[id^=photo-][id$=-leave]").count();
      await press(before < 2 ? "#more-photos" : "#photo-0-leave");
      const last = `[id=photo-${before < 2 ? before : before - 1}-leave]`;
      await made.locator(last).waitFor({ state: before < 2 ? "visible" : "detached" });
      return {};
    },
    async download() {
      const [download] = await Promise.all([made.waitForEvent("download"), press("a[download]")]);
      const text = fs.readFileSync(await download.path(), "utf8");
      assert.strictEqual(text, await held(made, "#entry"), "what is downloaded is what is shown");
      return { downloaded: text };
    },
    async copy() {
      await press("button:text-is('Copy it')");
      await made.waitForFunction(() => /Copied|Select/.test(document.getElementById("copied-entry").textContent));
      return {};
    },
  };
}

async function everyOrder(browser, size) {
  const { made, troubles, context } = await opened(browser, base, { path: "record.html" + GARMENT, ...size });
  const press = async (selector) => {
    if (!size.hasTouch) return made.click(selector);
    await made.tap(selector);
    return made.waitForTimeout(FROM_TAP_TO_KEYS);
  };
  await press("#made-form");
  await made.keyboard.press("ArrowDown");
  await made.keyboard.press("Enter");
  const kinds = { ...typing(made, press), ...tapping(made, press), ...doing(made, press) };
  const seen = {};
  let last = "nothing";
  const order = everyPair(Object.keys(kinds));
  for (const kind of order) {
    const { downloaded, ...answered } = await kinds[kind]().catch((error) => {
      throw new Error(`${kind} after ${last}: ${error.message}`);
    });
    Object.assign(seen, answered);
    await settled(made, seen, `${kind} after ${last}`);
    const texts = WORD_FOR_WORD.filter((selector) => seen[selector] && seen[selector] !== "196");
    for (const selector of downloaded ? texts : []) {
      assert.ok(downloaded.includes(seen[selector]), `${seen[selector]} is not in what was downloaded after ${last}`);
    }
    last = kind;
  }
  assert.ok(order.length > 200, `${order.length} steps`);
  await context.close();
  assert.deepStrictEqual(troubles, []);
}

const tests = {};
for (const size of SIZES) {
  const by = size.hasTouch ? "touch" : "mouse";
  tests[`every kind of field after every other, by ${by} at ${size.width} px`] = (browser) => everyOrder(browser, size);
}
run(tests);
