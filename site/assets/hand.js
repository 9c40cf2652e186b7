// The page of a garment in hand: what is known and seen to an answer, at each tap.
//
// Reads window.bartackRules (rules.js) and window.bartackDating (dating*.js). What was tapped lives in the address, after
// the `#`, so that an answer can be shared, printed and opened again.
(function () {
  "use strict";

  const { element, button } = window.bartackElements;
  const { asking, read, address, remember, garment, replace } = window.bartackAsking;
  const rules = window.bartackRules;
  const prepared = window.bartackDating.prepare(rules);
  const place = document.getElementById("hand");
  if (!place) return;
  const site = place.dataset.site;
  // One line at the foot says the answer, aloud too, however far down the page somebody is.
  const told = document.getElementById("told");

  let state = read(location.hash, prepared);
  const asked = asking({ rules, prepared, state: () => state, change, parts: window.bartackRecording.parts });
  const answered = window.bartackAnswering({ rules, prepared, site });

  function show(focus) {
    const found = window.bartackDating.answer(prepared, garment(state));
    if (found.cannot_tell) {
      place.replaceChildren(
        element(
          "p",
          { class: "notice" },
          "This page cannot tell: the rules need " + found.cannot_tell.join(", ") + ", which it does not understand.",
        ),
      );
      return;
    }
    const isKnown = ["maker", "model", "line", "variant"].some((key) => state[key]);
    replace(place, [questions(), answer(found, isKnown)], focus);
    told.textContent = answered.inOneLine(found, isKnown || Boolean(state.wearer));
  }

  function questions() {
    const keys = ["maker", "model", "line", "variant", "wearer", "garment", "market"];
    return element(
      "div",
      { class: "asked-of" },
      element("h2", {}, "What do you know?"),
      asked.known(...keys),
      element("h2", {}, "What do you see?"),
      element("p", { class: "detail" }, "Look, measure and count; cut nothing, burn nothing, wet nothing."),
      asked.zones(),
      element("p", {}, button("Begin again", begin)),
    );
  }

  function answer(found, isKnown) {
    return element(
      "div",
      { class: "answered", id: "answer", tabindex: "-1" },
      element("h2", {}, "What follows"),
      answered.parts(found, isKnown),
      element(
        "p",
        {},
        element(
          "a",
          { href: place.dataset.record + address({ ...state, view: null }).slice(1), class: "act" },
          "Record this garment",
        ),
      ),
    );
  }

  function begin() {
    state = { view: state.view, features: new Map() };
    asked.close();
    change("know-maker");
  }

  function change(focus) {
    remember(state);
    show(focus);
  }

  window.addEventListener("hashchange", () => {
    state = read(location.hash, prepared);
    show(null);
  });
  show(null);
})();
