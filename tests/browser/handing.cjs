// A garment recorded with its photographs is handed in: chosen from the device, packed into one file, taken by
// `bartack import`, checked, built, and seen on the page of the garment; and what was begun, cleared or sent is not lost.
//
// node handing.cjs SITE COPY BARTACK: the built folder, a copy of the knowledge base, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { spawnSync } = require("node:child_process");
const { choose, opened, page, run, typed, SIZES } = require("./browser.cjs");
const { inFolder, runProgram } = require("./files.cjs");

const [site, copy, bartack] = process.argv.slice(2);
const base = `file://${site}/`;
const FOLDER = "makers/brackwold-tharn/sluice-118/underlode-men";
const RECORD = `record.html#variant=${encodeURIComponent("brackwold-tharn/sluice-118/underlode-men")}&hem=chain-stitch`;
const PNG = fs.readFileSync(path.join(__dirname, "../disk/three-by-two.png"));
const PLACE = "51N 0W AT HOME";
// What `tests/cli/tasks/phone.rs` brings to the commands.
const HANDED = path.join(__dirname, "../cli/tasks/handed.zip");

// A JPEG of 30 × 20 points as the browser writes it, with an Exif block as a camera's: turned by a quarter (orientation
// 6 of Exif 2.32), a model of camera, and a place; and a second file behind the picture, as some cameras put there.
async function photograph(made) {
  const bytes = await made.evaluate(async () => {
    const canvas = new OffscreenCanvas(30, 20);
    const context = canvas.getContext("2d");
    context.fillStyle = "rgb(200, 30, 30)";
    context.fillRect(0, 0, 15, 20);
    const blob = await canvas.convertToBlob({ type: "image/jpeg" });
    return [...new Uint8Array(await blob.arrayBuffer())];
  });
  const number = (value, width) => {
    const field = Buffer.alloc(width);
    field.writeUIntBE(value, 0, width);
    return field;
  };
  const entry = (tag, kind, count, value) => Buffer.concat([number(tag, 2), number(kind, 2), number(count, 4), value]);
  const block = Buffer.concat([
    Buffer.from("Exif\0\0MM\0*"),
    number(8, 4),
    number(3, 2),
    entry(0x0110, 2, 4, Buffer.from("CAM\0")),
    entry(0x0112, 3, 1, Buffer.from([0, 6, 0, 0])),
    entry(0x8825, 4, 1, number(50, 4)),
    number(0, 4),
    Buffer.from(PLACE),
  ]);
  const segment = Buffer.concat([Buffer.from([0xff, 0xe1]), number(block.length + 2, 2), block]);
  const behind = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe1]), Buffer.from(PLACE)]);
  return Buffer.concat([Buffer.from(bytes.slice(0, 2)), segment, Buffer.from(bytes.slice(2)), behind]);
}

async function recorded(browser, path = RECORD) {
  const { made, troubles, context } = await opened(browser, base, { path, ...SIZES[0] });
  return { made, troubles, context };
}

// Chooses files as a person does: through the field, in the window of the system.
async function chooseFiles(made, id, files) {
  const [window] = await Promise.all([made.waitForEvent("filechooser"), made.click(`[id="${id}"]`)]);
  await window.setFiles(files);
}

// Builds the copy, and goes from the page of the variant to the garment and to its photograph, as a person does.
async function seenOnItsPage(browser, { folder, name, secrets }) {
  const out = path.join(folder, "site");
  const built = runProgram(bartack, copy, "build", "--out", out);
  assert.strictEqual(built.status, 0, built.told);
  const { made, troubles, context } = await opened(browser, `file://${out}/`, { path: `${FOLDER}.html`, ...SIZES[0] });
  await made.click(`[id="entry-${name}"] a`);
  await made.waitForURL(`file://${out}/${FOLDER}/${name}.html`);
  assert.match(await made.textContent("main"), /Wren/);
  const photographs = made.locator("main a.to-photograph");
  assert.strictEqual(await photographs.count(), 2);
  const first = photographs.first();
  await first.scrollIntoViewIfNeeded();
  const image = await first.locator("img").elementHandle();
  await made.waitForFunction((one) => one.complete && one.naturalWidth > 0, image);
  // Its own size is that of its place on the page, so its shape alone says how it is turned.
  const shape = await image.evaluate((one) => one.naturalHeight / one.naturalWidth);
  assert.strictEqual(shape, 1.5, "as the camera turned it");
  assert.match(await image.getAttribute("alt"), /Hem stitch: chain stitch/);
  const published = fs.readFileSync(path.join(out, FOLDER, await first.getAttribute("href")));
  for (const secret of secrets) assert.ok(!published.includes(secret), `${secret} is on no page`);
  await first.click();
  await made.waitForFunction(() => {
    const shown = document.querySelector(".viewer[open] .viewed img");
    return shown instanceof HTMLImageElement && shown.complete && shown.naturalHeight === 1.5 * shown.naturalWidth;
  });
  assert.deepStrictEqual(troubles, []);
  await context.close();
}

