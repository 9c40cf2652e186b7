// Opens what garment.html carries packed, then starts the scripts that need it: text of `script.packed` is deflated JSON in
// base64, text of `script.later` a script.
//
// Only texts whose hashes stand in the page's policy run.
(function () {
  "use strict";

  const { expand } = window.bartackExpanding;
  const TOO_OLD =
    "This browser is too old to open this file. It needs Chrome 80, Safari 16.4 or Firefox 113, or later. " +
    "The site itself can be read in older ones.";

  /** @param {string} text */
  async function unpacked(text) {
    const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    return JSON.parse(await new Response(stream).text());
  }

  /** @param {string} text */
  function notice(text) {
    const paragraph = document.createElement("p");
    paragraph.className = "notice";
    paragraph.textContent = text;
    for (const place of document.querySelectorAll(".asking")) place.replaceChildren(paragraph);
  }

  /** @returns {HTMLScriptElement[]} */
  const carried = (/** @type {string} */ kind) =>
    [...document.querySelectorAll("script." + kind)].map((one) => /** @type {any} */ (one));

  async function open() {
    const known = /** @type {any} */ (window);
    for (const block of carried("packed"))
      known[/** @type {string} */ (block.dataset.name)] = await unpacked(block.text);
    expand(window.bartackRules);
    for (const block of [...carried("packed"), ...carried("later")]) {
      block.remove();
      if (block.className !== "later") continue;
      const script = document.createElement("script");
      script.textContent = block.text;
      document.body.append(script);
    }
  }

  if (typeof DecompressionStream === "undefined") notice(TOO_OLD);
  else
    open().catch((problem) => {
      notice(`This file cannot be opened: it may have been cut short on its way (${problem.message}). Fetch it again.`);
    });
})();
