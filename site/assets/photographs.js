// The viewer of photographs: a dialog over the page with one photograph large, what it shows, whose it is and where it
// comes from, and beside it a second one of the same feature.
//
// Without this script each photograph on a page is a link to its widest picture. Everything shown here stands in the
// attributes of those links.
(function () {
  "use strict";

  const { element, button } = window.bartackNodes;

  // A finger that moves so far, and further sideways than up or down, turns to another photograph.
  const SWIPE = 40;

  /** One photograph is one, however often the page shows it. @param {HTMLAnchorElement} link */
  function keyOf(link) {
    return `${link.href} ${link.dataset.entry}`;
  }

  /** @returns {HTMLAnchorElement[]} */
  function photographs() {
    const first = new Map();
    for (const link of document.querySelectorAll("a.to-photograph"))
      if (!first.has(keyOf(/** @type {any} */ (link)))) first.set(keyOf(/** @type {any} */ (link)), link);
    return [...first.values()];
  }

  /** @param {HTMLAnchorElement} link */
  function features(link) {
    return (link.dataset.features || "").split(" ").filter(Boolean);
  }

  /** @param {HTMLAnchorElement} one @param {HTMLAnchorElement} other */
  function shareFeature(one, other) {
    return features(one).some((feature) => features(other).includes(feature));
  }

  /** @param {HTMLAnchorElement} link */
  function words(link) {
    return link.dataset.words || "Its entry does not say what this photograph shows";
  }

  const all = photographs();
  if (all.length === 0 || !("HTMLDialogElement" in window)) return;

  let at = 0;
  /** @type {HTMLAnchorElement | null} */
  let beside = null;
  /** @type {HTMLElement | null} */
  let opener = null;

  const title = element("h2", { id: "viewer-title" }, "Photograph");
  const viewed = element("div", { class: "viewed" });
  const place = element("span", { role: "status" });
  const turning = element("nav", { "aria-label": "Photographs of this page" });
  const strip = element("div", { class: "strip-of-photographs" });
  const dialog = element("dialog", { class: "viewer", "aria-labelledby": "viewer-title" });
  turning.append(
    button("Previous", () => turn(-1)),
    place,
    button("Next", () => turn(1)),
  );
  dialog.append(
    element(
      "header",
      {},
      title,
      button("Close", () => dialog.close()),
    ),
    viewed,
    turning,
    strip,
  );
  document.body.append(dialog);

  /** @param {HTMLAnchorElement} link @param {boolean} isHalf */
  function figure(link, isHalf) {
    const { usual = link.href, choice = "", credit, licence, entry = "", entryName = "", width, height } = link.dataset;
    const image = element("img", { alt: words(link), width: width || "", height: height || "", decoding: "async" });
    image.sizes = isHalf ? "(min-width: 44rem) 50vw, 100vw" : "100vw";
    image.srcset = choice;
    image.src = usual;
    const whose = `${credit ? `Credit: ${credit}` : "No credit is named"}; ${
      licence ? `licence: ${licence}` : "no licence is named"
    }. `;
    return element(
      "figure",
      {},
      element("div", { class: "large" }, image),
      element(
        "figcaption",
        {},
        element("p", {}, `${words(link)}.`),
        element("p", {}, whose, element("a", { href: entry }, entryName)),
      ),
    );
  }

  function show() {
    const link = all[at];
    if (beside && (beside === link || !shareFeature(link, beside))) beside = null;
    title.textContent = beside ? "Two photographs of one feature" : "Photograph";
    viewed.classList.toggle("two", beside !== null);
    viewed.replaceChildren(...[link, ...(beside ? [beside] : [])].map((one) => figure(one, beside !== null)));
    place.textContent = `${at + 1} of ${all.length}`;
    turning.hidden = all.length < 2;
    choose(link);
  }

  // The other photographs of the same feature; the focus stays on the one that was chosen.
  /** @param {HTMLAnchorElement} link */
  function choose(link) {
    const others = all.filter((other) => other !== link && shareFeature(link, other));
    strip.hidden = others.length === 0;
    const items = others.map((other) => {
      const name = `${words(other)}, ${other.dataset.entryName}`;
      const image = element("img", { src: other.dataset.small || "", alt: name });
      const chosen = element("button", { type: "button", "aria-pressed": String(other === beside) }, image);
      chosen.addEventListener("click", () => {
        beside = other === beside ? null : other;
        show();
        const buttons = /** @type {NodeListOf<HTMLElement>} */ (strip.querySelectorAll("button"));
        buttons[others.indexOf(other)].focus();
      });
      return element("li", {}, chosen);
    });
    strip.replaceChildren(
      element("p", {}, "Put another photograph of the same feature beside it:"),
      element("ul", {}, ...items),
    );
  }

  /** @param {number} step */
  function turn(step) {
    at = (at + step + all.length) % all.length;
    show();
  }

  /** @param {HTMLAnchorElement} link */
  function open(link) {
    at = Math.max(
      all.findIndex((one) => keyOf(one) === keyOf(link)),
      0,
    );
    beside = null;
    opener = link;
    show();
    dialog.showModal();
  }

  document.addEventListener("click", (event) => {
    const link = /** @type {HTMLAnchorElement | null} */ (
      /** @type {Element} */ (event.target).closest("a.to-photograph")
    );
    // A click that asks for another tab is the browser's.
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    open(link);
  });

  dialog.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey || all.length < 2) return;
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const wasInStrip = strip.contains(document.activeElement);
    turn(step);
    // The strip is another now, and what had the focus is gone.
    if (wasInStrip) /** @type {HTMLElement} */ (dialog.querySelector("header button")).focus();
  });

  dialog.addEventListener("close", () => {
    viewed.replaceChildren();
    if (opener) opener.focus();
    opener = null;
  });

  /** @type {{ x: number, y: number } | null} */
  let from = null;
  viewed.addEventListener("touchstart", ({ touches }) => {
    from = touches.length === 1 ? { x: touches[0].clientX, y: touches[0].clientY } : null;
  });
  viewed.addEventListener("touchend", ({ changedTouches }) => {
    const isZoomed = window.visualViewport && window.visualViewport.scale > 1.05;
    if (!from || isZoomed || all.length < 2) return;
    const [right, down] = [changedTouches[0].clientX - from.x, changedTouches[0].clientY - from.y];
    from = null;
    if (Math.abs(right) > SWIPE && Math.abs(right) > 2 * Math.abs(down)) turn(right < 0 ? 1 : -1);
  });
})();
