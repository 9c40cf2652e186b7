// The site kept by a browser, from the preview server: asked for by the button, and read again without a network.
//
// node offline.cjs ADDRESS: where the preview server runs.
"use strict";

const assert = require("node:assert");
const { run } = require("./browser.cjs");

const [address] = process.argv.slice(2);

run({
  async "what was kept opens without a network, with style and scripts"(browser) {
    const context = await browser.newContext();
    const made = await context.newPage();
    await made.goto(`${address}downloads.html`);
    const button = made.locator(".keep button");
    assert.match(
      await button.innerText(),
      /Keep for offline use \([\d.]+ [KM]B\)/,
      "the size is shown before it is asked for",
    );
    await button.click();
    await made.waitForFunction(
      () => document.querySelector(".keep [role=status]").textContent.startsWith("Kept."),
      null,
      { timeout: 60000 },
    );
    await context.setOffline(true);
    for (const [page, heading] of [
      ["index.html", ""],
      ["landmarks.html", "Landmarks"],
      ["in-hand.html", "Garment in hand"],
    ]) {
      await made.goto(address + page);
      assert.ok((await made.locator("h1").first().innerText()).includes(heading), page);
      const paper = await made.evaluate(() => getComputedStyle(document.body).backgroundColor);
      assert.notStrictEqual(paper, "rgba(0, 0, 0, 0)", `${page} has no style`);
    }
    await made.waitForSelector("#answer h2, .answered h2");
    await context.close();
  },
});
