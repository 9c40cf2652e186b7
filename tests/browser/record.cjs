// Random answers on the page of a garment to record, given through its own fields; the entries are written into a copy
// of the knowledge base, where `bartack check` must find no error in them.
//
// node record.cjs SITE COPY BARTACK [COUNT]: the built folder, a copy of the knowledge base, the program, how many entries.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { choose, page, run, tried, write } = require("./browser.cjs");
const { runProgram } = require("./files.cjs");

const [site, copy, bartack, count = "20"] = process.argv.slice(2);
const base = `file://${site}/`;
const STEPS = 40;
// The first of the words below are dates, some of them none, some in words.
const DATES = 14;

// Numbers that are the same on every run (mulberry32, by Tommy Ettinger, public domain; written from memory).
function random(seed) {
  let state = seed;
  return (below) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) % below;
  };
}

const WORDS = [
  "",
  "1978",
  "1970",
  "1978-03",
  "1978-02-29",
  "1976-02-29",
  "9999",
  "0000",
  "late 1970s",
  "'78",
  "3.4.1972",
  "about 1965",
  "before the war",
  "winter 1971/72",
  "8.25",
  "34",
  "8,5",
  "1e9",
  "-3",
  "7",
  "  ",
  'a "quoted" \\ word',
  "+++\n# not the end\n+++",
  "'''x'''",
  '"""',
  "=1+1",
  "two\r\nlines\ttab",
  "bell \u0007 nul \u0000 del \u007f",
  "half \ud800 pair",
  "long zip 🧵 ünïcode",
  "<script>alert(1)</script>",
  "a/b\\c:d.PNG",
  ".hidden.jpg",
  "hem.jpg",
  "rowan k",
  "[features]",
  "\u2028\ufeff",
];

// The fields that somebody sees in a part of the page: their ids, kinds, and how many options a choice has.
function fields(made, among) {
  return made.$$eval(`${among} :is(input, select, textarea)`, (all) =>
    all
      .filter((one) => one.checkVisibility() && one.type !== "file")
      .map((one) => ({ id: one.id, kind: one.type, options: one.options ? one.options.length : 0 })),
  );
}

async function answer(made, { id, kind, options }, pick) {
  if (kind === "select-one") await choose(made, id, pick(options));
  else if (kind === "radio" || kind === "checkbox") await made.click(`[id="${id}"]`);
  else {
    const isDate = /^made-|observed|madeWords/.test(id);
    await write(made, id, WORDS[pick(isDate ? DATES : WORDS.length)]);
    // What there is to choose from follows from the words.
    if (isDate) await made.keyboard.press("Tab");
  }
}

// Answers one field after the other, as a person would, from a seed.
async function touch(made, pick) {
  // Most have a date and a photograph; what follows may change both.
  await choose(made, "made-form", 1 + pick(7));
  await write(made, "made-first", WORDS[1 + pick(DATES - 1)]);
  if (await made.locator("#made-last").count()) await write(made, "made-last", WORDS[1 + pick(DATES - 1)]);
  await choose(made, "tell-madeBy", pick(5));
  await made.click("#more-photos");
  await write(made, "photo-0-file", WORDS[WORDS.length - 1 - pick(12)]);
  // An answer may leave fewer parts to look at.
  const parts = made.locator("#record .zone > summary");
  for (let step = 0; step < STEPS; step += 1) {
    // Features have most of the fields; dates, sources and photographs are to have their turn.
    const isOpened = step < 3 || pick(10) === 0;
    if (isOpened) await parts.nth(pick(await parts.count())).click();
    const among = pick(2) === 0 ? "#record .zone" : "#record .asked-of > :not(.zone)";
    const all = await fields(made, among);
    if (all.length > 0) await answer(made, all[pick(all.length)], pick);
    if (pick(20) === 0) await made.click("#more-photos");
  }
}

async function answered(browser, seed) {
  const pick = random(seed);
  const context = await browser.newContext();
  const { made, troubles } = await page(context, base);
  await made.goto(base + "record.html");
  // Most garments are of some variant.
  const variants = await made.evaluate(() => window.bartackRules.variants.map((one) => one.id));
  if (pick(4) > 0) {
    await made.goto(`${base}record.html#variant=${variants[pick(variants.length)]}`);
    await made.reload();
  }
  await touch(made, pick);
  await made.keyboard.press("Tab");
  const text = await made.$eval("#entry", (area) => area.value);
  const name = await made.$eval("a[download]", (link) => link.download);
  const isRefused = /It would be refused/.test(
    await made.$eval("[aria-labelledby=part-does]", (part) => part.textContent),
  );
  const [download] = await Promise.all([made.waitForEvent("download"), made.click("a[download]")]);
  assert.strictEqual(fs.readFileSync(await download.path(), "utf8"), text, "what is downloaded is what is shown");
  await made.reload();
  const kept = await made.$eval("#entry", (area) => area.value);
  await context.close();
  assert.deepStrictEqual(troubles, []);
  return { text, kept, name, isRefused };
}

