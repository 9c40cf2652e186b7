// What people come for, done by mouse, by touch and by keyboard, on a phone, a tablet and a desk, in light, dark and
// forced colours: each step begins where the last ended, and nothing is used that cannot be seen. Then it is printed.
//
// node tasks.cjs SITE
"use strict";

const assert = require("node:assert");
const { page, run } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const MOST_STEPS = 400;

// Each way of pointing at each width, and each scheme with each way of pointing.
const WAYS = [
  { by: "mouse", width: 360, height: 740, forcedColors: "active" },
  { by: "mouse", width: 768, height: 1024, colorScheme: "dark" },
  { by: "mouse", width: 1280, height: 900, colorScheme: "light" },
  { by: "touch", width: 360, height: 740, colorScheme: "dark" },
  { by: "touch", width: 768, height: 1024, colorScheme: "light" },
  { by: "touch", width: 1280, height: 900, forcedColors: "active" },
  { by: "keyboard", width: 360, height: 740, colorScheme: "light" },
  { by: "keyboard", width: 768, height: 1024, forcedColors: "active" },
  { by: "keyboard", width: 1280, height: 900, colorScheme: "dark" },
];

// Success criterion 2.5.8 of WCAG 2.2: a target that does not stand in a sentence is at least 24 by 24 CSS pixels.
const LEAST_TARGET = 24;

class Person {
  constructor(made, by) {
    Object.assign(this, { made, by });
  }

  // Presses a control or follows a link, and lands where that leads.
  async use(selector) {
    const target = this.made.locator(selector).first();
    if (this.by === "mouse") await target.click();
    else if (this.by === "touch") {
      await this.isLargeEnough(target, selector);
      await target.tap();
    } else {
      await this.reach(selector);
      await this.made.keyboard.press(await target.evaluate((one) => (one.type === "radio" ? "Space" : "Enter")));
    }
  }

  // The keyboard moves inside the group of a radio button by arrows.
  async choose(id) {
    if (this.by !== "keyboard") return this.use(`#${id}`);
    const name = await this.made.getAttribute(`#${id}`, "name");
    await this.reach(`input[name="${name}"]`);
    for (let step = 0; !(await this.isAt(`#${id}`)); step += 1) {
      assert.ok(step < MOST_STEPS, `arrows do not lead to ${id}`);
      await this.made.keyboard.press("ArrowDown");
    }
  }

  async write(selector, text) {
    if (this.by === "keyboard") await this.reach(selector);
    else await this.use(selector);
    await this.made.keyboard.type(text);
  }

  async reach(selector) {
    for (let step = 0; !(await this.isAt(selector)); step += 1) {
      assert.ok(step < MOST_STEPS, `Tab does not lead to ${selector}`);
      await this.made.keyboard.press("Tab");
    }
    const isMarked = await this.made.evaluate(() => {
      const at = document.activeElement;
      const shown = at.matches("input[type=radio]") ? at.nextElementSibling : at;
      return getComputedStyle(shown).outlineStyle !== "none";
    });
    assert.ok(isMarked, `the focus cannot be seen on ${selector}`);
  }

  isAt(selector) {
    return this.made.evaluate((wanted) => document.activeElement.matches(wanted), selector);
  }

  async isLargeEnough(target, selector) {
    const isInSentence = await target.evaluate((one) => {
      const { parentElement: parent } = one;
      return one.matches("a") && parent.textContent.trim() !== one.textContent.trim();
    });
    if (isInSentence) return;
    const { width, height } = await target.boundingBox();
    assert.ok(width >= LEAST_TARGET && height >= LEAST_TARGET, `${selector} is ${width} by ${height} px`);
  }
}

// Runs a task in each of the ways; what goes wrong says in which.
function everyWay(task) {
  return async (browser) => {
    for (const way of WAYS) {
      const { by, width, height, ...scheme } = way;
      const isTouch = by === "touch";
      const context = await browser.newContext({
        viewport: { width, height },
        hasTouch: isTouch,
        isMobile: isTouch,
        reducedMotion: "reduce",
        ...scheme,
      });
      const { made, troubles } = await page(context, base);
      try {
        await made.goto(base + "index.html");
        await task(new Person(made, by), made, way);
        // A phone widens its window to a page that is too wide, so the width asked for is the measure.
        const over = (await made.evaluate(() => document.documentElement.scrollWidth)) - width;
        assert.ok(over <= 1, `the page is wider than the window by ${over} px`);
        assert.deepStrictEqual(troubles, []);
      } catch (error) {
        error.stack = `${JSON.stringify(way)}: ${error.stack}`;
        throw error;
      } finally {
        await context.close();
      }
    }
  };
}

