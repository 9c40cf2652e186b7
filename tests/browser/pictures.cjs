// The picture of a page, saved by keys alone from a folder: its sizes, its words and counts against the page's, and no
// text out of its box, also with names far too long and full of what XML escapes.
//
// node pictures.cjs SITE COPY BARTACK: the built demo, a copy of its knowledge base, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { faults } = require("./accessible.cjs");
const { opened, run } = require("./browser.cjs");
const { inFolder, runProgram } = require("./files.cjs");

const [site, copy, bartack] = process.argv.slice(2);
const SIZES = { landscape: [1200, 630], upright: [1080, 1350] };
const COMPARISON = "compare/brackwold-tharn/sluice-118/standing-gate-men.underlode-men.html";
const VARIANT = "makers/brackwold-tharn/culmer-31/standing-gate-men.html";
const GARMENT = "#maker=brackwold-tharn&model=brackwold-tharn%2Fsluice-118&hem=chain-stitch&leg-seam=felled-double";
const LINE = "lines/brackwold-tharn/standing-gate.html";
const CAUTION = "This is an opinion drawn from what people recorded, not an authentication.";

// As a browser shows it: words with one space between.
function flat(text) {
  return text.replace(/\s+/g, " ").trim();
}

function versionOf(folder) {
  return /version <code>([^<]*)/.exec(fs.readFileSync(path.join(folder, "downloads.html"), "utf8"))[1];
}

// Opens the dialog by keys, from wherever the button is.
async function asked(made, isAnswer) {
  const button = isAnswer ? made.getByRole("button", { name: "Make a picture" }) : made.locator("#make-picture");
  await button.focus();
  await made.keyboard.press("Enter");
  await made.waitForSelector("dialog.picture[open]");
}

// Goes to a button by Tab and presses it; gives the file that the browser was given.
async function saved(made, name) {
  for (let step = 0; step < 12; step += 1) {
    const at = await made.evaluate(() => document.activeElement.getAttribute("aria-label") || "");
    if (at.startsWith(name[0]) && at.includes(name[1])) break;
    await made.keyboard.press("Tab");
  }
  const [download] = await Promise.all([made.waitForEvent("download"), made.keyboard.press("Enter")]);
  return { name: download.suggestedFilename(), bytes: fs.readFileSync(await download.path()) };
}

async function pictures(made) {
  const all = [];
  for (const [says, size] of Object.entries(SIZES)) {
    for (const kind of ["SVG", "PNG"]) {
      const file = await saved(made, [`Save as ${kind}`, `${says[0].toUpperCase()}${says.slice(1)}`]);
      all.push({ ...file, kind, size });
    }
  }
  return all;
}

