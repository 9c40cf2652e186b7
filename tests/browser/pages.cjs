// Every kind of page, from its file and from the preview server: nothing fails, nothing is asked of another place, and
// axe-core finds no fault, in light and dark, at the width of a phone and of a desk.
//
// node pages.cjs SITE [ADDRESS]: the built folder, and the address of the preview server where one runs.
"use strict";

const fs = require("node:fs");
const path = require("node:path");
const assert = require("node:assert");
const { faults } = require("./accessible.cjs");
const { page, run } = require("./browser.cjs");
const { below } = require("./files.cjs");

const [site, address] = process.argv.slice(2);
const SIZES = [
  { width: 360, height: 740 },
  { width: 1280, height: 900 },
];

// The largest page of each kind: pages of one kind lie equally deep in the same top folder.
function kinds() {
  // The page for what is not there is only ever served, at the site's own address.
  const pages = below(site)
    .filter((file) => file.endsWith(".html") && path.basename(file) !== "404.html")
    .map((file) => path.relative(site, file));
  const largest = new Map();
  for (const file of pages) {
    const parts = file.split(path.sep);
    const kind = parts.length === 1 ? file : `${parts[0]}/${parts.length}`;
    const size = fs.statSync(path.join(site, file)).size;
    if (!largest.has(kind) || largest.get(kind).size < size) largest.set(kind, { file, size });
  }
  return [...largest.values()].map((one) => one.file.split(path.sep).join("/")).sort();
}

const HASHES = {
  "compare.html": "#thing=brackwold-tharn%2Fossick-126&thing=quillander%2Fstackyard%2Flong-furrow-men",
  "in-hand.html": "#hem=chain-stitch&belt-loops=7",
  "record.html": "#hem=chain-stitch",
  "garment.html": "#view=record&hem=chain-stitch",
};

async function walk(browser, base, { schemes, sizes }) {
  const troubles = [];
  for (const colorScheme of schemes) {
    for (const viewport of sizes) {
      const context = await browser.newContext({ colorScheme, viewport, reducedMotion: "reduce" });
      for (const file of kinds()) {
        const { made, troubles: own_troubles } = await page(context, base);
        await made.goto(base + file + (HASHES[file] || ""));
        const wide = await made.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        if (wide > 1) own_troubles.push(`wider than the window by ${wide} px`);
        own_troubles.push(...(await faults(made)));
        troubles.push(...own_troubles.map((trouble) => `${file} ${colorScheme} ${viewport.width}: ${trouble}`));
        await made.close();
      }
      await context.close();
    }
  }
  return troubles;
}

const tests = {
  "every kind of page opens from its file without fault": async (browser) => {
    assert.ok(kinds().length > 12, kinds().join(" "));
    const troubles = await walk(browser, `file://${site}/`, { schemes: ["light", "dark"], sizes: SIZES });
    assert.strictEqual(troubles.join("\n"), "");
  },
};
if (address) {
  tests["every kind of page opens from the preview without fault"] = async (browser) => {
    // The pages are the same, so one look at each shows what serving them changes.
    assert.strictEqual((await walk(browser, address, { schemes: ["light"], sizes: SIZES.slice(1) })).join("\n"), "");
  };
}
run(tests);
