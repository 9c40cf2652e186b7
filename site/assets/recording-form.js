// The questions about a garment to record besides its features and its date: its kind, and its observer.
(function () {
  "use strict";

  const { element, words } = window.bartackElements;
  const SOURCE_KINDS = [
    ...[
      "recollection",
      "interview",
      "photograph",
      "catalogue",
      "advertisement",
      "price-list",
      "label",
      "book",
      "article",
    ],
    ...["web-page", "patent"],
  ].map((id) => ({ id, name: words(id) }));
  const PLACED_BY = [
    { id: "mark", name: "a label or number on it says so" },
    { id: "paper", name: "a paper that came with it says so" },
    { id: "judged", name: "I judge so" },
  ];

  /** @param {Form} page */
  function form(page) {
    const { state, recording } = page;
    const fields = window.bartackRecordingFields(page);
    const { text, check, pick, ticks, isTyping } = fields;
    const { when, looked } = window.bartackRecordingWhen(page, fields, sources);

    /**
     * What else is asked about a feature that was examined.
     * @param {Feature} feature
     */
    function special(feature) {
      const about = (state().about[feature.id] ||= {});
      const id = (/** @type {string} */ key) => `special-${feature.id}-${key}`;
      const box = (/** @type {"altered" | "unsure"} */ key, /** @type {string} */ says) =>
        check({ id: id(key), says, isOn: Boolean(about[key]) }, (isOn) => {
          about[key] = isOn;
        });
      const isOther = state().features.get(feature.id) === "other";
      return element(
        "div",
        { class: "special" },
        isOther && text({ key: "other", says: "What is it?", of: about, id: id("other") }),
        element("div", { class: "taps" }, box("altered", "replaced or altered"), box("unsure", "not sure")),
        text({ key: "note", says: "Anything else about it", of: about, id: id("note") }),
      );
    }

    /** @param {Description} known */
    function whose(known) {
      const { model, variant, placedBy } = state();
      const isNew = !state().correction;
      const unplaced = "Choosing no variant means none of these, or not known: the entry is filed as unplaced, ";
      const judged = "Judged from which of these? They then do not count as evidence for this variant.";
      return [
        element("h2", {}, "What is it?"),
        known,
        isNew && model && !variant && element("p", { class: "detail" }, unplaced + "which is useful too."),
        variant && pick("placedBy", "How do you know it is of this variant?", PLACED_BY, "not said"),
        placedBy === "judged" && ticks("placedFrom", judged, state()),
      ];
    }

    function sources() {
      const own = (state().items?.source || []).filter((one) => !one.gone && one.id && one.citation);
      const ours = own.map((one) => ({ id: one.id, name: one.citation }));
      return [...ours, ...recording.sources.map((one) => ({ id: one.id, name: one.citation }))];
    }

    function who() {
      const listed = "A source already listed";
      const { ownCitation, source, correction } = state();
      const you = correction ? "Who looked" : "You, under the name you want to be known by";
      const day = correction ? "The day of looking" : "The day you looked";
      return [
        element("h2", {}, "Who says so?"),
        element(
          "div",
          { class: "knowns", key: "who" },
          text({ key: "observer", says: you }),
          text({
            ...{ key: "observed", says: day, example: "2026-03-14" },
            describedBy: "observed-problem observed-reading",
          }),
          text({ key: "find", says: "A word that garments found together share" }),
          text({ key: "factory", says: "Factory, if it says" }),
        ),
        looked(),
        !correction && [
          recording.sources.length > 0 && pick("source", listed, sources(), "none"),
          source && text({ key: "place", says: "Where in it", example: "p. 14" }),
          text({ key: "ownCitation", says: "Another source: author, title, place, year; or who told you" }),
          (ownCitation || "").trim() && pick("ownKind", "What is it?", SOURCE_KINDS, "recollection"),
        ],
      ];
    }

    return { text, ticks, special, whose, when, who, isTyping };
  }

  window.bartackRecordingForm = form;
})();