// Width and height as the head of a PNG file has them, and whether it holds more than one colour.
function headOf(bytes) {
  assert.strictEqual(bytes.toString("latin1", 1, 4), "PNG");
  return [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
}

// The texts of an SVG file, and those that run out of their box or the sheet, in a page that has nothing else.
async function texts(browser, bytes) {
  const context = await browser.newContext();
  const made = await context.newPage();
  await made.setContent(`<body style="margin:0">${bytes.toString("utf8")}</body>`);
  const found = await made.evaluate(() => {
    const svg = document.querySelector("svg");
    const own = [...svg.querySelectorAll("text[data-box]")];
    const outside = own.filter((one) => {
      const [x, y, width, height] = one.dataset.box.split(" ").map(Number);
      // A length that was set would squeeze the letters into it: on the machine that measured them, they fit without.
      one.removeAttribute("textLength");
      const box = one.getBBox();
      const isInBox = box.x >= x - 1 && box.y >= y - 2 && box.x + box.width <= x + width + 1;
      const [wide, high] = [svg.width.baseVal.value, svg.height.baseVal.value];
      const isOnSheet = x >= 0 && y >= 0 && x + width <= wide && y + height <= high;
      return !isInBox || box.y + box.height > y + height + 2 || !isOnSheet;
    });
    const boxes = own.map((one) => one.dataset.box.split(" ").map(Number));
    const crossed = boxes.filter(([x, y, width, height], at) =>
      boxes.some(([left, top, wide, high], other) => {
        const beside = x + width <= left + 0.5 || left + wide <= x + 0.5;
        return other > at && !beside && y + height > top + 0.5 && top + high > y + 0.5;
      }),
    );
    return {
      lines: own.map((one) => one.textContent),
      outside: outside.map((one) => one.textContent),
      crossed: crossed.length,
      strange: [...svg.querySelectorAll("script, style, image, use, a, foreignObject, [style], [class], [href]")]
        .length,
      paths: svg.querySelectorAll("path").length,
    };
  });
  await context.close();
  return found;
}

// Holds all four files to what they must say.
async function check(browser, files, { folder, name, says, outlines }) {
  for (const { name: file, kind, size, bytes } of files) {
    assert.match(file, new RegExp(`^[a-z0-9-]+-${size[0]}x${size[1]}\\.${kind.toLowerCase()}$`));
    if (kind === "PNG") {
      assert.deepStrictEqual(headOf(bytes), size);
      assert.ok(bytes.length > 15000, `${file}: ${bytes.length} bytes`);
      continue;
    }
    const text = bytes.toString("utf8");
    assert.match(text, new RegExp(`^<svg xmlns="http://www.w3.org/2000/svg" width="${size[0]}" height="${size[1]}"`));
    assert.deepStrictEqual(
      [...text.matchAll(/(https?:|data:|file:)[^"]*/g)].map(([one]) => one),
      ["http://www.w3.org/2000/svg"],
    );
    const { lines, outside, crossed, strange, paths } = await texts(browser, bytes);
    assert.deepStrictEqual([outside, crossed, strange], [[], 0, 0], file);
    const whole = flat(lines.join(" "));
    assert.ok(whole.includes(CAUTION), whole);
    assert.ok(whole.includes(`${name}, version ${versionOf(folder)}`), whole);
    assert.ok(paths >= outlines, `${file}: ${paths} paths`);
    const left = Number((/and (\d+) more on the page/.exec(whole) || [0, 0])[1]);
    const rows = says.slice(0, says.length - left);
    assert.ok(rows.length > 0, whole);
    for (const row of rows) for (const one of row) assert.ok(whole.includes(one), `${file}: ${one} in ${whole}`);
  }
}

// The counts of a comparison as a reader of the page finds them.
function compared(made) {
  return made.$$eval(".facing .group:not(.quiet) .beside", (rows) =>
    rows.map((row) => [...row.querySelectorAll(".state")].map((one) => one.textContent.replace(/\s+/g, " ").trim())),
  );
}

// The same of a variant or a line: what was counted, what its drawings show, what changed.
function charted(made) {
  return made.$$eval(".chart .who .detail, .plates > figure svg > desc, .changing h3 + p", (all) => {
    const order = (one) => [".who", "figure", ".changing"].findIndex((part) => one.closest(part));
    return all
      .sort((one, other) => order(one) - order(other))
      .map((one) => [one.textContent.replace(/\s+/g, " ").trim()]);
  });
}

// The name of a knowledge base as its first page has it.
function nameOf(made) {
  return made.$eval(".running .site", (one) => one.textContent.trim());
}

async function page(browser, folder, file, size) {
  return opened(browser, `file://${folder}/`, { path: file, ...size });
}

const DESK = { width: 1280, height: 900 };
const PHONE = { width: 360, height: 740, hasTouch: true };

// Fills a folder with the demo, with names that no sheet has room for, and builds it.
function withLongNames(root) {
  fs.cpSync(copy, root, { recursive: true });
  const long = "The “Unsayably & Endlessly <Long>” Line of Overlapping Names, ".repeat(4) + "W".repeat(90);
  for (const [file, key] of [
    ["entries/makers/brackwold-tharn/sluice-118/standing-gate-men/variant.md", "name"],
    ["entries/makers/brackwold-tharn/culmer-31/standing-gate-men/variant.md", "name"],
    ["entries/about.md", "title"],
  ]) {
    const at = path.join(root, file);
    const text = fs.readFileSync(at, "utf8");
    const changed = text.replace(new RegExp(`^${key} = .*$`, "m"), () => `${key} = '${long}'`);
    assert.notStrictEqual(changed, text, file);
    fs.writeFileSync(at, changed);
  }
  const out = path.join(root, "out");
  const built = runProgram(bartack, root, "build", "--out", out);
  assert.strictEqual(built.status, 0, built.told);
  return out;
}

const tests = {
  "a comparison, a variant and a line make pictures with their own counts": async (browser) => {
    for (const size of [DESK, PHONE]) {
      for (const [file, read, outlines] of [
        [COMPARISON, compared, 20],
        [VARIANT, charted, 20],
        // A label alone.
        [LINE, charted, 6],
      ]) {
        const { made, troubles, context } = await page(browser, site, file, size);
        const says = (await read(made)).map((row) => row.map(flat));
        const lead = flat(await made.$eval(".advice, .answer", (one) => one.textContent));
        await asked(made, false);
        const files = await pictures(made);
        await check(browser, files, { folder: site, name: await nameOf(made), says: [[lead], ...says], outlines });
        assert.match(await made.textContent("dialog.picture [role=status]"), /1080x1350\.png was given/);
        assert.deepStrictEqual(await faults(made), []);
        await made.keyboard.press("Escape");
        await made.waitForFunction(() => !document.querySelector("dialog.picture"));
        assert.strictEqual(await made.evaluate(() => document.activeElement.id), "make-picture");
        assert.deepStrictEqual(troubles, [], file);
        await context.close();
      }
    }
  },
  "the answer about a garment makes a picture, also alone on a phone": async (browser) => {
    for (const [file, size] of [
      [`in-hand.html${GARMENT}`, DESK],
      [`garment.html${GARMENT.replace("#", "#view=hand&")}`, PHONE],
    ]) {
      const { made, troubles, context } = await page(browser, site, file, size);
      const card = flat((await made.$$eval(".card p", (all) => all.map((one) => one.textContent))).join(" "));
      const shares = await made.$$eval(".candidates li", (all) =>
        all.map((one) => one.textContent.replace(/\s+/g, " ").trim()),
      );
      assert.ok(shares.length > 1, file);
      await asked(made, true);
      const files = await pictures(made);
      await check(browser, files, { folder: site, name: await nameOf(made), says: [[card], shares], outlines: 20 });
      assert.deepStrictEqual(troubles, [], file);
      await context.close();
    }
  },
  "names far too long and full of signs stay in their boxes": async (browser) => {
    await inFolder(async (root) => {
      const out = withLongNames(root);
      for (const file of [COMPARISON, VARIANT, `in-hand.html${GARMENT}`]) {
        const { made, troubles, context } = await page(browser, out, file, DESK);
        await asked(made, file.startsWith("in-hand"));
        for (const { name, kind, size, bytes } of await pictures(made)) {
          if (kind === "PNG") {
            assert.deepStrictEqual(headOf(bytes), size);
            continue;
          }
          const { lines, outside, crossed, strange } = await texts(browser, bytes);
          assert.deepStrictEqual([outside, crossed, strange], [[], 0, 0], `${file} ${name}`);
          const whole = flat(lines.join(" "));
          assert.ok(whole.includes("Unsayably & Endlessly <Long>") && whole.includes(CAUTION), whole);
        }
        assert.deepStrictEqual(troubles, [], file);
        await context.close();
      }
    });
  },
  "a page whose version cannot be read says so and makes none": async (browser) => {
    await inFolder(async (folder) => {
      fs.cpSync(site, folder, { recursive: true });
      fs.rmSync(path.join(folder, "rules/rules.js"));
      const { made, context } = await page(browser, folder, COMPARISON, DESK);
      await made.click("#make-picture");
      await made.waitForFunction(() => /rules\.js/.test(document.querySelector(".keep [role=status]").textContent));
      assert.ok(!(await made.$("dialog.picture")));
      await context.close();
    });
  },
};

run(tests);
