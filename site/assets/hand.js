// The page of a garment in hand: what is known and seen to an answer, at each tap.
//
// Reads window.bartackRules (rules.js) and window.bartackDating (dating*.js). What was tapped lives in the address, after
// the `#`, so that an answer can be shared, printed and opened again.
(function () {
  "use strict";

  const { element, button } = window.bartackElements;
  const { paint } = window.bartackPainting;
  const { read, isGarment, write, remember, garment } = window.bartackAddress;
  const rules = window.bartackRules;
  const prepared = window.bartackDating.prepare(rules);
  const place = document.getElementById("hand");
  if (!place) return;
  const site = place.dataset.site;
  // One line at the foot says the answer, aloud too, however far down the page somebody is.
  const told = document.getElementById("told");

  let state = read(location.hash, prepared);
  const pace = window.bartackPacing(() => {
    remember(state);
    show();
  });
  const { parts, changes, steps: looks } = window.bartackRecording;
  const asked = window.bartackAsking.asking({ rules, prepared, state: () => state, pace, parts, site });
  const steps = window.bartackStepping({ rules, prepared, looks, state: () => state, site, ...asked });
  const spoken = window.bartackSpeaking({ rules, prepared, changes });
  const answered = window.bartackAnswering({ rules, prepared, site, lookAt: asked.lookAt, spoken });

  /** What the answer says of where to look next. */
  let next = answered.lookNext(null, true);
  const advise = window.bartackLooking((looks, isBusy) => {
    next = answered.lookNext(looks, isBusy);
    paint(document.getElementById("look-next"), next);
  });
  const pictured = window.bartackPictureOfAnswer({ rules, prepared });

  function show() {
    const { found, look } = window.bartackDating.inParts(prepared, { ...garment(state), in_hand: today() });
    if (found.cannot_tell) {
      const needs = found.cannot_tell.join(", ");
      const text = `This page cannot answer: the rules need ${needs}, which it does not understand.`;
      paint(place, [element("p", { class: "notice" }, text)]);
      return;
    }
    const isKnown = ["maker", "model", "line", "variant"].some((key) => state[key]);
    const seen = garment(state);
    paint(place, [questions(), answer(found, seen, isKnown)]);
    advise(look, found.variants.length > 0);
    told.textContent = answered.inOneLine(found, seen);
  }

  function today() {
    return new Date().toISOString().slice(0, 10);
  }

  function questions() {
    const keys = ["maker", "model", "line", "variant", "wearer", "market"];
    return element(
      "div",
      { class: "asked-of" },
      element("h2", {}, "What do you know?"),
      asked.kinds(),
      asked.known(...keys),
      steps(),
      element("h2", {}, "What do you see?"),
      element(
        "p",
        { class: "detail" },
        "Look, measure and count; cut nothing, burn nothing, wet nothing. " +
          "Beware of pins and mould; do not turn brittle cloth, and do not shake the dust out of old workwear.",
      ),
      asked.units(),
      asked.zones(),
      element("p", {}, button("Begin again", begin)),
    );
  }

  function answer(found, seen, isKnown) {
    return element(
      "div",
      { class: "answered", id: "answer", tabindex: "-1" },
      element("h2", {}, "What follows"),
      answered.parts(found, seen, isKnown, next),
      element(
        "p",
        {},
        element(
          "a",
          { href: place.dataset.record + write({ ...state, view: "" }).slice(1), class: "act" },
          "Record this garment",
        ),
        " ",
        button("Make a picture", () => window.bartackPicture.offer(pictured(found, seen, state)), { key: "picture" }),
      ),
    );
  }

  function begin() {
    state = { view: state.view, features: new Map() };
    asked.forget();
    pace.now("know-maker");
  }

  // A link to a place on this page is no garment: the address becomes the garment's again.
  function arrive() {
    const isPlace = location.hash.length > 1 && !isGarment(location.hash);
    if (isPlace) return remember(state);
    const given = read(location.hash, prepared);
    // The address is already this garment's, or it is for another page of the same file, about to be shown.
    if (location.hash === write(state) || given.view === "record") return undefined;
    state = given;
    asked.forget();
    return show();
  }

  window.addEventListener("hashchange", arrive);
  show();
})();
