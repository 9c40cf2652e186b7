// A knowledge base of strangers who mean harm: known attacks in every text of every record, in file names and drawings.
// Every page of what is built of it is opened: no script runs, nothing is asked of another place. Then the attacks are
// put into a page as they are, as if nothing had made them safe, and the page's policy alone has to hold.
//
// node hostile.cjs COPY SITE BARTACK: a copy of the demo that is changed, where to build it, the program.
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { page, run, tried } = require("./browser.cjs");
const { below, runProgram } = require("./files.cjs");
const { attacks, FORMULAS, RUNNING } = require("./attacks.cjs");

const [copy, site, bartack] = process.argv.slice(2);
const base = `file://${site}/`;
// No record may hold a hidden character; `check` refuses it.
const ALL = attacks()
  .filter((attack) => !/[\u0000-\u0008]/.test(attack))
  .concat(FORMULAS);
const TEXTS =
  "observer|made-note|made-as-written|as-written|citation|title|name|note|summary|licence|sign|reason|says|look|" +
  "credit|lot-number|date-code";

let used = 0;
const next = () => ALL[used++ % ALL.length];
// Strings of TOML escape what those of JSON do, and allow no other control characters.
const toml = (text) => JSON.stringify(text).replace(/[\u007f]/g, "");

const spoilt = (text) =>
  text.replace(new RegExp(`\\b(${TEXTS}) = "((?:[^"\\\\\\n]|\\\\.)*)"`, "g"), (whole, key, value) => {
    const attack = next();
    // Formulas stand first in a cell, all else behind what was there.
    return `${key} = ${toml(FORMULAS.includes(attack) ? attack + value : `${JSON.parse(`"${value}"`)} ${attack}`)}`;
  });

function spoil() {
  const kinds = new Set();
  for (const file of below(path.join(copy, "entries")).filter((file) => file.endsWith(".md"))) {
    const [start, front, ...body] = fs.readFileSync(file, "utf8").split(/^\+\+\+$/m);
    fs.writeFileSync(file, `${start}+++${spoilt(front)}+++${body.join("+++")}\n\n${next()}\n\n${next()}\n`);
    kinds.add(
      /(about|maker|model|variant)\.md$/.exec(file)?.[1] ??
        path.relative(path.join(copy, "entries"), file).split(path.sep)[0],
    );
  }
  const vocabulary = path.join(copy, "schema", "vocabulary.toml");
  fs.writeFileSync(vocabulary, spoilt(fs.readFileSync(vocabulary, "utf8")));
  const drawings = path.join(copy, "site", "figures");
  fs.mkdirSync(drawings, { recursive: true });
  for (const name of fs
    .readdirSync(path.join(__dirname, "../../site/figures"))
    .filter((name) => name.endsWith(".svg"))) {
    const drawing = fs.readFileSync(path.join(__dirname, "../../site/figures", name), "utf8");
    const harm =
      "<text>&lt;script&gt;alert(1)&lt;/script&gt;<![CDATA[</text></svg><img src=x onerror=alert(1)>]]></text>" +
      `<g class='"&gt;&lt;script&gt;alert(1)&lt;/script&gt;' data-feature='"&gt;&lt;img src=x onerror=alert(1)&gt;'/>`;
    fs.writeFileSync(path.join(drawings, name), drawing.replace(/<\/svg>\s*$/, `${harm}</svg>`));
  }
  fs.writeFileSync(path.join(copy, 'entries/unplaced/"onerror=alert(1) x=.md'), '+++\nbasis = "specimen"\n+++\n');
  return kinds;
}

// The cells of a table, by the rules of RFC 4180.
function cells(text) {
  const found = text.matchAll(/(?:^|,|\r?\n)(?:"((?:[^"]|"")*)"|([^",\r\n]*))/g);
  return [...found].map(([, quoted, plain]) => (quoted === undefined ? plain : quoted.replaceAll('""', '"')));
}

