// The pages that scripts fill, by keyboard, by their own links, and with drafts of any shape: nothing that was answered
// is lost, and no field lies where nobody can use it.
//
// node staying.cjs SITE
"use strict";

const assert = require("node:assert");
const { asks, opened, run, tried, SIZES } = require("./browser.cjs");

const [site] = process.argv.slice(2);
const base = `file://${site}/`;
const DESK = SIZES[0];
const VARIANT = "variant=brackwold-tharn%2Fsluice-118%2Funderlode-men";
const GARMENT = `${VARIANT}&hem=chain-stitch&belt-loops=7`;
const MOST_STOPS = 900;

// Marks where the focus is; says what kind of field is there.
function stop(made) {
  return made.evaluate(() => {
    const at = document.activeElement;
    window.lastStop = at;
    const alone = at.type === "radio" && !at.closest("fieldset").querySelector("input[type=text][inputmode]");
    return { id: at.id, kind: at.type || at.nodeName, alone, text: at.textContent, mode: at.inputMode };
  });
}

// Presses Tab; says which fields between the last stop and this one were passed over. A group of taps is one stop.
async function tab(made) {
  await made.keyboard.press("Tab");
  return made.evaluate(() => {
    const isStop = (one) => {
      if (!one.checkVisibility() || one.tabIndex < 0) return false;
      if (one.type !== "radio") return true;
      const group = `[name="${CSS.escape(one.name)}"]`;
      return one === (document.querySelector(`${group}:checked`) || document.querySelector(group));
    };
    const all = [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")].filter(
      isStop,
    );
    const [from, to] = [all.indexOf(window.lastStop), all.indexOf(document.activeElement)];
    if (!window.lastStop.isConnected) return ["the field that was left is gone"];
    return to < 0 ? [] : all.slice(from + 1, to).map((one) => one.id || one.textContent);
  });
}

// Does at a stop what a person would: types, chooses, ticks, opens. Gives what must be seen there from then on.
async function act(made, at, number) {
  const { keyboard } = made;
  if (at.kind === "text" || (at.kind === "textarea" && at.id !== "entry")) {
    const text = at.mode ? String(13 + (number % 9)) : `text ${number}`;
    await keyboard.press("ControlOrMeta+A");
    await keyboard.type(/^made-/.test(at.id) ? "1978" : text);
  } else if (at.kind === "select-one" && at.id !== "know-maker") await keyboard.press("ArrowDown");
  else if (at.kind === "checkbox") await keyboard.press("Space");
  else if (at.kind === "radio" && at.alone) await keyboard.press("ArrowDown");
  else if (at.kind === "SUMMARY" && /to look at|looked at/.test(at.text)) {
    const isOpen = await made.evaluate(() => document.activeElement.parentElement.open);
    if (!isOpen) await keyboard.press("Enter");
  } else if (at.id === "more-photos" && number < MOST_STOPS / 2) await keyboard.press("Enter");
}

// From the first question to the end of the page.
async function through(made) {
  await made.focus("#know-maker");
  const typed = {};
  const kinds = new Set();
  let photographs = 0;
  for (let number = 1; number < MOST_STOPS; number += 1) {
    const at = await stop(made);
    if (at.kind === "BODY" || at.text === "How to contribute") break;
    if (at.id !== "more-photos" || (photographs += 1) < 3) await act(made, at, number);
    kinds.add(at.kind);
    const now = await stop(made);
    if (now.kind === "text" || now.kind === "textarea")
      typed[now.id] = await made.evaluate(() => document.activeElement.value);
    assert.deepStrictEqual(await tab(made), [], `Tab from ${at.kind} ${at.id || at.text} passes these over`);
  }
  const held = await made.evaluate((ids) => ids.map((id) => document.getElementById(id).value), Object.keys(typed));
  assert.deepStrictEqual(held, Object.values(typed), "what was typed");
  return { typed, kinds };
}

// What must be the same after a link: the address of a garment in hand, and what is answered.
function answered(made) {
  return made.evaluate(() => {
    const fields = [...document.querySelectorAll(".asking :is(input, select, textarea)")];
    const isRecord = Boolean(document.getElementById("record"));
    return {
      garment: isRecord ? "" : location.hash,
      fields: fields
        .filter((one) => one.type !== "radio" || one.checked)
        .map((one) => `${one.id} ${one.value} ${one.checked}`),
    };
  });
}

