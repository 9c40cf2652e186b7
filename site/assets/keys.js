// The field of the pages of keys: from a code to every date it can mean, and why.
//
// The keys are part of the page itself, so nothing is loaded. The typed code is in the address,
// after the `#`.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const { paint } = window.bartackPainting;
  const { said, takes } = window.bartackCodeWords;
  const { cut } = window.bartackDating;
  const BEGIN = "#code=";
  const place = document.getElementById("reader");
  if (!place) return;
  /** @type {CodeKey[]} */
  const keys = JSON.parse(place.dataset.keys || "[]");
  const root = place.dataset.root || "";
  const isAlone = place.dataset.alone === "yes";
  let code = given();

  function given() {
    if (!location.hash.startsWith(BEGIN)) return "";
    try {
      return decodeURIComponent(location.hash.slice(BEGIN.length));
    } catch {
      return "";
    }
  }

  /** @param {FieldEvent} event */
  function type({ currentTarget: field }) {
    code = field.value;
    history.replaceState(null, "", code.trim() === "" ? "#reader" : BEGIN + encodeURIComponent(code));
    show();
  }

  function show() {
    const label = isAlone ? "A code exactly as on the garment" : "A code exactly as written, of any maker";
    const input = element("input", {
      ...{ type: "text", id: "code", value: code, autocomplete: "off", autocapitalize: "off", spellcheck: "false" },
      ...{ "aria-describedby": "code-said", on: { input: type } },
    });
    paint(place, [
      element("p", { class: "written" }, element("label", { for: "code" }, label), input),
      element("div", { id: "code-said", role: "status", "aria-live": "polite" }, answer(code.trim())),
    ]);
  }

  /** @param {string} typed */
  function answer(typed) {
    if (typed === "") {
      const hint = isAlone && keys[0] ? `A code is ${takes(keys[0])}.` : "Spaces, dashes and capitals rarely matter.";
      return [element("p", { class: "gloss" }, hint)];
    }
    const found = keys.map((key) => ({ key, says: said(key, typed) }));
    const read = found.filter(({ says }) => says.problem === "");
    if (read.length === 0) return [element("p", { class: "problem" }, unread(typed, found))];
    const several = read.length > 1 && new Set(read.map(({ says }) => says.dates)).size > 1;
    return [
      several &&
        element("p", {}, "Keys read it differently. Go by the maker; if keys of one maker disagree, neither counts."),
      ...read.map(({ key, says }) => reading(key, says, typed)),
    ];
  }

  /** @param {string} typed @param {{ key: CodeKey, says: SaidOfCode }[]} found */
  function unread(typed, found) {
    if (isAlone && found[0]) return found[0].says.problem;
    const none = `None of the ${keys.length} keys here reads “${cut(typed)}”.`;
    return `${none} Look again under slanting light. A code without a key is still worth recording.`;
  }

  /** @param {CodeKey} key @param {SaidOfCode} says @param {string} typed */
  function reading(key, says, typed) {
    const page = `${root}keys/${key.id === "index" ? "index_" : key.id}.html`;
    const maker = key.makers.length === 1 ? `maker=${encodeURIComponent(key.makers[0])}&` : "";
    const hand = `${root}in-hand.html#${maker}${key.feature}=${encodeURIComponent(typed)}`;
    const title = isAlone ? null : element("p", { class: "from" }, element("a", { href: page }, key.title));
    return element(
      "div",
      { class: "reading", id: `reads-${key.id}` },
      title,
      element("p", { class: "answer" }, "It reads ", element("b", { class: "date" }, says.dates), factory(says), "."),
      element("ul", { class: "figures" }, ...says.reasons.map((reason) => element("li", {}, reason))),
      says.years.length > 1 &&
        element("p", {}, "The code alone does not say which. Other details of the garment can rule years out."),
      element("p", {}, element("a", { href: hand }, "Date a garment with this code")),
    );
  }

  /** @param {SaidOfCode} says */
  function factory(says) {
    return says.factory === null ? "" : `, factory ${says.factory}`;
  }

  window.addEventListener("hashchange", () => {
    if (!location.hash.startsWith(BEGIN)) return;
    code = given();
    show();
  });
  show();
})();