// Opens the part of the garment that asks for a feature, unless it stands open.
async function openZone(person, feature) {
  const zone = `details:has(> #look-${feature})`;
  const isHidden = await person.made.evaluate((of) => {
    const around = document.querySelector(of);
    return around !== null && !around.open;
  }, zone);
  if (isHidden) await person.use(`${zone} > summary`);
}

async function isInWindow(made, selector) {
  await made.waitForFunction((wanted) => {
    const { top, bottom } = document.querySelector(wanted).getBoundingClientRect();
    return bottom > 0 && top < innerHeight;
  }, selector);
}

async function dateGarment(person, made) {
  await person.use("ul.kinds a[href$='garment=trousers']");
  await made.waitForSelector("#kind-trousers:checked", { state: "attached" });
  await openZone(person, "belt-loops");
  await person.write("#see-belt-loops-value", "7");
  await openZone(person, "hem");
  await person.choose("see-hem-chain-stitch");
  await made.waitForFunction(() => /most likely/i.test(document.querySelector("#answer .card").textContent));
}

const tests = {
  "a garment is dated from the first page, and its answer is in sight": everyWay(async (person, made, way) => {
    await dateGarment(person, made);
    assert.match(made.url(), /garment=trousers.*belt-loops=7.*hem=chain-stitch|hem=chain-stitch.*belt-loops=7/);
    if (way.width < 960) {
      // The short answer stands at the foot of the window, and leads to the whole.
      assert.match(await made.textContent("#told"), /most likely/i);
      await isInWindow(made, "#told");
      await person.use(".foot a");
    }
    await isInWindow(made, "#answer .card");
    assert.strictEqual(await made.inputValue("#see-belt-loops-value"), "7", "nothing is lost on the way");
    assert.ok(await made.isChecked("#see-hem-chain-stitch"));
    const [chosen, other] = await made.evaluate(() =>
      ["chain-stitch", "none"].map((state) => {
        const style = getComputedStyle(document.querySelector(`label[for="see-hem-${state}"]`));
        return `${style.backgroundColor} ${style.color} ${style.borderColor}`;
      }),
    );
    assert.notStrictEqual(chosen, other, "what is chosen can be seen");
  }),
  "two lines are read side by side, with the reasons": everyWay(async (person, made) => {
    await person.use(".glance a[href*='compare/'][href*='/line.']");
    await made.waitForURL(/compare\/.*line\./);
    assert.match(await made.textContent(".advice"), /[.]/);
    await person.use("main .beside details summary, main .over-models details summary");
    await made.waitForFunction(() => document.querySelector("main :is(.beside, .over-models) details[open]") !== null);
  }),
  "a feature is found by its name": everyWay(async (person, made) => {
    if (!(await made.isVisible("#find"))) await person.use(".to-search a");
    await made.waitForSelector("#find", { state: "visible" });
    await person.write("#find", "belt loops");
    const first = "#found a[href*='features/']";
    await made.waitForSelector(first);
    if (person.by === "keyboard") {
      const isChosen = () => made.locator(`${first}[aria-selected="true"]`).count();
      for (let step = 0; !(await isChosen()); step += 1) {
        assert.ok(step < MOST_STEPS, "arrows do not lead to the feature");
        await made.keyboard.press("ArrowDown");
      }
      await made.keyboard.press("Enter");
    } else await person.use(first);
    await made.waitForURL(/features\//);
    assert.match(await made.textContent("h1"), /belt loops/i);
  }),
  "a source is found behind the rest of the site, and followed to what rests on it": everyWay(async (person, made) => {
    await person.use(".rest-of-site > summary");
    await person.use(".rest-of-site a[href='sources.html']");
    await made.waitForURL(/sources\.html/);
    await person.use("main a[href^='sources/']");
    await made.waitForURL(/sources\//);
    await person.use(".resting a");
    await made.waitForURL(/(makers|conflicts|landmarks|keys|lines)/);
    assert.ok((await made.textContent("h1")).length > 3);
  }),
  "an answer is printed with what was entered and the whole caution": async (browser) => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    const { made, troubles } = await page(context, base);
    await made.goto(base + "index.html");
    await dateGarment(new Person(made, "mouse"), made);
    await made.emulateMedia({ media: "print" });
    const text = await made.innerText("main");
    for (const words of [
      /most likely/i,
      /belt loops[^]*7/i,
      /chain stitch/i,
      /not an authentication/,
      /consumer law/,
    ]) {
      assert.match(text, words);
    }
    for (const control of [".asked-of", ".foot", "header.running nav", "#find", "#answer .act"]) {
      const all = await made.locator(control).all();
      assert.ok(all.length > 0, `there is no ${control}`);
      for (const one of all) assert.ok(!(await one.isVisible()), `${control} is printed`);
    }
    assert.deepStrictEqual(troubles, []);
  },
};

run(tests);