const entryOf = (made) => made.inputValue("#entry");

const tests = {
  async "entry and photographs go out as one file, which import takes"(browser) {
    const { made, troubles } = await recorded(browser);
    const jpeg = await photograph(made);
    await typed(made, "tell-observer", "Wren");
    await chooseFiles(made, "choose-photos", [
      { name: "IMG_0042.JPG", mimeType: "image/jpeg", buffer: jpeg },
      { name: "Inner hem.png", mimeType: "image/png", buffer: PNG },
    ]);
    await made.waitForSelector("#photo-1-file");
    const names = await made.$$eval("#photo-0-file, #photo-1-file", (all) => all.map((one) => one.value));
    assert.deepStrictEqual(names, ["photo-1.jpg", "inner-hem.png"], "a name of the camera says nothing");
    const hidden = await made.textContent("fieldset:has(#photo-0-file)");
    assert.match(
      hidden,
      /IMG_0042\.JPG, 1 kB\. Hidden in it: the camera, where it was taken\. The bundle leaves that out/,
    );
    await made.waitForFunction(() => document.querySelector("canvas.preview")?.height === 30);
    assert.strictEqual(await made.$eval("canvas.preview", (canvas) => canvas.width), 20, "shown as it is turned");
    await made.click('[id="tick-shows-0-hem"]');
    const [download] = await Promise.all([made.waitForEvent("download"), made.click("#save-bundle")]);
    await inFolder(async (folder) => {
      const bundle = path.join(folder, download.suggestedFilename());
      await download.saveAs(bundle);
      // An independent reader of ZIP: Python's own.
      const listed = spawnSync("python3", ["-m", "zipfile", "-t", bundle]);
      assert.strictEqual(listed.status, 0, listed.stdout + listed.stderr);
      const ran = runProgram(bartack, copy, "import", bundle, "--write");
      assert.strictEqual(ran.status, 0, ran.told);
      const name = download.suggestedFilename().replace(/zip$/, "md");
      const entry = fs.readFileSync(path.join(copy, "entries", FOLDER, name), "utf8");
      assert.strictEqual(entry, (await entryOf(made)).replace(/^# goes to: .*\n/m, ""));
      assert.match(entry, /\{ file = "photo-1\.jpg", shows = \["hem"\]/);
      const brought = fs.readFileSync(path.join(copy, "entries", FOLDER, "photo-1.jpg"));
      for (const secret of [PLACE, "CAM"]) assert.ok(!brought.includes(secret), `${secret} is left out`);
      const picture = (bytes) =>
        bytes.subarray(bytes.indexOf(Buffer.from([0xff, 0xda])), bytes.indexOf(Buffer.from([0xff, 0xd9])));
      assert.ok(picture(brought).equals(picture(jpeg)), "the picture is the same, point for point");
      // The browser reads how it is turned.
      const turned = await made.evaluate(
        async (bytes) => {
          const bitmap = await createImageBitmap(new Blob([new Uint8Array(bytes)], { type: "image/jpeg" }));
          return [bitmap.width, bitmap.height];
        },
        [...brought],
      );
      assert.deepStrictEqual(turned, [20, 30]);
      assert.ok(fs.readFileSync(path.join(copy, "entries", FOLDER, "inner-hem.png")).equals(PNG));
      const check = runProgram(bartack, copy, "check", path.join(copy, "entries", FOLDER));
      assert.strictEqual(check.status, 0, check.told);
      await seenOnItsPage(browser, { folder, name: name.replace(/\.md$/, ""), secrets: [PLACE, "CAM"] });
    });
    assert.deepStrictEqual(troubles, []);
  },
  async "the page makes the bundle, byte by byte, that the tests of the commands bring in"(browser) {
    const { made, troubles } = await recorded(browser);
    await typed(made, "tell-observed", "14 March 2026");
    await typed(made, "tell-observer", "Wren");
    await choose(made, "tell-placedBy", 1);
    await typed(made, "tell-madeWords", "1977");
    await typed(made, "tell-body", "Seen at a fair.");
    await chooseFiles(made, "choose-photos", [{ name: "Inner hem.png", mimeType: "image/png", buffer: PNG }]);
    await made.waitForSelector("#photo-0-file");
    await made.click('[id="tick-shows-0-hem"]');
    const [download] = await Promise.all([made.waitForEvent("download"), made.click("#save-bundle")]);
    assert.strictEqual(download.suggestedFilename(), "1977-wren.zip");
    const bytes = fs.readFileSync(await download.path());
    assert.ok(bytes.equals(fs.readFileSync(HANDED)), `another bundle than handed.zip: ${await entryOf(made)}`);
    assert.deepStrictEqual(troubles, []);
  },
  async "what is no photograph that can be shown is refused, with what to do"(browser) {
    const { made, troubles } = await recorded(browser);
    await inFolder(async (folder) => {
      const heic = Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from("ftypheic"), Buffer.alloc(40)]);
      const webp = Buffer.from("RIFF\0\0\0\0WEBPVP8 ");
      for (const [name, buffer, said] of [
        ["a.heic", heic, /“a\.heic” is HEIC, AVIF or a film\. Set the camera to take JPEG/],
        ["a.jpg", webp, /“a\.jpg” is WebP\. Export it as JPEG or PNG/],
        ["notes.txt", Buffer.from("hem"), /“notes\.txt” is no JPEG and no PNG/],
        ["empty.png", Buffer.alloc(0), /“empty\.png” is no JPEG and no PNG/],
        ["large.png", Buffer.concat([PNG, Buffer.alloc(33 << 20)]), /“large\.png” is larger than 33\.6 MB/],
      ]) {
        const file = path.join(folder, name);
        fs.writeFileSync(file, buffer);
        await chooseFiles(made, "choose-photos", [file]);
        await made.waitForFunction(
          (word) => document.getElementById("photos-problem").textContent.includes(word),
          name,
        );
        assert.match(await made.textContent("#photos-problem"), said);
      }
      assert.strictEqual(await made.locator("#photo-0-file").count(), 0);
      assert.strictEqual(await made.locator("#save-bundle").count(), 0);
      // One that can be shown takes the words away.
      await chooseFiles(made, "choose-photos", [{ name: "hem.png", mimeType: "image/png", buffer: PNG }]);
      await made.waitForSelector("#save-bundle");
      assert.strictEqual(await made.textContent("#photos-problem"), "");
    });
    assert.deepStrictEqual(troubles, []);
  },
  async "a page that was closed asks for the photograph again, and keeps its name"(browser) {
    const { made, troubles } = await recorded(browser);
    await chooseFiles(made, "choose-photos", [{ name: "hem.png", mimeType: "image/png", buffer: PNG }]);
    await made.waitForSelector("#save-bundle");
    await made.reload();
    assert.strictEqual(await made.inputValue("#photo-0-file"), "hem.png");
    assert.strictEqual(await made.locator("#save-bundle").count(), 0);
    await chooseFiles(made, "photo-0-again", [{ name: "another.png", mimeType: "image/png", buffer: PNG }]);
    await made.waitForSelector("#save-bundle");
    assert.strictEqual(await made.inputValue("#photo-0-file"), "hem.png");
    assert.deepStrictEqual(troubles, []);
  },
  async "a mail goes to whoever keeps the knowledge base, and what happens next is said"(browser) {
    const { made } = await recorded(browser);
    const mail = new URL(await made.getAttribute("text=Send it by mail", "href"));
    assert.strictEqual(mail.pathname, "keepers@example.org");
    assert.strictEqual(mail.searchParams.get("body"), await entryOf(made));
    assert.match(await made.textContent("[aria-labelledby=part-hand]"), /reads it, and a program checks it/);
    const contribute = await made.context().newPage();
    await contribute.goto(base + "contribute.html");
    assert.strictEqual(await contribute.getAttribute("text=keepers@example.org", "href"), "mailto:keepers@example.org");
  },
  async "where the system can share, entry and photographs are shared as one file"(browser) {
    const context = await browser.newContext();
    await context.addInitScript(() => {
      window.given = [];
      navigator.canShare = () => true;
      navigator.share = async (what) => void window.given.push(...what.files.map((one) => one.name));
    });
    const { made, troubles } = await page(context, base);
    await made.goto(base + RECORD);
    await made.click("#share");
    await chooseFiles(made, "choose-photos", [{ name: "hem.png", mimeType: "image/png", buffer: PNG }]);
    await made.waitForSelector("#save-bundle");
    await made.click("#share");
    const given = await made.evaluate(() => window.given);
    assert.deepStrictEqual(
      given.map((name) => name.replace(/.*\./, "")),
      ["md", "zip"],
    );
    assert.deepStrictEqual(troubles, []);
  },
  async "what was cleared or left out is put back, until something else is answered"(browser) {
    const { made, troubles } = await recorded(browser);
    await typed(made, "tell-body", "Found in a loft.");
    await chooseFiles(made, "choose-photos", [{ name: "hem.png", mimeType: "image/png", buffer: PNG }]);
    await made.waitForSelector("#save-bundle");
    const before = await entryOf(made);
    for (const taken of ["#photo-0-leave", "#clear-draft"]) {
      await made.click(taken);
      assert.notStrictEqual(await entryOf(made), before, taken);
      await made.click("#put-back");
      assert.strictEqual(await entryOf(made), before, taken);
      assert.strictEqual(await made.locator("#save-bundle").count(), 1, "the photograph is there again");
    }
    await made.click("#clear-draft");
    await typed(made, "tell-body", "Another one.");
    assert.strictEqual(await made.locator("#put-back").count(), 0);
    assert.deepStrictEqual(troubles, []);
  },
  async "two pages that are open at once do not write over each other"(browser) {
    const { made, context } = await recorded(browser, "record.html");
    await typed(made, "tell-body", "The first.");
    const { made: other } = await page(context, base);
    await other.goto(base + "record.html");
    assert.match(await entryOf(other), /The first\./, "the other page goes on with the draft");
    await typed(made, "tell-body", "The first, more of it.");
    await typed(other, "tell-observer", "Wren");
    await typed(made, "tell-find", "loft");
    await made.reload();
    assert.match(await entryOf(made), /find = "loft"[^]*The first, more of it\./);
    assert.doesNotMatch(await entryOf(made), /Wren/);
    await other.reload();
    assert.match(await entryOf(other), /observer = "Wren"[^]*The first\.\n/);
    await made.click(".drafts > summary");
    await made.click("text=Continue it");
    assert.match(await entryOf(made), /observer = "Wren"/);
  },
  async "what was sent is marked, and the next garment is like it or not"(browser) {
    const { made, troubles } = await recorded(browser);
    await typed(made, "tell-observer", "Wren");
    await choose(made, "tell-placedBy", 1);
    await made.click("#mark-sent");
    const sent = () => made.textContent("[aria-labelledby=part-hand]");
    assert.match(await sent(), /Sent on \d{4}-\d\d-\d\d\. +Next garment/);
    await typed(made, "tell-body", "And a torn pocket.");
    assert.match(await sent(), /You changed it since: send it again/);
    await made.click("#mark-sent");
    await made.click("#next-alike");
    const next = await entryOf(made);
    assert.match(next, /goes to: entries\/makers\/brackwold-tharn\/sluice-118\/underlode-men/);
    assert.match(next, /observer = "Wren"[^]*placed-by = "mark"/);
    assert.doesNotMatch(next, /hem|torn/);
    assert.match(await made.textContent(".drafts"), /Underlode.*: 1 detail, changed .*, sent \d{4}/i);
    await typed(made, "tell-body", "The second.");
    await made.click("#mark-sent");
    await made.click("#next");
    assert.match(await entryOf(made), /goes to: entries\/unplaced/);
    assert.strictEqual(await made.locator(".drafts li").count(), 2);
    assert.deepStrictEqual(troubles, []);
  },
};
run(tests);
