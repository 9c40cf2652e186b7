// The file that works alone holds two pages; the address says which is shown, and the other is taken out.
(function () {
  "use strict";

  const view = () => (new URLSearchParams(location.hash.slice(1)).get("view") === "record" ? "record" : "hand");
  const shown = view();
  document.getElementById(shown === "record" ? "view-hand" : "view-record").remove();
  document.getElementById("to-" + shown).setAttribute("aria-current", "page");
  // Its scripts have one page to fill, so the other begins anew; what was tapped is in the address or the draft.
  window.addEventListener("hashchange", () => {
    if (view() !== shown) location.reload();
  });
})();
