// The page of a garment to record: asks, says what the answers would do, and gives the entry to copy, download, send, or
// open in the Git host's page for a new file.
//
// What is answered stays in this browser as a draft until it is cleared.
(function () {
  "use strict";

  const { element, button } = window.bartackElements;
  const { paint } = window.bartackPainting;
  const { read, isGarment, remember } = window.bartackAddress;
  const { nothing, usable, isBegun, kept, keep } = window.bartackRecordingDraft;
  const place = document.getElementById("record");
  if (!place) return;
  const rules = window.bartackRules;
  const recording = window.bartackRecording;
  const prepared = window.bartackDating.prepare(rules);
  const DRAFT = "bartack draft: " + rules.title;
  const EARLIER = "bartack earlier draft: " + rules.title;
  const CAREFUL =
    "Look, measure and count; cut nothing, burn nothing, wet nothing. " +
    "Beware of pins and mould; do not turn brittle cloth, and do not shake the dust out of old workwear. " +
    "A part that looks replaced is recorded as such. What was cut out is lost, not absent.";

  let answers = begin();
  const state = () => answers;
  const pace = window.bartackPacing(() => {
    keep(DRAFT, answers);
    show();
  });
  const form = window.bartackRecordingForm({ state, pace, prepared, recording });
  const asked = window.bartackAsking.asking({
    ...{ rules, prepared, state, pace, parts: recording.parts, site: place.dataset.site },
    more: form.special,
  });
  const site = place.dataset.site || "";
  const result = window.bartackRecordingResult({ rules, prepared, recording, site });

  // What is in the address goes before the draft: somebody came from the page of a garment in hand. The draft is not lost.
  function begin() {
    const given = read(location.hash, prepared);
    const view = given.view || "";
    const isGiven = given.features.size > 0 || given.variant || given.model || given.maker;
    const before = usable({ ...nothing(view), ...kept(DRAFT, prepared), view }, { rules, prepared });
    if (!isGiven) return before;
    if (isBegun(before)) keep(EARLIER, before);
    const taken = usable({ ...nothing(view), ...given }, { rules, prepared });
    keep(DRAFT, taken);
    remember({ view, features: new Map() });
    return taken;
  }

  // The draft that was here when another garment came in by its address.
  function earlier() {
    const before = kept(EARLIER, prepared);
    if (!isBegun(before)) return null;
    const back = button("Go back to it", () => {
      keep(EARLIER, answers);
      answers = usable({ ...nothing(answers.view), ...before, view: answers.view }, { rules, prepared });
      asked.forget();
      pace.now("know-maker");
    });
    return element("p", { class: "notice", key: "earlier" }, "You had begun another garment. ", back);
  }

  function clear() {
    answers = nothing(answers.view);
    asked.forget();
    pace.now("know-maker");
  }

  function known() {
    const { variant } = answers;
    return asked.known(...["maker", "model", "variant"], ...(variant ? [] : ["line", "wearer", "garment"]), "market");
  }

  function questions() {
    const says = "What you saw, how you looked, and what you are not sure of";
    return element(
      "div",
      { class: "asked-of" },
      earlier(),
      form.whose(known()),
      element("h2", {}, "What do you see?"),
      element("p", { class: "detail", key: "careful" }, CAREFUL),
      asked.units(),
      asked.zones(),
      form.when(),
      form.who(),
      form.pictures(),
      element("h2", {}, "In your words"),
      form.text({ key: "body", says, kind: "textarea" }),
      element("p", { key: "clear" }, button("Clear the draft", clear)),
    );
  }

  function answer() {
    return element(
      "div",
      { class: "answered", id: "answer", tabindex: "-1" },
      element("h2", {}, "What follows"),
      result.consequences(answers),
      result.written(answers),
      element("p", { class: "caution" }, window.bartackDating.CAUTION),
    );
  }

  function show() {
    if (window.bartackDating.answer(prepared, { variant: "none", features: {} }).cannot_tell) {
      const text = "These rules need more than this page understands.";
      paint(place, [element("p", { class: "notice" }, text)]);
    } else paint(place, [questions(), answer()]);
  }

  // A link to a place on this page is no garment; another garment in the address is one to record. Where the address is
  // for another page of the same file, that page is about to be shown.
  function arrive() {
    if (isGarment(location.hash)) {
      if ((read(location.hash, prepared).view || "") !== answers.view) return;
      answers = begin();
      asked.forget();
      show();
    } else if (location.hash.length > 1) remember({ view: answers.view, features: new Map() });
  }

  window.addEventListener("hashchange", arrive);
  show();
})();