run({
  async "no attack in a record, a name or a drawing does anything on any page"(browser) {
    const kinds = spoil();
    const built = runProgram(bartack, copy, "build", "--keep-going", "--out", site);
    assert.ok(fs.existsSync(path.join(site, "index.html")), built.told);
    const left = below(path.join(site, "makers")).length;
    assert.ok(left > 150, `the attacks are in valid entries, of which ${left} have pages:\n${built.told}`);
    assert.ok(used >= ALL.length && ALL.length >= 200, `${used} of ${ALL.length} attacks were used`);
    const context = await browser.newContext();
    const troubles = [];
    // The page for what is not there is only ever served, at the site's own address.
    const pages = below(site).filter((file) => /\.(html|xml|svg)$/.test(file) && path.basename(file) !== "404.html");
    const { made, troubles: own } = await page(context, base);
    for (const file of pages) {
      await made.goto(`file://${file.split(path.sep).map(encodeURIComponent).join("/")}`);
      // A page that leads on does so by itself.
      if (fs.readFileSync(file, "utf8").includes('http-equiv="refresh"'))
        await made.waitForURL((url) => !url.href.endsWith(path.basename(file)) || url.hash !== "");
      troubles.push(...own.splice(0).map((trouble) => `${path.relative(site, file)}: ${trouble}`));
    }
    for (const [file, text] of [
      ["index.html", "<img"],
      ["index.html", "=1+1"],
    ]) {
      await made.goto(base + file);
      await made.fill(".find input", text);
      await made.waitForTimeout(200);
      troubles.push(...own.splice(0).map((trouble) => `search for ${text}: ${trouble}`));
    }
    assert.deepStrictEqual(troubles.slice(0, 10), []);
    tried("known attacks in records, names and drawings", ALL.length);
    tried("texts of records that hold one of them", used);
    tried("pages opened of what was built of these", pages.length);
    assert.strictEqual(kinds.size, 10, "kinds of record");
  },

  async "no cell of a table begins as a formula does"() {
    const tables = below(site).filter((file) => file.endsWith(".csv"));
    const all = tables.flatMap((file) => cells(fs.readFileSync(file, "utf8")));
    const loose = all.filter((cell) => /^[=+\-@\t\r]/.test(cell) && !/^[+-]?\d+(\.\d+)?(e[+-]?\d+)?$/i.test(cell));
    assert.deepStrictEqual(loose.slice(0, 5), []);
    const guarded = all.filter((cell) => /^'[=+\-@\t'\r]/.test(cell)).length;
    assert.ok(guarded > 20, `${guarded} cells are guarded`);
    tried("cells that begin as a formula does and are guarded", guarded);
  },

  async "the policy of a page alone lets no attack run"(browser) {
    const context = await browser.newContext();
    const { made, troubles } = await page(context, base);
    // A request that the policy refuses never leaves.
    const refused = new Set();
    made.on("requestfailed", (request) => {
      if (request.failure().errorText === "csp") refused.add(`request: ${request.url()}`);
    });
    const html = fs.readFileSync(path.join(site, "landmarks.html"), "utf8");
    const open = path.join(site, "open.html");
    const harmful = [];
    for (const attack of attacks()) {
      fs.writeFileSync(
        open,
        html.replace(/<main[^>]*>/, (main) => `${main}${attack}`),
      );
      await made.goto(`file://${open}`);
      const ran = troubles.splice(0).filter((trouble) => /^(dialog|request)/.test(trouble) && !refused.has(trouble));
      harmful.push(...ran.map((trouble) => `${attack}: ${trouble}`));
    }
    fs.rmSync(open);
    assert.deepStrictEqual(harmful.slice(0, 10), []);
    // Without the policy most of them do run, or this test would show nothing.
    fs.writeFileSync(open, `<!doctype html><title>x</title>${RUNNING[3]}`);
    await made.goto(`file://${open}`);
    await made.waitForTimeout(100);
    fs.rmSync(open);
    assert.ok(
      troubles.some((trouble) => trouble.startsWith("dialog")),
      "an attack runs where there is no policy",
    );
    tried("known attacks that the policy of a page holds off alone", attacks().length);
  },
});