// Follows each link that leads to a place on the page itself.
async function followed(browser, path) {
  const { made, troubles, context } = await opened(browser, base, { path, ...SIZES[2] });
  await made.click("#know-market");
  await made.keyboard.press("ArrowDown");
  await made.keyboard.press("Enter");
  await made.click("details:has(#look-hem-depth) input#see-hem-depth-value");
  await made.keyboard.type("12.5");
  await made.keyboard.press("Tab");
  const places = await made.$$eval('a[href^="#"]', (links) => links.map((one) => one.getAttribute("href")));
  const inside = places.filter((href) => !href.includes("="));
  assert.ok(inside.length > 0, `${path} has no link within itself`);
  for (const href of inside) {
    const before = await answered(made);
    assert.ok(
      before.fields.some((one) => one.startsWith("see-hem-depth-value 12.5")),
      "the measure is there",
    );
    await made.focus(`a[href="${href}"]`);
    await made.keyboard.press("Enter");
    await made.waitForTimeout(100);
    assert.deepStrictEqual(await answered(made), before, `${path}: ${href}`);
    await made.reload();
    await asks(made);
    assert.deepStrictEqual(await answered(made), before, `${path}: ${href}, then opened again`);
  }
  await context.close();
  assert.deepStrictEqual(troubles, []);
  return inside.length;
}

const LISTS = ["photos", "features", "placedFrom", "madeFrom"];
const SHAPES = [
  ...[
    "",
    "{",
    "null",
    "0",
    "true",
    '"text"',
    "[]",
    "[[]]",
    "[null]",
    "{}",
    '{"features":[null]}',
    '{"features":[["hem"]]}',
  ],
  ...['{"features":[["hem",7],["hem-depth",null],["no-such",{}]]}', '{"features":{"hem":"lost"}}', '{"about":null}'],
  ...[
    '{"about":{"hem":null}}',
    '{"about":{"hem":"x","constructor":{}}}',
    '{"about":[1]}',
    '{"made":null}',
    '{"made":"1978"}',
  ],
  ...[
    '{"made":{"form":"constructor","first":"1978"}}',
    '{"made":{"form":"__proto__"}}',
    '{"made":{"form":"year","first":1978}}',
  ],
  ...['{"made":{"form":"between","first":["1"],"last":{}}}', '{"photos":[null]}', '{"photos":["x",[],7]}'],
  ...[
    '{"photos":[{"file":7,"shows":"hem"}]}',
    '{"photos":[{"file":{},"shows":[null,{}],"credit":[]}]}',
    '{"photos":{"length":3}}',
  ],
  ...[
    '{"__proto__":{"photos":7}}',
    '{"constructor":{"prototype":7}}',
    '{"variant":{"id":1},"model":[],"maker":7,"line":{}}',
  ],
  ...['{"body":7,"observer":{},"find":[],"factory":null}', '{"ownCitation":7,"source":[],"placedBy":{}}'],
  ...['{"madeBy":{},"madeSource":7,"observed":null,"market":{}}', '{"garment":7,"wearer":[],"view":{}}'],
  ...LISTS.flatMap((key) => ["null", "7", '"hem"', "{}", '[["a","b","c"]]'].map((value) => `{"${key}":${value}}`)),
  ...["placedFrom", "madeFrom"].map(
    (key) => `{"placedBy":"judged","made":{"form":"year"},"features":[["hem","lost"]],"${key}":{"a":1}}`,
  ),
];