function put(text) {
  const goes = text.match(/^# goes to: (entries\/[a-z0-9/-]+\.md)$/m)[1];
  let at = path.join(copy, goes);
  // Each entry was written without knowing of the others, so a name may be taken by one of them.
  for (let number = 2; fs.existsSync(at); number += 1)
    at = path.join(copy, goes.replace(/\.md$/, `-again-${number}.md`));
  fs.writeFileSync(at, text);
  for (const [, name] of text.matchAll(/\{ file = "([^"]+)"/g))
    fs.copyFileSync(path.join(__dirname, "../disk/three-by-two.png"), path.join(path.dirname(at), name));
  return path.relative(copy, at);
}

// What the page says an entry would do: the demo's own garments and sources decide.
async function consequences(browser, hash, made) {
  const { made: opened } = await page(await browser.newContext(), base);
  await opened.goto(`${base}record.html#${hash}`);
  for (const [id, value] of Object.entries(made)) {
    if (typeof value === "number") await choose(opened, id, value);
    else await write(opened, id, value);
  }
  await opened.keyboard.press("Tab");
  return opened.$eval("[aria-labelledby=part-does]", (part) => part.textContent);
}

const tests = {
  "the page says what an entry would do": async (browser) => {
    const variant = "variant=brackwold-tharn/sluice-118/underlode-men";
    const dated = (year) => ({ "made-form": 1, "made-first": year, "tell-madeBy": 1 });
    assert.match(
      await consequences(browser, variant + "&hem=blind-stitch", {}),
      /the first with hem stitch “blind stitch” among 14/,
    );
    assert.match(
      await consequences(browser, variant + "&hem=lockstitch", dated("1955")),
      /earlier than the variant itself, which began on 1 January 1965 at the earliest according to .*1965/,
    );
    assert.match(
      await consequences(browser, variant + "&hem=lockstitch", dated("1980")),
      /would not have ended before 1 January 1980, not 1 May 1977.*the latest garment of this variant with hem stitch “lockstitch”/,
    );
    assert.match(
      await consequences(browser, variant + "&bar-code=twelve-figure", dated("1966")),
      /contradicts a landmark on it: not before 1973/,
    );
    assert.match(
      await consequences(browser, variant + "&hem=lockstitch", {}),
      /contradict nothing that this page knows/,
    );
    assert.match(
      await consequences(browser, variant, { ...dated("1980"), "tell-observed": "1976-02-29" }),
      /It would be refused: its date begins on 1980-01-01, after the day you looked, 1976-02-29/,
    );
    assert.match(await consequences(browser, "", {}), /Nothing is answered yet/);
  },
  "a day of looking that is none, or is still to come, is said and not dropped without a word": async (browser) => {
    const { made, troubles } = await page(await browser.newContext(), base);
    await made.goto(base + "record.html#hem=lockstitch");
    const said = async (typed) => {
      await write(made, "tell-observed", typed);
      await made.keyboard.press("Tab");
      return made.textContent("#observed-problem");
    };
    const entry = () => made.$eval("#entry", (area) => area.value);
    assert.match(await said("last March"), /“last March” is left out of the entry: write the day like 2026-03-14/);
    assert.ok(!(await entry()).includes("observed ="));
    assert.strictEqual(await made.inputValue("#tell-observed"), "last March");
    assert.match(await said("2026-02-30"), /is left out/);
    assert.match(await said("9999-01-01"), /9999-01-01 is still to come, and an entry with it would be refused/);
    assert.strictEqual(await said(" 2026-03-14 "), "");
    assert.match(await entry(), /^observed = 2026-03-14$/m);
    assert.strictEqual(await said(""), "");
    assert.deepStrictEqual(troubles, []);
  },
  [`${count} random garments give entries that check takes`]: async (browser) => {
    const paths = [];
    const refused = [];
    let features = 0;
    for (let seed = 1; seed <= Number(count); seed += 1) {
      const { text, kept, name, isRefused } = await answered(browser, seed);
      assert.strictEqual(kept, text, "the draft is kept in the browser");
      assert.ok(text.includes(`/${name}\n`), name);
      features += (text.match(/^\[features\]\n([^[]*)/m) || ["", ""])[1]
        .split("\n")
        .filter((line) => line.includes(" = ")).length;
      paths.push(put(text));
      if (isRefused) refused.push(paths.pop());
    }
    assert.ok(features > Number(count), `${features} readings in ${count} entries are too few to say anything`);
    const { findings } = JSON.parse(runProgram(bartack, copy, "check", "--format", "json").stdout);
    const wrong = findings.filter((one) => one.level === "error");
    // What the page says is refused is, for that reason; nothing else is.
    assert.deepStrictEqual(wrong.map((one) => one.place.path).sort(), refused.sort(), JSON.stringify(wrong));
    for (const one of wrong) assert.match(one.message, /after the day in `observed`/);
    for (const one of refused) fs.rmSync(path.join(copy, one));
    tried("random garments recorded in a browser", Number(count));
    const compiled = runProgram(bartack, copy, "build", "--out", path.join(copy, "out"));
    assert.strictEqual(compiled.status, 0, compiled.told);
    const rows = fs.readFileSync(path.join(copy, "out/data/observations.csv"), "utf8");
    for (const one of paths)
      assert.ok(
        rows.includes(one.replace(/\.md$/, "").replace(/^entries\//, "")),
        `${one} is no row of observations.csv`,
      );
  },
};
run(tests);
