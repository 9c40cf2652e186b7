// The file that works alone holds two pages; the address says which is shown, and the other is taken out.
(function () {
  "use strict";

  const view = () => (new URLSearchParams(location.hash.slice(1)).get("view") === "record" ? "record" : "hand");
  const take = (/** @type {string} */ id) => /** @type {HTMLAnchorElement} */ (document.getElementById(id));
  const shown = view();
  take(shown === "record" ? "view-hand" : "view-record").remove();
  take("to-" + shown).setAttribute("aria-current", "page");
  // The garment in hand lives in the address, so the link back to it holds the address that was left.
  const left = history.state && history.state.hand;
  if (shown === "record" && typeof left === "string" && left.includes("=")) take("to-hand").hash = left;

  // Its scripts have one page to fill, so the other begins anew; what was tapped is in the address or the draft.
  window.addEventListener("hashchange", ({ oldURL }) => {
    // A link to a place on the page shows no other page.
    if ((location.hash.length > 1 && !location.hash.includes("=")) || view() === shown) return;
    if (shown === "hand") history.replaceState({ hand: new URL(oldURL).hash }, "");
    location.reload();
  });
})();