const tests = {
  async "the page that records is filled by keyboard alone, and no Tab is lost"(browser) {
    const { made, troubles } = await opened(browser, base, { path: `record.html#${GARMENT}`, ...DESK });
    const { typed, kinds } = await through(made);
    for (const kind of ["text", "textarea", "radio", "checkbox", "select-one", "SUMMARY", "button", "A"]) {
      assert.ok(kinds.has(kind), `${kind} was not met in ${[...kinds]}`);
    }
    assert.ok(Object.keys(typed).length > 40, `${Object.keys(typed).length} fields were typed into`);
    assert.deepStrictEqual(troubles, []);
  },
  async "a garment in hand is asked about by keyboard alone, and no Tab is lost"(browser) {
    const { made, troubles } = await opened(browser, base, { path: `in-hand.html#${GARMENT}`, ...DESK });
    const { typed } = await through(made);
    assert.ok(Object.keys(typed).length > 5, `${Object.keys(typed)}`);
    assert.deepStrictEqual(troubles, []);
  },
  async "a link within a page loses nothing that was answered"(browser) {
    const paths = ["in-hand.html#", "record.html#", "garment.html#", "garment.html#view=record&"];
    let links = 0;
    for (const path of paths) links += await followed(browser, path + GARMENT);
    assert.ok(links >= 6, `${links} links`);
  },
  async "the file that works alone keeps the garment in hand while another page of it is shown"(browser) {
    const { made, troubles } = await opened(browser, base, { path: `garment.html#${GARMENT}`, ...SIZES[2] });
    const before = await answered(made);
    for (const link of ["#to-record", "text=Record this garment"]) {
      await made.click(link);
      await made.waitForSelector("#record #entry");
      await made.click("#tell-observer");
      await made.keyboard.type("Wren");
      await made.click("#to-hand");
      await made.waitForSelector("#hand .asked-of");
      assert.deepStrictEqual(await answered(made), before, link);
    }
    await made.click("#to-record");
    await made.waitForSelector("#record #entry");
    assert.match(await made.inputValue("#entry"), /observer = "Wren"[^]*hem = "chain-stitch"/, "the draft is there");
    assert.deepStrictEqual(troubles, []);
  },
  async "a draft without features is offered again when another garment comes in"(browser) {
    const { made } = await opened(browser, base, { path: "record.html", ...DESK });
    await made.click("#tell-body");
    await made.keyboard.type("Found in a loft.");
    await made.goto("about:blank");
    await made.goto(`${base}record.html#${GARMENT}`);
    assert.doesNotMatch(await made.inputValue("#entry"), /loft/);
    await made.click(".drafts > summary");
    await made.click("text=Continue it");
    assert.match(await made.inputValue("#entry"), /Found in a loft\./);
  },
  [`a draft of any of ${SHAPES.length} shapes opens the page`]: async (browser) => {
    const { made, troubles } = await opened(browser, base, { path: "record.html", ...DESK });
    const title = await made.evaluate(() => window.bartackRules.title);
    const lost = [];
    for (const shape of SHAPES) {
      await made.evaluate(
        ([name, text]) => {
          // What the page itself keeps when it is left must not come after it.
          for (const more of ["", "\n1"]) localStorage.setItem(`bartack draft: ${name}${more}`, text);
        },
        [title, shape],
      );
      await made.reload();
      const entry = await made.evaluate(() => document.getElementById("entry")?.value || "");
      if (!/^\+\+\+\n# goes to: entries\/[^]*\n\+\+\+\n/.test(entry)) lost.push(shape);
      if (troubles.length > 0) lost.push(`${shape}: ${troubles.splice(0)}`);
    }
    assert.deepStrictEqual(lost, []);
    tried("shapes of a draft that the page opens with", SHAPES.length);
  },
};

for (const size of [...SIZES, { width: 360, height: 740, hasTouch: true }]) {
  tests[`every field lies within its column at ${size.width} px`] = async (browser) => {
    const { made, context } = await opened(browser, base, { path: `record.html#${GARMENT}`, ...size });
    for (let number = 0; number < 2; number += 1) await made.click("#more-photos");
    const astray = await made.evaluate(() => {
      const box = (one) => one.getBoundingClientRect();
      const fields = [...document.querySelectorAll("#record :is(input, select, textarea, button, label, legend, a)")];
      const seen = fields.filter((one) => one.checkVisibility());
      const out = seen.filter((one) => {
        const [{ left, right }, column] = [box(one), box(one.closest(".asked-of, .answered"))];
        return left < column.left - 6 || right > column.right + 6 || right > document.documentElement.clientWidth;
      });
      const [asked, follows] = [".asked-of", ".answered"].map((one) => box(document.querySelector(one)));
      const isOver = asked.right > follows.left && asked.bottom > follows.top;
      return [...out.map((one) => one.id || one.textContent), ...(isOver ? ["one column lies over the other"] : [])];
    });
    assert.deepStrictEqual(astray, []);
    await context.close();
  };
}
run(tests);
