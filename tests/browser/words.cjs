// Dates in words on the page that records and on the phone page: what they are read as is said and written, what may mean
// several waits for a choice, and what cannot be read stays in the entry word for word.
//
// node words.cjs SITE
"use strict";

const assert = require("node:assert");
const { choose, opened, run, SIZES } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const GARMENT = "variant=brackwold-tharn%2Fsluice-118%2Funderlode-men&hem=chain-stitch";
const PAGES = [
  { path: `record.html#${GARMENT}`, ...SIZES[0] },
  { path: `garment.html#view=record&${GARMENT}`, ...SIZES[2] },
];

// Types a text over what a field holds, letter by letter, and leaves the field.
async function type(made, id, text) {
  await made.click(`#${id}`);
  await made.keyboard.press("ControlOrMeta+A");
  await made.keyboard.press("Delete");
  await made.keyboard.type(text);
  await made.keyboard.press("Tab");
}

// Waits until the entry holds, line for line, what it is to say of a date, and no more of it.
async function entryHas(made, start, wanted) {
  const held = () =>
    made.$eval(
      "#entry",
      (entry, key) => entry.value.split("\n").filter((line) => line.startsWith(key) && !line.includes("-by =")),
      start,
    );
  // The phone page unpacks its rules before it shows an entry.
  const isThere = ({ key, lines }) => {
    const entry = document.getElementById("entry");
    if (!entry) return false;
    const all = entry.value.split("\n");
    const found = all.filter((line) => line.startsWith(key) && !line.includes("-by ="));
    return JSON.stringify(found) === JSON.stringify(lines);
  };
  await made.waitForFunction(isThere, { key: start, lines: wanted });
  assert.deepStrictEqual(await held(), wanted);
}

function made(date, words) {
  return [...(date ? [`made = "${date}"`] : []), ...(words ? [`made-as-written = "${words}"`] : [])];
}

function labels(page, key) {
  return page.$$eval(`[name=${key}-pick] + label`, (all) => all.map((one) => one.textContent));
}

async function chosen(page, key) {
  return page.$$eval(`[name=${key}-pick]`, (all) => all.filter((one) => one.checked).length);
}

// Opens each page in turn and gives it to a test, with a way to press that is the size's own.
function onEachPage(test) {
  return async (browser) => {
    for (const one of PAGES) {
      const { made: page, troubles, context } = await opened(browser, base, one);
      const press = (selector) => (one.hasTouch ? page.tap(selector) : page.click(selector));
      await page.waitForSelector("#tell-madeWords");
      await test(page, press);
      assert.deepStrictEqual(troubles, []);
      await context.close();
    }
  };
}

