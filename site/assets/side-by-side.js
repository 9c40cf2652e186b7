// The page that shows any two to four variants, models or label lines side by side, and the boxes that lead there.
//
// Reads window.bartackSideBySide (side-by-side-data.js). What is chosen stands behind the # of the address, so that it
// can be sent. All text is set as text, never as markup.
(function () {
  "use strict";

  const { element } = window.bartackNodes;

  const MOST = 4;
  const data = window.bartackSideBySide;

  /** @param {string[]} ids */
  function address(ids) {
    return "#" + ids.map((id) => `thing=${encodeURIComponent(id)}`).join("&");
  }

  function chosen() {
    const wanted = new Set(new URLSearchParams(location.hash.slice(1)).getAll("thing"));
    return [...wanted].filter((id) => data.things.some((one) => one.id === id)).slice(0, MOST);
  }

  /**
   * @param {string} label
   * @param {(id: string) => void} choose
   */
  function picker(label, choose) {
    const select = /** @type {HTMLSelectElement} */ (
      element("select", {}, element("option", { value: "" }, "nothing"))
    );
    const groups = new Map();
    for (const one of data.things) {
      const group = `${one.maker}: ${one.sort}s`;
      if (!groups.has(group)) groups.set(group, element("optgroup", { label: group }));
      groups.get(group).append(element("option", { value: one.id }, one.name));
    }
    select.append(...groups.values());
    select.addEventListener("change", () => choose(select.value));
    return { select, label: element("label", {}, label, " ", select) };
  }

  // The options of each picker; one between two others may be empty, and the address names the
  // others.
  /** @type {string[]} */
  let held = ["", "", "", ""];
  /** @type {HTMLSelectElement[]} */
  let selects = [];

  function pickers() {
    const made = ["First", "Second", "Third", "Fourth"].map((name, place) =>
      picker(name, (id) => {
        held[place] = id;
        location.hash = address(named());
      }),
    );
    selects = made.map(({ select }) => select);
    const choices = /** @type {HTMLElement} */ (document.getElementById("choices"));
    choices.replaceChildren(...made.map(({ label }) => label));
  }

  function named() {
    return [...new Set(held.filter(Boolean))];
  }

  /** @param {any[]} things */
  function table(things) {
    const head = element("tr", {}, element("td"));
    for (const one of things)
      head.append(
        element(
          "th",
          { scope: "col" },
          element("a", { href: one.href }, one.name),
          element("span", { class: "detail" }, `${one.sort} of ${one.maker}`),
        ),
      );
    const body = element("tbody");
    const row = (/** @type {string} */ name, /** @type {(one: any) => Node | string} */ cell) => {
      const made = element("tr", {}, element("th", { scope: "row" }, name));
      for (const one of things) made.append(element("td", {}, cell(one)));
      body.append(made);
    };
    row("Possibly made", (one) => one.made);
    row("Garments", (one) => String(one.garments));
    if (things.some((one) => one.photographs.length > 0)) row("Photographs", photographs);
    data.features.forEach((name, place) => {
      const seen = things.map((one) => one.seen.find(([at]) => at === place));
      if (seen.some(Boolean)) row(name, (one) => (seen[things.indexOf(one)] || ["", "–"])[1]);
    });
    return element("table", { class: "seen" }, element("thead", {}, head), body);
  }

  /** @param {any} one */
  function photographs(one) {
    const all = element("span", { class: "small-pictures" });
    for (const shown of one.photographs)
      all.append(
        element("a", { href: shown.href }, element("img", { src: shown.picture, alt: shown.text, loading: "lazy" })),
      );
    return all;
  }

  function show() {
    const ids = chosen();
    // An address that somebody else wrote fills the pickers from the first; one from a picker leaves them, and the focus.
    if (named().join() !== ids.join()) held = selects.map((_, place) => ids[place] || "");
    selects.forEach((select, place) => (select.value = held[place]));
    const things = ids.map((id) => data.things.find((one) => one.id === id));
    const beside = /** @type {HTMLElement} */ (document.getElementById("beside"));
    beside.replaceChildren(
      things.length < 2
        ? element("p", {}, "Choose at least two.")
        : element(
            "div",
            { class: "wide", role: "region", "aria-label": "Table of what was seen", tabindex: "0" },
            table(things),
          ),
    );
  }

  // On the page of a model: a box above each column, and a link once two are ticked.
  /** @param {HTMLElement} place */
  function boxes(place) {
    const columns = [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-thing]"))];
    const link = /** @type {HTMLAnchorElement} */ (
      element("a", { href: place.dataset.page || "" }, "Compare those ticked side by side")
    );
    const inputs = columns.map((column) => {
      const input = /** @type {HTMLInputElement} */ (
        element("input", { type: "checkbox", value: column.dataset.thing || "" })
      );
      input.addEventListener("change", update);
      column.append(element("label", { class: "detail" }, input, " side by side"));
      return input;
    });
    function update() {
      const ticked = inputs.filter((input) => input.checked);
      inputs.forEach((input) => (input.disabled = !input.checked && ticked.length >= MOST));
      link.hidden = ticked.length < 2;
      link.href = place.dataset.page + address(ticked.map((input) => input.value));
    }
    place.replaceChildren(
      "Tick two to four columns to see them side by side, also with columns of other models. ",
      link,
    );
    place.hidden = false;
    update();
  }

  const place = document.getElementById("boxes");
  if (place) boxes(place);
  if (data && document.getElementById("choices")) {
    window.addEventListener("hashchange", show);
    pickers();
    show();
  }
})();
