// Long lists are folded into parts. What an address points to, and what is printed, is unfolded.
(function () {
  "use strict";

  // A page with several long lists names this script before each.
  if (document.documentElement.dataset.batches) return;
  document.documentElement.dataset.batches = "led";

  /** The parts of lists around a place, the outermost last. @param {Element} place */
  function around(place) {
    const found = [];
    for (let part = place.parentElement?.closest("details"); part; part = part.parentElement?.closest("details")) {
      found.push(part);
    }
    return found;
  }

  function lead() {
    let id = location.hash.slice(1);
    try {
      id = decodeURIComponent(id);
    } catch (error) {
      // An address that somebody else wrote may hold anything.
    }
    const place = id && document.getElementById(id);
    if (!place) return;
    const closed = around(place).filter((part) => !part.open);
    for (const part of closed) part.open = true;
    if (closed.length > 0) place.scrollIntoView();
  }

  /** @type {HTMLDetailsElement[]} */
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [.../** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll(".batch:not([open])"))];
    for (const part of opened) part.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const part of opened) part.open = false;
    opened = [];
  });
  window.addEventListener("hashchange", lead);
  lead();
})();