const tests = {
  "words that mean one date are read, said and kept": onEachPage(async (page) => {
    for (const [words, date, said] of [
      ["late 1970s", "1976/1979", "some time from 1976 to 1979"],
      ["about 1965", "1965~", "some time from 1963 to 1967 (“about” included)"],
      ["1978 to 1981", "1978/1981", "some time from 1978 to 1981"],
      ["1970s", "197X", "some time from 1970 to 1979"],
      ["3 April 1972", "1972-04-03", "on 3 April 1972"],
      ["1977 or 1979", "[1977,1979]", "1977 or 1979"],
      ["before 1975", "../1974", "some time in or before 1974"],
    ]) {
      await type(page, "tell-madeWords", words);
      await entryHas(page, "made", made(date, words));
      assert.strictEqual(await page.textContent("#made-reading"), `Read as: ${said}, written ${date}.`);
      assert.strictEqual(await page.textContent("#made-unread"), "");
      assert.strictEqual(await page.inputValue("#tell-madeWords"), words);
    }
    // What is in the notation already needs no words beside it.
    await type(page, "tell-madeWords", "1976/1979");
    await entryHas(page, "made", made("1976/1979"));
  }),
  "words that may mean several wait for a choice": onEachPage(async (page, press) => {
    await type(page, "tell-madeWords", "'78");
    await entryHas(page, "made", made("", "'78"));
    assert.deepStrictEqual(await labels(page, "made"), [
      "some time in 1878, written 1878",
      "some time in 1978, written 1978",
      "none of these",
    ]);
    assert.strictEqual(await chosen(page, "made"), 0, "nothing is chosen for anybody");
    await press("#made-pick-1");
    await entryHas(page, "made", made("1978", "'78"));
    assert.match(await page.textContent("#made-reading"), /some time in 1978, written 1978, as you chose/);
    await page.reload();
    await entryHas(page, "made", made("1978", "'78"));
    // A choice is about the words for which it was made.
    await type(page, "tell-madeWords", "3.4.1978");
    await entryHas(page, "made", made("", "3.4.1978"));
    assert.deepStrictEqual((await labels(page, "made")).slice(0, 2), [
      "on 3 April 1978, written 1978-04-03",
      "on 4 March 1978, written 1978-03-04",
    ]);
    await press("#made-pick-0");
    await entryHas(page, "made", made("1978-04-03", "3.4.1978"));
    await type(page, "tell-madeWords", "4.3.1978");
    await entryHas(page, "made", made("", "4.3.1978"));
    assert.strictEqual(await chosen(page, "made"), 0);
    await press("#made-pick-1");
    await entryHas(page, "made", made("1978-04-03", "4.3.1978"));
    await press("#made-pick-none");
    await entryHas(page, "made", made("", "4.3.1978"));
    await type(page, "tell-madeWords", "3/4/72");
    assert.strictEqual((await labels(page, "made")).length, 5, "two centuries, two orders, none of these");
  }),
  "a choice is made by keyboard alone": onEachPage(async (page) => {
    await type(page, "tell-madeWords", "winter 71/72");
    assert.strictEqual(await page.evaluate(() => document.activeElement.id), "made-pick-0");
    await page.keyboard.press("ArrowDown");
    await entryHas(page, "made", made("1971-24", "winter 71/72"));
    assert.strictEqual(await page.evaluate(() => document.activeElement.id), "made-pick-1");
    await page.keyboard.press("Tab");
    assert.strictEqual(await page.evaluate(() => document.activeElement.id), "made-form");
  }),
  "words that cannot be read stay, and it is said": onEachPage(async (page) => {
    for (const words of ["late seventies, maybe 81", "before the war"]) {
      await type(page, "tell-madeWords", words);
      await entryHas(page, "made", made("", words));
      const said = await page.textContent("#made-unread");
      assert.match(
        said,
        new RegExp(`“${words}” cannot be read as a date, and goes into the entry in your words alone`),
      );
      assert.match(said, /such as “about 1965”, “late 1970s”/);
      assert.strictEqual(await page.textContent("#made-reading"), "");
      assert.strictEqual(await page.inputValue("#tell-madeWords"), words);
    }
    await type(page, "tell-madeWords", "");
    await entryHas(page, "made", []);
    assert.strictEqual(await page.locator("#made-unread").count(), 0);
  }),
  "a form that is filled in counts, and what does not fit it is read or kept": onEachPage(async (page, press) => {
    await type(page, "tell-madeWords", "late 1970s");
    await choose(page, "made-form", 1);
    await type(page, "made-first", "1978");
    await entryHas(page, "made", made("1978", "late 1970s"));
    assert.match(await page.textContent(".asked-of"), /The date chosen below counts, written 1978/);
    // What stands in the form and is no year is not lost either.
    await type(page, "made-first", "the year I was born");
    await entryHas(page, "made", made("1976/1979", "late 1970s; the year I was born"));
    assert.match(await page.textContent("#made-problem"), /Write it like 1978\. Your words go into the entry/);
    await type(page, "tell-madeWords", "");
    await type(page, "made-first", "March '78");
    await entryHas(page, "made", made("", "March '78"));
    await press("#made-pick-1");
    await entryHas(page, "made", made("1978-03", "March '78"));
    assert.strictEqual(await page.textContent("#made-problem"), "");
    await choose(page, "made-form", 2);
    await entryHas(page, "made", made("", "March '78 to ?"));
    await type(page, "made-first", "1981");
    await type(page, "made-last", "1978");
    await entryHas(page, "made", made("", "1981 to 1978"));
    assert.deepStrictEqual(await labels(page, "made"), ["some time from 1978 to 1981, written 1978/1981", "no"]);
  }),
  "a day of looking in words is read, asked about, or refused aloud": onEachPage(async (page, press) => {
    await type(page, "tell-observed", "14 March 2026");
    await entryHas(page, "observed", ["observed = 2026-03-14"]);
    assert.match(await page.textContent("#observed-reading"), /read as on 14 March 2026, written 2026-03-14/);
    await type(page, "tell-observed", "3.4.2026");
    await entryHas(page, "observed", []);
    assert.strictEqual(await chosen(page, "observed"), 0);
    await press("#observed-pick-0");
    await entryHas(page, "observed", ["observed = 2026-04-03"]);
    for (const none of ["March 2026", "last spring"]) {
      await type(page, "tell-observed", none);
      await entryHas(page, "observed", []);
      const said = await page.textContent("#observed-problem");
      assert.ok(said.startsWith(`“${none}” is left out of the entry: write the day like 2026-03-14`), said);
      assert.strictEqual(await page.inputValue("#tell-observed"), none);
    }
  }),
};
run(tests);
