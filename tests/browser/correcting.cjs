// An entry is corrected from its own page, on a phone from a folder: what is changed there, and nothing else, is changed by
// `bartack import`; several corrections are kept side by side.
//
// node correcting.cjs COPY SITE BARTACK: a copy of the demo, where its site is built, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { spawnSync } = require("node:child_process");
const { choose, opened, page, run, write, SIZES } = require("./browser.cjs");

const [copy, site, bartack] = process.argv.slice(2);
const base = `file://${site}/`;
const PHONE = SIZES[2];
const FOLDER = "makers/brackwold-tharn/sluice-118/standing-gate-men";
const ENTRY = `${FOLDER}/big-feb-74`;
const OTHER = "makers/brackwold-tharn/harrowcoat-204/standing-gate-men/aug-67";
const PICTURED = `${FOLDER}/march-64`;
const LONG = `${FOLDER}/jar-june-72`;
const at = (name) => path.join(copy, "entries", `${name}.md`);
const textOf = (name) => fs.readFileSync(at(name), "utf8");

// Comments, odd blanks and quotation marks, as people leave them.
function scribble() {
  const text = textOf(ENTRY)
    .replace("+++\n", "+++\n# Kept in the drawer.\n")
    .replace('hem = "chain-stitch"', "hem   =   'chain-stitch'  # by daylight")
    .replace("[[claims]]", "# His father's words:\n[[claims]]");
  fs.writeFileSync(at(ENTRY), text);
  const words = "no end of words ".repeat(1400);
  const long = `\n[[claims]]\nevent = "attested"\nwhen = "1972"\nas-written = "${words}"\nsources = ["jar"]\n`;
  const source = '\n[[source]]\nid = "jar"\ncitation = "A slip of paper in the jar"\nkind = "recollection"\n+++\nCare';
  fs.writeFileSync(
    at(LONG),
    textOf(LONG).replace("+++\nCare", () => `${long}${source}`),
  );
}

function bartackRan(...args) {
  const ran = spawnSync(bartack, ["--root", copy, ...args]);
  return { status: ran.status, told: `${ran.stdout}${ran.stderr}` };
}

const headOf = (made) => made.textContent("#correcting");
const handedIn = (made) => made.inputValue("#entry");

// From the page of an observation to the form, as a finger goes.
async function correct(made, name) {
  await made.goto(`${base}${name}.html`);
  await made.tap("text=Correct this");
  await made.waitForSelector("#correcting");
}

async function corrected(browser, name) {
  const { made, troubles, context } = await opened(browser, base, { path: `${name}.html`, ...PHONE });
  await made.tap("text=Correct this");
  await made.waitForSelector("#correcting");
  return { made, troubles, context };
}

// Chooses another state by the keyboard alone.
async function press(made, id, key) {
  await made.focus(`[id="${id}"]`);
  await made.keyboard.press(key);
}

async function typed(made, id, text) {
  await write(made, id, text);
  await made.keyboard.press("Tab");
}

// Opens a part of the form by keyboard.
async function unfold(made, name) {
  const isOpen = await made.evaluate((id) => document.getElementById(id).open, `items-${name}`);
  if (isOpen) return;
  await made.focus(`#items-${name} > summary`);
  await made.keyboard.press("Enter");
}

// Writes over what a field holds, by keyboard, letter by letter, and goes on to the next field.
async function keyed(made, id, text) {
  await made.focus(`[id="${id}"]`);
  await made.keyboard.press("ControlOrMeta+A");
  await made.keyboard.type(text);
  await made.keyboard.press("Tab");
}

// Gives a correction to the program, which may write.
function imported(text) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "corrected-"));
  const file = path.join(folder, "handed.md");
  fs.writeFileSync(file, text);
  const ran = bartackRan("import", file, "--write");
  fs.rmSync(folder, { recursive: true });
  return ran;
}

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
    const folder = fs.mkdtempSync(path.join(os.tmpdir(), "corrected-"));
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
    fs.rmSync(folder, { recursive: true });
    assert.deepStrictEqual(troubles, []);
  },
  async "readings are added, taken out and doubted, and a date is another"(browser) {
    const { made, troubles } = await corrected(browser, ENTRY);
    await press(made, "see-hip-pocket-tacks-none", "Space");
    await made.tap("#special-belt-loops-unsure");
    await typed(made, "made-first", "1974-03");
    await typed(made, "tell-madeNote", "3 74, read anew");
    await press(made, "see-bar-code-absent", "Space");
    const folder = fs.mkdtempSync(path.join(os.tmpdir(), "corrected-"));
    const file = path.join(folder, "handed.md");
    await made.waitForFunction(() => document.getElementById("entry").value.includes("bar-code"));
    fs.writeFileSync(file, await handedIn(made));
    const before = textOf(ENTRY);
    const ran = bartackRan("import", file, "--write");
    assert.strictEqual(ran.status, 0, ran.told);
    const expected = before
      .replace("hip-pocket-tacks = 4\n", "")
      .replace("belt-loops = 8", "belt-loops = { value = 8, unsure = true }")
      .replace('made = "1974-02"', 'made = "1974-03"')
      .replace('made-note = "2 74"', 'made-note = "3 74, read anew"')
      .replace("leg-opening = 22.5\n", 'leg-opening = 22.5\nbar-code = "absent"\n');
    assert.strictEqual(textOf(ENTRY), expected);
    fs.writeFileSync(at(ENTRY), before);
    fs.rmSync(folder, { recursive: true });
    assert.deepStrictEqual(troubles, []);
  },
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
    const ran = imported(handed);
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
    const refused = imported(await handedIn(made));
    assert.strictEqual(refused.status, 1, refused.told);
    assert.match(refused.told, /takes out the source `father-of-osk`, and .* still rests on it/);
    assert.strictEqual(textOf(ENTRY), before);
    await unfold(made, "claims");
    await made.tap("#item-claims-0-leave");
    assert.strictEqual(await made.locator("#doubts").count(), 0, "nothing rests on it now");
    const ran = imported(await handedIn(made));
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
    const ran = imported(await handedIn(made));
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
    assert.strictEqual(imported(await handedIn(made)).status, 0);
    const credited = before
      .replace('shows = ["leg-seam"]', 'shows = ["leg-seam", "hem"]')
      .replace('credit = "drawn for the demonstration"', 'credit = "hobday-j"');
    assert.strictEqual(textOf(PICTURED), credited);
    fs.writeFileSync(at(PICTURED), before);
    await made.tap("#item-photos-0-leave");
    assert.match(await headOf(made), /1 change so far: photograph “march-64-inside-leg\.png”: there → taken out\./);
    const ran = imported(await handedIn(made));
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
    assert.strictEqual(imported(await handedIn(made)).status, 0);
    assert.strictEqual(textOf(LONG), before.replace("paper in the jar", "paper in the lid of the jar"));
    fs.writeFileSync(at(LONG), before);
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
    const out = fs.mkdtempSync(path.join(os.tmpdir(), "without-host-"));
    const built = bartackRan("build", "--out", path.join(out, "site"));
    fs.writeFileSync(about, before);
    assert.strictEqual(built.status, 0, built.told);
    await made.goto(`file://${out}/site/${ENTRY}.html`);
    await made.tap("summary:has-text('Source of this page')");
    assert.strictEqual(await made.textContent(".whole-entry"), textOf(ENTRY));
    fs.rmSync(out, { recursive: true });
  },
};

scribble();
const built = bartackRan("build", "--out", site);
assert.strictEqual(built.status, 0, built.told);
run(tests);
