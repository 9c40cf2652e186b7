// The field that reads a code, on the page of all keys and on that of each: by keyboard, on a phone's width, beside what
// the compiler read from the same codes. And the looks that tell a model's variants apart, on a phone, beside those in print.
//
// node keys.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const { SIZES, opened: openedAt, run, write } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const ids = fs
  .readdirSync(`${site}/keys`)
  .map((name) => name.replace(/\.html$/, ""))
  .filter((id) => id !== "index");

function opened(browser, path) {
  return openedAt(browser, base, { path, width: 360, height: 740 });
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

const squashed = (text) => text.replace(/\s+/g, " ").trim();

// What the printed page of each model holds: its looks, each with its answers and where these lead.
async function printed(browser) {
  const { made, troubles } = await opened(browser, "index.html");
  const found = new Map();
  const files = fs.readdirSync(`${site}/steps`, { recursive: true }).filter((name) => name.endsWith(".html"));
  for (const file of files.sort()) {
    await made.goto(`${base}steps/${file}`);
    const looks = await made.evaluate(() => ({
      lead: document.querySelector(".lead").textContent,
      notes: [...document.querySelectorAll("p.how")].map((one) => one.textContent),
      steps: [...document.querySelectorAll(".steps > li")].map((step) => ({
        feature: step.querySelector("h2").textContent,
        look: step.querySelector(".look").textContent,
        answers: [...step.querySelectorAll("ul > li")].map((one) => {
          const state = one.querySelector("b").textContent;
          const next = one.querySelector("a[href^='#step-']");
          return {
            state,
            next: next ? Number(next.textContent) - 1 : null,
            end: one.textContent.slice(state.length + 1),
          };
        }),
      })),
    }));
    found.set(file.replace(/\.html$/, "").replaceAll("\\", "/"), looks);
  }
  assert.deepStrictEqual(troubles, []);
  return found;
}

// Waits until the page says something of the looks; they are painted after a tap.
function says(made, text) {
  return made.waitForFunction(
    (text) => document.querySelector("#steps .end").textContent.replace(/\s+/g, " ").trim() === text,
    text,
  );
}

// Taps every answer from a look on, and gives how many ends it came to.
async function walk(made, steps, at = 0, depth = 0) {
  const { feature, look, answers } = steps[at];
  const step = made.locator("#steps > ol > li").nth(depth);
  assert.strictEqual(await step.locator("button").textContent(), feature);
  assert.strictEqual(await step.locator(".look").textContent(), look);
  assert.strictEqual(await step.locator(".tap").count(), answers.length + 1, `${feature}: its answers and none`);
  let ends = 0;
  for (const [place, answer] of answers.entries()) {
    const answered = step.locator(".tap").nth(place + 1);
    assert.ok((await answered.textContent()).startsWith(answer.state), answer.state);
    await answered.locator("input").tap();
    if (answer.next === null) {
      await says(made, squashed(answer.end));
      assert.strictEqual(await made.locator("#steps > ol > li").count(), depth + 1, "nothing more is asked");
      ends += 1;
    } else {
      await made.waitForFunction(
        ([depth, feature]) =>
          document.querySelectorAll("#steps > ol > li")[depth]?.querySelector("button").textContent === feature,
        [depth + 1, steps[answer.next].feature],
      );
      ends += await walk(made, steps, answer.next, depth + 1);
    }
  }
  return ends;
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
  "the looks of each model lead a thumb where the printed page leads": async (browser) => {
    const models = await printed(browser);
    const hasSteps = [...models].filter(([, { steps }]) => steps.length > 0);
    assert.ok(hasSteps.length >= 4 && hasSteps.some(([, { steps }]) => steps.length > 2), `${hasSteps.length} models`);
    for (const [model, { lead, notes, steps }] of models) {
      const path = `garment.html#model=${encodeURIComponent(model)}`;
      const { made, troubles, context } = await openedAt(browser, base, { path, ...SIZES[2] });
      await made.waitForSelector("#know-model");
      if (steps.length === 0) {
        assert.strictEqual(await made.locator("#steps").count(), 0);
        assert.ok((await made.textContent("#hand")).includes(lead), model);
        await context.close();
        continue;
      }
      assert.strictEqual(await made.locator("#steps[open]").count(), 0, "closed at first");
      const summary = await made.textContent("#steps > summary");
      assert.ok(lead.startsWith(summary.replace("Step by step ", "")), summary);
      await made.tap("#steps > summary");
      await made.waitForSelector("#steps[open]");
      await says(made, `Next: ${steps[0].feature}.`);
      const answers = steps.flatMap((step) => step.answers);
      assert.strictEqual(await walk(made, steps), answers.filter(({ next }) => next === null).length, model);
      assert.deepStrictEqual(await made.$$eval("#steps > .detail", (all) => all.map((one) => one.textContent)), notes);
      const small = await made.$$eval("#steps :is(summary, .tap label)", (all) =>
        all.filter((one) => one.getBoundingClientRect().height < 44).map((one) => one.textContent),
      );
      assert.deepStrictEqual(small, [], "large enough for a thumb");
      const [wide, seen] = await made.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(wide <= seen, `${wide} of ${seen} pixels`);
      assert.deepStrictEqual(troubles, []);
      await context.close();
    }
  },
  "the looks follow the model and what is seen, by keyboard alone": async (browser) => {
    const models = await printed(browser);
    const [model, { steps }] = [...models].find(([, { steps }]) => steps.length > 1);
    const { made, troubles } = await opened(browser, "in-hand.html");
    const now = () =>
      made.evaluate(() => {
        const { id, tagName: name, textContent: text } = document.activeElement;
        return { id, name, text };
      });
    const until = async (isThere) => {
      for (let step = 0; step < 400; step += 1) {
        await made.keyboard.press("Tab");
        if (isThere(await now())) return;
      }
      assert.fail("not reached by Tab");
    };
    assert.strictEqual(await made.locator("#steps").count(), 0, "no model is known");
    await until(({ id }) => id === "know-model");
    const options = await made.$$eval("#know-model option", (all) => all.map((one) => one.value));
    for (let step = 0; step < options.indexOf(model); step += 1) await made.keyboard.press("ArrowDown");
    await until(({ name, text }) => name === "SUMMARY" && text.startsWith("Step by step"));
    await made.keyboard.press("Enter");
    await made.waitForSelector("#steps[open]");
    // The first answer of each look, to the end.
    for (let at = 0; at !== null; at = steps[at].answers[0].next) {
      const { feature, answers } = steps[at];
      await until(({ name, text }) => name === "BUTTON" && text === feature);
      await until(({ id }) => id.startsWith("step-"));
      await made.keyboard.press("ArrowDown");
      const { id } = await now();
      assert.ok(!id.endsWith("-none"), id);
      assert.ok(await made.isChecked(`[id="${id.replace("step-", "see-")}"]`), "the question below shows the same");
      const [{ next, end }] = answers;
      await says(made, next === null ? squashed(end) : `Next: ${steps[next].feature}.`);
      assert.strictEqual((await now()).id, id, "the focus stays");
    }
    // An answer that no look has leads nowhere; none at all asks again.
    const first = await made.getAttribute("#steps > ol > li:first-child input", "name");
    const question = first.replace("step-", "");
    await made.click(`[id="steps"] li:first-child button`);
    assert.ok((await now()).id.startsWith(`see-${question}-`), "its name leads to its question");
    await made.click(`[id="see-${question}-lost"]`);
    await made.waitForFunction(() => / leads nowhere\.$/.test(document.querySelector("#steps .end").textContent));
    assert.strictEqual(await made.locator("#steps > ol > li").count(), 1);
    await made.click(`[id="step-${question}-none"]`);
    await says(made, `Next: ${steps[0].feature}.`);
    // Another model has looks of its own; without one there are none.
    const other = [...models].find(([id, { steps }]) => id !== model && steps.length > 0);
    for (const [id, looks] of [other, ["", null]]) {
      await made.focus("#know-model");
      await made.keyboard.press("Home");
      for (let step = 0; step < (await place(made, id)); step += 1) await made.keyboard.press("ArrowDown");
      if (looks) await says(made, `Next: ${looks.steps[0].feature}.`);
      else await made.waitForSelector("#steps", { state: "detached" });
    }
    assert.deepStrictEqual(troubles, []);
  },
};

// Which option of the models' field stands for one.
function place(made, id) {
  return made.$$eval("#know-model option", (all, id) => all.findIndex((one) => one.value === id), id);
}

run(tests);
