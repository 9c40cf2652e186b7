// What axe-core finds wrong with a page as it stands.
"use strict";

const fs = require("node:fs");

const AXE = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

// Says each fault in a line: which it is, and up to three places.
async function faults(made) {
  // The policy of a page allows no script but its own, so the checker comes in through the debugger.
  await made.evaluate(AXE + "; void 0");
  const found = await made.evaluate(() => window.axe.run(document, { resultTypes: ["violations"], preload: false }));
  const places = ({ nodes }) => nodes.slice(0, 3).map((node) => node.target.join(" "));
  return found.violations.map((one) => `${one.id}: ${one.help}: ${places(one).join(" | ")}`);
}

module.exports = { faults };
