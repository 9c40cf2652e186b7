// Any two to four things side by side, from a folder: by the pickers with mouse and keyboard, by the boxes of a model's
// table, and from the answer about a garment in hand.
//
// node beside.cjs SITE
"use strict";

const assert = require("node:assert");
const { choose, opened, run } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const SIZE = { width: 1280, height: 900 };

// The names above the columns of the table.
function columns(made) {
  return made.$$eval("#beside thead th a", (links) => links.map((link) => link.textContent));
}

function chosen(made) {
  return made.evaluate(() => new URLSearchParams(location.hash.slice(1)).getAll("thing"));
}

async function marked(made) {
  await made.$$eval("#choices select", (all) => all.forEach((one, place) => (one.id = `pick-${place}`)));
}

const tests = {
  "pickers are used with a mouse": async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: "compare.html", ...SIZE });
    assert.match(await made.textContent("#beside"), /Choose at least two/);
    await marked(made);
    await choose(made, "pick-0", 1);
    assert.match(await made.textContent("#beside"), /Choose at least two/);
    await choose(made, "pick-1", 5);
    assert.strictEqual((await columns(made)).length, 2);
    assert.strictEqual((await chosen(made)).length, 2);
    assert.match(await made.textContent("#beside tbody"), /Possibly made/);
    await made.goBack();
    await made.waitForFunction(() => document.querySelectorAll("#beside table").length === 0);
    assert.deepStrictEqual(troubles, []);
  },
  "pickers are used with the keyboard, which never loses its place": async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: "compare.html", ...SIZE });
    await marked(made);
    const focus = () => made.evaluate(() => document.activeElement.id);
    await made.focus("#pick-0");
    await made.keyboard.press("ArrowDown");
    await made.waitForFunction(() => location.hash.includes("thing="));
    assert.strictEqual(await focus(), "pick-0");
    await made.keyboard.press("Tab");
    await made.keyboard.press("Tab");
    assert.strictEqual(await focus(), "pick-2", "the second may stay empty");
    for (let step = 0; step < 3; step += 1) await made.keyboard.press("ArrowDown");
    // The page hears of its new address a moment later.
    await made.waitForFunction(() => {
      const { options, selectedIndex } = document.getElementById("pick-2");
      const heads = [...document.querySelectorAll("#beside thead th a")].map((link) => link.textContent);
      return selectedIndex === 3 && heads.length === 2 && heads[1] === options[selectedIndex].textContent;
    });
    assert.strictEqual(await focus(), "pick-2", "what is chosen stays where it was chosen");
    assert.strictEqual((await chosen(made)).length, 2);
    // The link that this makes shows the same.
    const [again, shown] = [await made.evaluate(() => location.hash), await columns(made)];
    const other = await opened(browser, base, { path: "compare.html" + again, ...SIZE });
    assert.deepStrictEqual(await columns(other.made), shown);
    assert.deepStrictEqual([...troubles, ...other.troubles], []);
  },
  "an address with what is not there, twice the same or five is answered": async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: "compare.html", ...SIZE });
    const ids = await made.$$eval("#choices select:first-of-type option", (all) =>
      all.slice(1, 6).map((one) => one.value),
    );
    const of = (list) => "compare.html#" + list.map((id) => `thing=${encodeURIComponent(id)}`).join("&");
    for (const [list, count] of [
      [["no/such", ids[0], "<b>"], 0],
      [[ids[0], ids[0], ids[1]], 2],
      [ids, 4],
    ]) {
      const other = await opened(browser, base, { path: of(list), ...SIZE });
      assert.strictEqual((await columns(other.made)).length, count, list.join(" "));
      assert.deepStrictEqual(other.troubles, []);
    }
    assert.deepStrictEqual(troubles, []);
  },
  "boxes on the table of a model lead there": async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: "makers/brackwold-tharn/sluice-118.html", ...SIZE });
    const boxes = await made.$$("[data-thing] input[type=checkbox]");
    assert.ok(boxes.length >= 2);
    const link = made.locator("#boxes a");
    assert.ok(!(await link.isVisible()), "one thing alone is beside nothing");
    await boxes[0].click();
    await boxes[1].focus();
    await made.keyboard.press("Space");
    const names = await made.$$eval("[data-thing]:has(input:checked)", (all) => all.map((one) => one.dataset.thing));
    await link.click();
    await made.waitForURL(/compare\.html#/);
    assert.deepStrictEqual(await chosen(made), names);
    assert.strictEqual((await columns(made)).length, 2);
    assert.deepStrictEqual(troubles, []);
  },
  "the answer about a garment in hand leads there": async (browser) => {
    const path = "in-hand.html#maker=brackwold-tharn&hem=chain-stitch";
    const { made, troubles } = await opened(browser, base, { path, ...SIZE });
    await made.click("#answer a[href*='compare.html#']");
    await made.waitForURL(/compare\.html#/);
    assert.ok((await columns(made)).length >= 2);
    assert.deepStrictEqual(troubles, []);
  },
};

run(tests);
