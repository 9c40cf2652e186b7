// The lists of an entry are corrected on a phone: claims, sources and photographs, those that the link has no room for, and
// the sources of the whole entry. `bartack import` changes these and nothing else.
//
// node correcting-lists.cjs COPY SITE BARTACK: a copy of the demo, where its site is built, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const { run, typed } = require("./browser.cjs");
const {
  ENTRY,
  PICTURED,
  LONG,
  at,
  textOf,
  build,
  headOf,
  handedIn,
  corrected,
  unfold,
  keyed,
  imported,
} = require("./correction.cjs");

const tests = {
  async "a claim is changed, a source added and one taken out by keyboard alone, and import changes these alone"(
    browser,
  ) {
    const { made, troubles } = await corrected(browser, ENTRY);
    await unfold(made, "claims");
    assert.strictEqual(await made.inputValue("#item-claims-0-when"), "1960~");
    assert.strictEqual(await made.inputValue("#item-claims-0-sources"), "father-of-osk");
    await keyed(made, "item-claims-0-when", "about 1961");
    assert.match(await headOf(made), /1 change so far: claim “discontinued, .*: when 1960~ → when 1961~\./);
    await made.focus("#item-claims-0-undo");
    await made.keyboard.press("Enter");
    assert.match(await headOf(made), /Nothing is changed yet\./);
    assert.strictEqual(await made.evaluate(() => document.activeElement.id), "item-claims-0-leave");
    await keyed(made, "item-claims-0-when", "about 1961");
    await unfold(made, "source");
    await made.focus("#items-source-add");
    await made.keyboard.press("Enter");
    assert.strictEqual(await made.evaluate(() => document.activeElement.id), "item-source-1-id");
    await keyed(made, "item-source-1-id", "Aunt of Osk");
    assert.match(await made.textContent("#item-source-1-problem"), /use small letters/);
    assert.match(await made.textContent("#doubts"), /Not handed in, source “Aunt of Osk”/);
    assert.ok(!(await handedIn(made)).includes("Aunt"), "what cannot be read is held back");
    await keyed(made, "item-source-1-id", "aunt-of-osk");
    await keyed(made, "item-source-1-citation", "Told by an aunt, who sewed");
    await made.focus("#item-source-1-kind");
    for (let press = 0; press < 20; press += 1) await made.keyboard.press("ArrowDown");
    assert.strictEqual(await made.inputValue("#item-source-1-kind"), "recollection");
    await made.focus("#item-claims-0-sources-pick");
    await made.keyboard.press("ArrowDown");
    await made.keyboard.press("ArrowDown");
    assert.strictEqual(await made.inputValue("#item-claims-0-sources-pick"), "aunt-of-osk");
    await made.focus("#item-claims-0-sources-add");
    await made.keyboard.press("Enter");
    assert.strictEqual(await made.inputValue("#item-claims-0-sources"), "father-of-osk\naunt-of-osk");
    const before = textOf(ENTRY);
    const handed = await handedIn(made);
    const ran = await imported(handed);
    assert.strictEqual(ran.status, 0, ran.told);
    const expected = before
      .replace('when = "1960~"', 'when = "1961~"')
      .replace('sources = ["father-of-osk"]', 'sources = ["father-of-osk", "aunt-of-osk"]')
      .replace(
        'date = "2003"\n',
        'date = "2003"\n\n[[source]]\nid = "aunt-of-osk"\ncitation = "Told by an aunt, who sewed"\n' +
          'kind = "recollection"\n',
      );
    assert.strictEqual(textOf(ENTRY), expected);
    fs.writeFileSync(at(ENTRY), before);
    assert.deepStrictEqual(troubles, []);
  },
  async "a source on which a claim rests is taken out only with a warning, which import repeats"(browser) {
    const { made, troubles } = await corrected(browser, ENTRY);
    await unfold(made, "source");
    await made.focus("#item-source-0-leave");
    await made.keyboard.press("Enter");
    assert.strictEqual(await made.evaluate(() => document.activeElement.id), "item-source-0-back");
    const warning = await made.textContent("#items-source [role=alert].notice");
    assert.match(warning, /Still resting on it: claim “discontinued, /);
    assert.match(await made.textContent("#doubts"), /“father-of-osk” is taken out, and still resting on it: claim/);
    const before = textOf(ENTRY);
    const refused = await imported(await handedIn(made));
    assert.strictEqual(refused.status, 1, refused.told);
    assert.match(refused.told, /takes out the source `father-of-osk`, and .* still rests on it/);
    assert.strictEqual(textOf(ENTRY), before);
    await unfold(made, "claims");
    await made.tap("#item-claims-0-leave");
    assert.strictEqual(await made.locator("#doubts").count(), 0, "nothing rests on it now");
    const ran = await imported(await handedIn(made));
    assert.strictEqual(ran.status, 0, ran.told);
    const from = before.indexOf("[[claims]]");
    const kept = before.slice(0, from).replace(/\n+$/, "\n") + before.slice(before.lastIndexOf("+++\n"));
    assert.strictEqual(textOf(ENTRY).replace(/\n\n+\+\+\+/, "\n+++"), kept);
    fs.writeFileSync(at(ENTRY), before);
    await made.reload();
    await made.waitForSelector("#correcting");
    assert.match(await headOf(made), /2 changes so far/, "a draft keeps what was taken out");
    await unfold(made, "source");
    await made.tap("#item-source-0-back");
    await unfold(made, "claims");
    await made.tap("#item-claims-0-back");
    assert.match(await headOf(made), /Nothing is changed yet\./);
    assert.deepStrictEqual(troubles, []);
  },
  async "the sources of the whole entry are named, and import writes these alone"(browser) {
    const { made, troubles } = await corrected(browser, ENTRY);
    await unfold(made, "source");
    await typed(made, "items-sources", "Some list");
    assert.match(await made.textContent("#items-sources-problem"), /\S/);
    assert.match(await headOf(made), /Nothing is changed yet\./, "what cannot be read is held back");
    await typed(made, "items-sources", "bt-catalogue-1968 p. 22");
    assert.match(
      await headOf(made),
      /1 change so far: sources of the whole entry: nothing → bt-catalogue-1968 p\. 22\./,
    );
    const before = textOf(ENTRY);
    const ran = await imported(await handedIn(made));
    assert.strictEqual(ran.status, 0, ran.told);
    const line = 'sources = ["bt-catalogue-1968 p. 22"]\n';
    assert.deepStrictEqual(textOf(ENTRY).split(line), before.split(/(?<=^made-note = .*\n)/m), "one line more");
    fs.writeFileSync(at(ENTRY), before);
    assert.deepStrictEqual(troubles, []);
  },
  async "a photograph is credited to another, shows more, is taken out and put back"(browser) {
    const { made, troubles } = await corrected(browser, PICTURED);
    await unfold(made, "photos");
    await typed(made, "item-photos-0-credit", "hobday-j");
    await made.tap("#tick-shows-item-photos-0-hem");
    const before = textOf(PICTURED);
    assert.strictEqual((await imported(await handedIn(made))).status, 0);
    const credited = before
      .replace('shows = ["leg-seam"]', 'shows = ["leg-seam", "hem"]')
      .replace('credit = "drawn for the demonstration"', 'credit = "hobday-j"');
    assert.strictEqual(textOf(PICTURED), credited);
    fs.writeFileSync(at(PICTURED), before);
    await made.tap("#item-photos-0-leave");
    assert.match(await headOf(made), /1 change so far: photograph “march-64-inside-leg\.png”: there → taken out\./);
    const ran = await imported(await handedIn(made));
    assert.strictEqual(ran.status, 0, ran.told);
    assert.match(ran.told, /its file stays/);
    assert.strictEqual(textOf(PICTURED), before.replace(/photos = .*\n/, ""));
    fs.writeFileSync(at(PICTURED), before);
    await made.tap("#item-photos-0-back");
    await made.tap("#item-photos-0-undo");
    assert.match(await headOf(made), /Nothing is changed yet\./);
    await made.tap("#more-photos");
    await typed(made, "photo-0-file", "march-64-inside-leg.png");
    assert.match(await made.textContent("#doubts"), /The entry has one of that name/);
    assert.deepStrictEqual(troubles, []);
  },
  async "what the link has no room for is named, and stays"(browser) {
    const { made, troubles } = await corrected(browser, LONG);
    assert.match(await headOf(made), /Too long for the address of this page: the claims\. .* they stay as they are\./);
    await unfold(made, "claims");
    assert.match(await made.textContent("#items-claims"), /not shown.*They stay as they are\./);
    assert.strictEqual(await made.locator("#items-claims-add").count(), 0);
    await unfold(made, "source");
    await typed(made, "item-source-0-citation", "A slip of paper in the lid of the jar");
    const before = textOf(LONG);
    assert.strictEqual((await imported(await handedIn(made))).status, 0);
    assert.strictEqual(textOf(LONG), before.replace("paper in the jar", "paper in the lid of the jar"));
    fs.writeFileSync(at(LONG), before);
    assert.deepStrictEqual(troubles, []);
  },
};

build();
run(tests);
