// The field that reads a code, on the page of all keys and on that of each: by keyboard, on a phone's width, beside what
// the compiler read from the same codes.
//
// node keys.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const { page, run, write } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const ids = fs
  .readdirSync(`${site}/keys`)
  .map((name) => name.replace(/\.html$/, ""))
  .filter((id) => id !== "index");

async function opened(browser, path, width = 360) {
  const context = await browser.newContext({ viewport: { width, height: 740 } });
  const { made, troubles } = await page(context, base);
  await made.goto(base + path);
  return { made, troubles };
}

// What the field says of a code, by the key whose reading it is.
function answers(made) {
  return made.$$eval("#code-said .reading", (all) =>
    Object.fromEntries(all.map((one) => [one.id.slice("reads-".length), one.querySelector(".answer").textContent])),
  );
}

// The codes that a key's page lists, each with what the compiler read from it; those that it could not read are left out.
function listed(made) {
  return made.evaluate(() => {
    const examples = [...document.querySelectorAll("#form + div dl.look > div")].map((one) => [
      one.querySelector("dt").textContent,
      one.querySelector("dd").textContent,
    ]);
    const rows = [...document.querySelectorAll("#garments + div tbody tr")]
      .map((row) => [...row.children].map((cell) => cell.textContent))
      .filter(([, , , becomes]) => becomes !== "")
      .map(([code, , reads]) => [code, reads]);
    return [...examples, ...rows];
  });
}

const tests = {
  "every code that a key's page lists is read in its field as the compiler read it": async (browser) => {
    assert.ok(ids.length >= 4, `${ids}`);
    let count = 0;
    for (const id of ids) {
      const { made, troubles } = await opened(browser, `keys/${id}.html`);
      for (const [code, reads] of await listed(made)) {
        await write(made, "code", code);
        assert.deepStrictEqual(await answers(made), { [id]: `It reads ${reads}.` }, `${id}: ${code}`);
        count += 1;
      }
      assert.deepStrictEqual(troubles, []);
    }
    assert.ok(count >= 12, `${count} codes`);
  },
  "the page of all keys finds the key of any listed code, and leads to it and to a garment's date": async (browser) => {
    for (const id of ids) {
      const { made } = await opened(browser, `keys/${id}.html`);
      const [[code, reads]] = await listed(made);
      const { made: all, troubles } = await opened(browser, "keys/index.html");
      await write(all, "code", code);
      assert.strictEqual((await answers(all))[id], `It reads ${reads}.`);
      await all.click(`#reads-${id} .from a`);
      assert.strictEqual(new URL(all.url()).pathname.split("/").pop(), `${id}.html`);
      await all.goBack();
      assert.strictEqual(await all.inputValue("#code"), code, "what was typed is there again");
      await all.click(`#reads-${id} p:last-child a`);
      await all.waitForFunction((code) => document.body.textContent.includes(code), code);
      assert.match(all.url(), /in-hand\.html#/);
      assert.deepStrictEqual(troubles, []);
    }
  },
  "a code is typed and read by keyboard alone, and the field keeps the focus": async (browser) => {
    const { made, troubles } = await opened(browser, `keys/${ids[0]}.html`);
    const [[code, reads]] = await listed(made);
    for (let step = 0; step < 60 && (await made.evaluate(() => document.activeElement.id)) !== "code"; step += 1)
      await made.keyboard.press("Tab");
    for (const letter of code) {
      await made.keyboard.press(letter === " " ? "Space" : letter);
      assert.strictEqual(await made.evaluate(() => document.activeElement.id), "code");
    }
    assert.strictEqual(await made.inputValue("#code"), code);
    assert.deepStrictEqual(await answers(made), { [ids[0]]: `It reads ${reads}.` });
    assert.strictEqual(await made.getAttribute("#code-said", "aria-live"), "polite");
    assert.deepStrictEqual(troubles, []);
  },
  "what no key reads is said back cut short and harmless, and stays in the field": async (browser) => {
    for (const path of ["keys/index.html", `keys/${ids[0]}.html`]) {
      for (const typed of [
        "no such code",
        "<img src=x onerror=alert(1)>",
        "\u202e8740",
        "7".repeat(100_000),
        "％ ０４７８ ∞",
      ]) {
        const { made, troubles } = await opened(browser, path);
        await write(made, "code", typed);
        assert.strictEqual(await made.inputValue("#code"), typed);
        const said = await made.textContent("#code-said");
        assert.ok(said.length > 10 && said.length < 1_000, `${said.length} characters`);
        assert.deepStrictEqual(await made.$$("#code-said img"), []);
        const [wide, seen] = await made.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        assert.ok(wide <= seen, `${wide} of ${seen} pixels`);
        assert.deepStrictEqual(troubles, []);
        await made.context().close();
      }
    }
  },
  "a code in the address is read; another, or none that can be read, leaves the page whole": async (browser) => {
    const { made, troubles } = await opened(browser, `keys/${ids[0]}.html`);
    const codes = await listed(made);
    for (const [code, reads] of codes) {
      await made.evaluate((code) => void (location.hash = `code=${encodeURIComponent(code)}`), code);
      await made.waitForFunction((code) => document.getElementById("code").value === code, code);
      assert.deepStrictEqual(await answers(made), { [ids[0]]: `It reads ${reads}.` });
    }
    await made.goto(`${base}keys/${ids[0]}.html#code=%E0%A4%A`);
    await made.reload();
    assert.strictEqual(await made.inputValue("#code"), "");
    await made.goto(`${base}keys/${ids[0]}.html#garments`);
    assert.ok(await made.isVisible("#garments"));
    assert.deepStrictEqual(troubles, []);
  },
};

run(tests);
