// The dots of a feature are one stop of the Tab key, and arrow keys go from one to the next: a comparison has hundreds
// of them, and people with a keyboard must get past them (WAI-ARIA Authoring Practices, "roving tabindex").
//
// A page names each garment once, in the list at its foot. This script gives the name and the link from there to each dot
// of the garment, which has a number and what else is to be said of it. Without the script each dot leads to the list.
(function () {
  "use strict";

  const ROWS = ".beside, .over-models";
  const HINT = " By keyboard, Tab leads to the dots of a feature, and the arrow keys from dot to dot.";

  /**
   * Gives a dot the name and the link of its garment.
   * @param {HTMLAnchorElement} dot
   */
  function name(dot) {
    const garment = document.getElementById(dot.hash.slice(1));
    const entry = garment && garment.querySelector("a");
    if (!entry) return;
    const beyond = String(dot.textContent).trim().replace(/^\d+/, "");
    dot.replaceChildren();
    dot.setAttribute("aria-label", String(entry.textContent) + beyond);
    dot.setAttribute("href", String(entry.getAttribute("href")));
  }

  /** @param {Element} row */
  function lines(row) {
    const lists = /** @type {NodeListOf<HTMLElement>} */ (row.querySelectorAll(".dots"));
    const all = [...lists].map((list) => /** @type {HTMLElement[]} */ ([...list.querySelectorAll("a")]));
    // A hidden element cannot have the focus.
    return all.filter((line) => line.length > 0 && line[0].checkVisibility());
  }

  /**
   * Makes one dot of a row the one that Tab leads to.
   * @param {Element} row
   * @param {HTMLElement} dot
   */
  function settle(row, dot) {
    for (const other of row.querySelectorAll(".dots a[tabindex='0']")) other.setAttribute("tabindex", "-1");
    dot.setAttribute("tabindex", "0");
  }

  /**
   * Where a key leads from a dot; nothing where it leads nowhere.
   * @param {HTMLElement[][]} all
   * @param {{ line: number, place: number }} from
   * @param {KeyboardEvent} event
   * @returns {HTMLElement | undefined}
   */
  function target(all, { line, place }, { key, ctrlKey }) {
    const flat = all.flat();
    const at = flat.indexOf(all[line][place]);
    const beside = (/** @type {number} */ step) => {
      const other = all[line + step];
      return other && other[Math.min(place, other.length - 1)];
    };
    if (key === "ArrowRight") return flat[at + 1];
    if (key === "ArrowLeft") return flat[at - 1];
    if (key === "ArrowDown") return beside(1);
    if (key === "ArrowUp") return beside(-1);
    if (key === "Home") return ctrlKey ? flat[0] : all[line][0];
    if (key === "End") return ctrlKey ? flat[flat.length - 1] : all[line][all[line].length - 1];
    return undefined;
  }

  /** @param {KeyboardEvent} event */
  function press(event) {
    const dot = /** @type {HTMLElement} */ (event.target).closest(".dots a");
    const row = dot && dot.closest(ROWS);
    const moves = ["ArrowRight", "ArrowLeft", "ArrowDown", "ArrowUp", "Home", "End"].includes(event.key);
    if (!row || !moves || event.altKey || event.metaKey || event.shiftKey) return;
    const all = lines(row);
    const line = all.findIndex((one) => one.includes(/** @type {HTMLElement} */ (dot)));
    if (line < 0) return;
    // At an end the key stays with the dots: a page that scrolls away there would be a surprise.
    event.preventDefault();
    const next = target(all, { line, place: all[line].indexOf(/** @type {HTMLElement} */ (dot)) }, event);
    if (next) next.focus();
  }

  let count = 0;
  for (const row of document.querySelectorAll(ROWS)) {
    const dots = /** @type {NodeListOf<HTMLAnchorElement>} */ (row.querySelectorAll(".dots a"));
    for (const dot of dots) {
      name(dot);
      dot.setAttribute("tabindex", "-1");
    }
    if (dots.length > 0) dots[0].setAttribute("tabindex", "0");
    count += dots.length;
  }
  if (count === 0) return;
  document.addEventListener("keydown", press);
  document.addEventListener("focusin", (event) => {
    const dot = /** @type {HTMLElement} */ (event.target).closest(".dots a");
    const row = dot && dot.closest(ROWS);
    if (row) settle(row, /** @type {HTMLElement} */ (dot));
  });
  const key = document.querySelector(".facing .key");
  if (key) key.append(HINT);
})();
