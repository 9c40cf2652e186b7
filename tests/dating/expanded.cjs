// Opens what garment.html carries with the page's own scripts, under Node, and holds it to rules.json, digit for digit.
//
// node expanded.cjs GARMENT_HTML RULES_JSON
"use strict";

const assert = require("assert");
const fs = require("fs");
const vm = require("vm");

const [page, rules] = process.argv.slice(2).map((path) => fs.readFileSync(path, "utf8"));

/** What stands in elements `script` with just these attributes: the groups of each, the text last. */
function scripts(attributes) {
  return [...page.matchAll(new RegExp(`<script${attributes}>([^]*?)</script>`, "g"))].map((found) => found.slice(1));
}

/** A page that holds the packed blocks and, as one script to start, one that keeps what was opened. */
function opened() {
  const blocks = (kind) =>
    kind === "script.packed"
      ? scripts(' type="text/plain" class="packed" data-name="(\\w+)"').map(([name, text]) => ({
          dataset: { name },
          text,
          className: "packed",
          remove() {},
        }))
      : [{ dataset: {}, text: "", className: "later", remove() {} }];
  return new Promise((resolve, reject) => {
    const place = { replaceChildren: ({ textContent }) => reject(new Error(textContent)) };
    const document = {
      querySelectorAll: (selector) => (selector === ".asking" ? [place] : blocks(selector)),
      createElement: () => ({}),
      body: { append: () => resolve(window) },
    };
    const window = { document, atob, Blob, DecompressionStream, Response, Uint8Array };
    window.window = window;
    const own = scripts("").map(([text]) => text);
    assert(own.length === 3, "which page is shown, what expands, what opens");
    own.slice(1).forEach((text) => vm.runInNewContext(text, window));
  });
}

opened().then(({ bartackRules, bartackRecording, bartackDrawings }) => {
  const measures = bartackRules.models.flatMap((model) => Object.values(model.measures).flat());
  const isLazy = ({ variants }) => Object.values(Object.getOwnPropertyDescriptors(variants)).some(({ get }) => get);
  const lazy = measures.filter(isLazy).length;
  assert.deepStrictEqual(JSON.parse(JSON.stringify(bartackRules)), JSON.parse(rules));
  assert(bartackRecording.variants && bartackDrawings.any);
  console.log(`${lazy} of ${measures.length} tables of measures worked out`);
});
