// The page for what is not there, as hosts show it at any address: links, style and search lead to the site, wherever on
// the host it lies, and also from a folder.
//
// node lost.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const http = require("node:http");
const path = require("node:path");
const { page, run } = require("./browser.cjs");
const { inFolder } = require("./files.cjs");

const [site] = process.argv.slice(2);
const LOST = fs.readFileSync(path.join(site, "404.html"));
const TYPES = { ".css": "text/css", ".html": "text/html", ".js": "text/javascript", ".svg": "image/svg+xml" };

// A host that has the site below a path, and shows the site's page wherever it has nothing.
async function hosted(below, test) {
  const server = http.createServer((request, response) => {
    const { pathname } = new URL(request.url, "http://localhost");
    const file = pathname.startsWith(below) ? path.join(site, pathname.slice(below.length) || "index.html") : "";
    const type = TYPES[path.extname(file)];
    if (!type || !fs.existsSync(file)) {
      response.writeHead(404, { "content-type": "text/html; charset=utf-8" });
      return response.end(LOST);
    }
    response.writeHead(200, { "content-type": type });
    return response.end(fs.readFileSync(file));
  });
  await new Promise((listening) => server.listen(0, "127.0.0.1", listening));
  try {
    await test(`http://127.0.0.1:${server.address().port}`);
  } finally {
    server.close();
  }
}

// What a reader has of the page once its script has found the site.
async function shown(browser, address, own) {
  const { made, troubles } = await page(await browser.newContext(), own);
  await made.goto(address);
  await made.waitForSelector("#find", { state: "visible" });
  const links = await made.$$eval("a[data-page]", (all) => all.map((one) => [one.dataset.page, one.href]));
  const paper = await made.evaluate(() => getComputedStyle(document.body).backgroundColor);
  assert.strictEqual(paper, "rgb(247, 242, 230)", "the page has its style");
  // What is missing is what the page looks for, and the address itself.
  assert.deepStrictEqual(
    troubles.filter((one) => !/the server responded with a status of 404|ERR_FILE_NOT_FOUND/.test(one)),
    [],
  );
  return { made, links };
}

async function leadsTo(found, top) {
  assert.ok(found.links.length >= 6, `${found.links.length} links`);
  for (const [name, href] of found.links) assert.strictEqual(href, top + name);
  await found.made.fill("#find", "brackwold");
  await found.made.waitForSelector("#found a, #found [role=option]");
  await found.made.click("main a[data-page='index.html']");
  assert.match(await found.made.title(), /Bartack/);
}

const tests = {
  "the site is found from any depth, below any path of a host": async (browser) => {
    for (const below of ["/", "/bartack/", "/some/where/else/"]) {
      await hosted(below, async (own) => {
        for (const lost of ["nothing.html", "a/b/c", "makers/nobody/no-model.html", "a/b/?x=1#y"]) {
          await leadsTo(await shown(browser, own + below + lost, own), own + below);
        }
      });
    }
  },
  "what lies beside the site keeps the links that were built": async (browser) => {
    await hosted("/bartack/", async (own) => {
      const { made } = await page(await browser.newContext(), own);
      await made.goto(own + "/elsewhere/page.html", { waitUntil: "networkidle" });
      assert.strictEqual(await made.getAttribute("main a", "href"), "/bartack/index-a-z.html");
      await made.click("main a");
      assert.strictEqual(made.url(), own + "/bartack/index-a-z.html");
    });
  },
  "it works from a folder, and from a folder below": async (browser) => {
    await inFolder(async (copy) => {
      fs.cpSync(site, copy, { recursive: true });
      fs.mkdirSync(path.join(copy, "a/b c"), { recursive: true });
      fs.copyFileSync(path.join(copy, "404.html"), path.join(copy, "a/b c/404.html"));
      const top = `file://${copy}/`;
      await leadsTo(await shown(browser, top + "404.html", top), top);
      await leadsTo(await shown(browser, top + "a/b%20c/404.html", top), top);
    });
  },
  "without scripts it has its style and says what to try": async (browser) => {
    await hosted("/bartack/", async (own) => {
      const { made } = await page(await browser.newContext({ javaScriptEnabled: false }), own);
      await made.goto(own + "/bartack/a/b/c");
      assert.match(await made.textContent("noscript"), /shorten the address/);
      assert.strictEqual(await made.getAttribute("main a", "href"), "/bartack/index-a-z.html");
    });
  },
};

run(tests);
