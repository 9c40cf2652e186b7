// Measures on the pages of a garment: one choice of centimetres or inches for all of them, kept from visit to visit,
// fractions as they stand on a tape, and what is kept in the unit of the vocabulary.
//
// node measures.cjs SITE
"use strict";

const assert = require("node:assert");
const { asks, page, run, SIZES, typed } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const LEG = "see-leg-opening-value";
const IN_CM = "leg-opening=21";

async function opened(context, path) {
  const { made, troubles } = await page(context, base);
  await made.goto(base + path);
  await asks(made);
  return { made, troubles };
}

function field(made) {
  return made.inputValue(`[id="${LEG}"]`);
}

async function measured(made, text) {
  await typed(made, LEG, text);
  const said = (/** @type {string} */ what) => made.textContent(`[id="${LEG}-${what}"]`);
  return {
    problem: await said("problem"),
    reading: await said("reading"),
    address: await made.evaluate(() => location.hash),
  };
}

const tests = {
  "fractions of an inch are read, and kept in the unit of the vocabulary": async (browser) => {
    for (const { width, height, hasTouch } of SIZES) {
      const context = await browser.newContext({ viewport: { width, height }, hasTouch });
      const { made, troubles } = await opened(context, `in-hand.html#${IN_CM}`);
      assert.strictEqual(await field(made), "21");
      const press = (selector) => (hasTouch ? made.tap(selector) : made.click(selector));
      await press("#units-in");
      assert.strictEqual(await field(made), "8.27");
      assert.match(await made.evaluate(() => location.hash), /leg-opening=21$/, "a choice of unit changes no measure");
      assert.match(await made.textContent(`label[for="${LEG}"]`), /\(in\)/);
      for (const written of ["8 1/4", "8¼", "8-1/4", "8.25", "8,25", "20.955 cm"]) {
        const { problem, reading, address } = await measured(made, written);
        assert.strictEqual(problem, "", written);
        assert.match(
          reading,
          written === "20.955 cm" ? /^Read as 20.955 cm\.$/ : /^Read as 8.25 in, which is 20.955 cm\.$/,
        );
        assert.match(address, /leg-opening=20\.955$/, written);
        assert.strictEqual(await field(made), written, "what was written stays");
      }
      await press("#units-cm");
      assert.strictEqual(await field(made), "20.955");
      assert.deepStrictEqual(troubles, []);
      await context.close();
    }
  },
  "what is out of range is said in the unit in use, and read again when the unit is changed": async (browser) => {
    const context = await browser.newContext();
    const { made, troubles } = await opened(context, `in-hand.html#${IN_CM}`);
    const inCm = await measured(made, "9");
    assert.match(inCm.problem, /between 12 and 40 cm\. If you measured it in inches, choose inches above/);
    assert.match(inCm.address, /leg-opening=21$/, "nothing is taken that cannot be");
    await made.click("#units-in");
    assert.strictEqual(await field(made), "9");
    assert.match(await made.evaluate(() => location.hash), /leg-opening=22\.86$/);
    assert.match((await measured(made, "21")).problem, /between 4\.73 and 15\.74 in\./);
    assert.match((await measured(made, "1,250")).problem, /may be 1\.250 or 1250/);
    assert.match((await measured(made, "eight")).problem, /such as 8\.25, 8,25 or 8 1\/4, in mm, cm or in/);
    assert.deepStrictEqual(troubles, []);
  },
  "the choice is remembered on every page and at the next visit": async (browser) => {
    const context = await browser.newContext();
    const { made: first } = await opened(context, `in-hand.html#${IN_CM}`);
    const { made: other, troubles } = await opened(context, `record.html#${IN_CM}`);
    await first.click("#units-in");
    // The page that is open beside it follows.
    await other.waitForFunction((id) => document.getElementById(id).value === "8.27", LEG);
    await first.close();
    for (const path of ["in-hand.html", "record.html", "garment.html"]) {
      const { made } = await opened(context, `${path}#${IN_CM}`);
      assert.strictEqual(await field(made), "8.27", path);
      assert.ok(await made.isChecked("#units-in"), path);
    }
    const seen = await opened(context, "in-hand.html#model=brackwold-tharn/sluice-118&hem-depth=12.7");
    assert.match(await seen.made.textContent("#answer table"), /1\/2 in/);
    assert.match(await seen.made.inputValue("#quote"), /12\.7 mm/, "what is pasted is in the unit of the vocabulary");
    const { made } = await opened(context, `record.html#${IN_CM}`);
    await measured(made, "8 1/4");
    assert.match(await made.inputValue("#entry"), /^leg-opening = 20\.955$/m);
    await made.reload();
    assert.strictEqual(await field(made), "8 1/4");
    assert.deepStrictEqual(troubles, []);
  },
  "a browser that keeps nothing measures all the same": async (browser) => {
    const context = await browser.newContext();
    const refuse = () =>
      Object.defineProperty(window, "localStorage", {
        get() {
          throw new DOMException("refused", "SecurityError");
        },
      });
    await context.addInitScript(refuse);
    for (const path of ["in-hand.html", "garment.html"]) {
      const { made, troubles } = await opened(context, `${path}#${IN_CM}`);
      await made.click("#units-in");
      assert.strictEqual(await field(made), "8.27", path);
      assert.match((await measured(made, "8 1/4")).address, /leg-opening=20\.955$/);
      assert.deepStrictEqual(troubles, []);
    }
  },
};

run(tests);
