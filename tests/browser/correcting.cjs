// An entry is corrected from its own page, on a phone from a folder: what is changed there, and nothing else, is changed by
// `bartack import`; several corrections are kept side by side.
//
// node correcting.cjs COPY SITE BARTACK: a copy of the demo, where its site is built, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { choose, opened, page, run, typed } = require("./browser.cjs");
const {
  site,
  base,
  PHONE,
  ENTRY,
  OTHER,
  at,
  textOf,
  bartackRan,
  build,
  headOf,
  handedIn,
  correct,
  corrected,
  press,
  imported,
} = require("./correction.cjs");
const { inFolder } = require("./files.cjs");

const tests = {
  async "what is wrong is changed by keyboard, handed in as a file, and import changes that alone"(browser) {
    const { made, troubles } = await corrected(browser, ENTRY);
    assert.match(await made.title(), /^Record a garment/);
    assert.match(await headOf(made), /You correct .*Sluice 118.*Nothing is changed yet\./);
    assert.strictEqual(await made.locator("#entry").count(), 0, "there is nothing to hand in yet");
    assert.strictEqual(await made.inputValue("#tell-observer"), "osk-r");
    await press(made, "see-hem-chain-stitch", "ArrowDown");
    await made.waitForFunction(() => document.getElementById("see-hem-lockstitch").checked);
    await made.focus("#tell-body");
    await made.keyboard.press("ControlOrMeta+End");
    await made.keyboard.type(' The hem is "two" threads.');
    await made.keyboard.press("Tab");
    await typed(made, "tell-why", "I held it to the light: two threads, locked. 👨‍👩‍👧");
    assert.match(await headOf(made), /2 changes so far: .*: chain stitch → lockstitch; text: /);
    const [download] = await Promise.all([made.waitForEvent("download"), made.tap("a[download]")]);
    await inFolder(async (folder) => {
      const file = path.join(folder, download.suggestedFilename());
      await download.saveAs(file);
      assert.strictEqual(fs.readFileSync(file, "utf8"), await handedIn(made));
      const before = textOf(ENTRY);
      const dry = bartackRan("import", file);
      assert.strictEqual(dry.status, 0, dry.told);
      assert.ok(dry.told.includes(" + hem   =   'lockstitch'  # by daylight\n"), dry.told);
      assert.match(dry.told, /\| I held it to the light: two threads, locked\./);
      assert.strictEqual(textOf(ENTRY), before, "a dry run writes nothing");
      const ran = bartackRan("import", file, "--write");
      assert.strictEqual(ran.status, 0, ran.told);
      const expected = before.replace("'chain-stitch'", "'lockstitch'").replace(/\n$/, ' The hem is "two" threads.\n');
      assert.strictEqual(textOf(ENTRY), expected);
      assert.match(bartackRan("import", file).told, /1 corrected already/);
      fs.writeFileSync(at(ENTRY), before);
    });
    assert.deepStrictEqual(troubles, []);
  },
  async "readings are added, taken out and doubted, and a date is another"(browser) {
    const { made, troubles } = await corrected(browser, ENTRY);
    await press(made, "see-hip-pocket-tacks-none", "Space");
    await made.tap("#special-belt-loops-unsure");
    await typed(made, "made-first", "1974-03");
    await typed(made, "tell-madeNote", "3 74, read anew");
    await press(made, "see-bar-code-absent", "Space");
    await made.waitForFunction(() => document.getElementById("entry").value.includes("bar-code"));
    const before = textOf(ENTRY);
    const ran = await imported(await handedIn(made));
    assert.strictEqual(ran.status, 0, ran.told);
    const expected = before
      .replace("hip-pocket-tacks = 4\n", "")
      .replace("belt-loops = 8", "belt-loops = { value = 8, unsure = true }")
      .replace('made = "1974-02"', 'made = "1974-03"')
      .replace('made-note = "2 74"', 'made-note = "3 74, read anew"')
      .replace("leg-opening = 22.5\n", 'leg-opening = 22.5\nbar-code = "absent"\n');
    assert.strictEqual(textOf(ENTRY), expected);
    fs.writeFileSync(at(ENTRY), before);
    assert.deepStrictEqual(troubles, []);
  },
  async "what is begun and not yet said takes nothing out"(browser) {
    const { made } = await corrected(browser, ENTRY);
    await typed(made, "tell-observed", "soon");
    await typed(made, "made-first", "74");
    await typed(made, "tell-factory", "???");
    assert.match(await headOf(made), /Nothing is changed yet\./);
    await typed(made, "tell-observed", "");
    assert.match(await headOf(made), /1 change so far: day of looking: 2024-02-19 → nothing\./);
    await made.tap("#clear-draft");
    assert.match(await headOf(made), /Nothing is changed yet\./);
    await made.tap("#put-back");
    assert.match(await headOf(made), /1 change so far/);
  },
  async "corrections and a garment are kept side by side, and each is found again"(browser) {
    const { made, troubles, context } = await corrected(browser, ENTRY);
    await typed(made, "tell-observer", "one");
    await correct(made, OTHER);
    assert.match(await headOf(made), /Nothing is changed yet\./);
    await typed(made, "tell-observer", "two");
    assert.match(await made.textContent(".drafts"), /Correction of .*: 1 change/i);
    await made.reload();
    assert.match(await headOf(made), /who looked: .* → two\./, "a page that is loaded again goes on with it");
    await correct(made, ENTRY);
    assert.match(await headOf(made), /who looked: osk-r → one\./, "the same entry once more is the same draft");
    const { made: garment } = await page(context, base);
    await garment.goto(`${base}record.html#hem=raw`);
    assert.strictEqual(await garment.locator("#correcting").count(), 0);
    assert.match(await garment.inputValue("#entry"), /goes to: entries\/unplaced/);
    assert.strictEqual(await garment.locator(".drafts li").count(), 2);
    await garment.tap(".drafts > summary");
    await garment.tap(".drafts li:has-text('Harrowcoat') button");
    assert.match(await headOf(garment), /→ two\./);
    assert.ok(!garment.url().includes("correct/"));
    assert.deepStrictEqual(troubles, []);
  },
  async "an unplaced garment is corrected, and its maker stays"(browser) {
    const name = fs
      .readdirSync(path.join(site, "unplaced"))
      .find((one) => textOf(`unplaced/${one.slice(0, -5)}`).includes("maker ="));
    const entry = `unplaced/${name.slice(0, -5)}`;
    const { made } = await corrected(browser, entry);
    await choose(made, "know-wearer", 1);
    assert.match(await handedIn(made), /\[\[change\]\]\nkey = "wearer"\nnow = "[a-z]+"\n\+\+\+\n$/);
  },
  async "no entry is changed by being opened"(browser) {
    const { made, troubles } = await opened(browser, base, { path: "record.html", ...PHONE });
    const pages = fs
      .readdirSync(site, { recursive: true })
      .filter((one) => /^(makers(\/[^/]+){4}|unplaced\/[^/]+)\.html$/.test(one));
    // Each page is described anew, which takes a while: one in three, and those that nobody could place.
    const some = pages.filter((one, number) => number % 3 === 0 || one.startsWith("unplaced/"));
    let count = 0;
    for (const one of some) {
      const [, link] =
        fs.readFileSync(path.join(site, one), "utf8").match(/href="[./]*(record\.html#correct\/[^"]+)"/) || [];
      if (!link) continue;
      count += 1;
      await made.goto(base + link);
      const name = one.replace(/\.html$/, "");
      await made.waitForFunction((href) => document.querySelector("#correcting a")?.getAttribute("href") === href, one);
      assert.match(await headOf(made), /Nothing is changed yet\./, name);
    }
    assert.ok(count > 50, `${count} entries`);
    assert.strictEqual(await made.locator(".drafts").count(), 0, "nothing is kept of them");
    assert.deepStrictEqual(troubles, []);
  },
  async "the address of an entry is no garment elsewhere, and a damaged one is told"(browser) {
    const { made, troubles } = await opened(browser, base, { path: `${ENTRY}.html`, ...PHONE });
    const hash = (await made.getAttribute("text=Correct this", "href")).replace(/^[^#]*/, "");
    assert.ok(!hash.includes("="), "which is what makes an address a garment");
    await made.goto(`${base}in-hand.html${hash}`);
    assert.strictEqual(
      await made.locator("fieldset.feature input:checked:not([value=''])").count(),
      1,
      "the unit alone",
    );
    await made.goto(`${base}record.html${hash.slice(0, -40)}`);
    assert.match(await made.textContent("[role=alert].notice"), /is damaged\. Open the page of the entry/);
    assert.strictEqual(await made.locator("#correcting").count(), 0);
    assert.deepStrictEqual(troubles, []);
  },
  async "the source is at the Git host, or on the page where none is known"(browser) {
    const { made } = await opened(browser, base, { path: `${ENTRY}.html`, ...PHONE });
    const href = await made.getAttribute("text=Source of this page", "href");
    assert.strictEqual(href, `https://example.org/bartack/blob/entries/${ENTRY}.md`);
    const about = at("about");
    const before = fs.readFileSync(about, "utf8");
    fs.writeFileSync(about, before.replace(/edit-url = .*\n/, ""));
    await inFolder(async (out) => {
      const built = bartackRan("build", "--out", path.join(out, "site"));
      fs.writeFileSync(about, before);
      assert.strictEqual(built.status, 0, built.told);
      await made.goto(`file://${out}/site/${ENTRY}.html`);
      await made.tap("summary:has-text('Source of this page')");
      assert.strictEqual(await made.textContent(".whole-entry"), textOf(ENTRY));
    });
  },
};

build();
run(tests);
