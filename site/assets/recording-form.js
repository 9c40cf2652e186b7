// What the page of a garment to record asks besides the features: what it is, when it was made, who says so.
//
// Every answer goes into the page's state at each letter and each tap; the page's pace says when the page follows.
(function () {
  "use strict";

  const { element, words } = window.bartackElements;
  const { choice } = window.bartackAsking;
  const dates = window.bartackRecordingDates;
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
  const MADE_BY = [
    { id: "mark", name: "a date on it" },
    { id: "paper", name: "a receipt or a dated photograph" },
    { id: "key", name: "a code, read through a key" },
    { id: "estimate", name: "I judge so" },
  ];
  // What a judgement of its date may rest on besides features.
  const GROUNDS = ["line", "model", "variant", "wear"];

  /** @param {Form} page */
  function form({ state, pace, prepared, recording }) {
    // The field whose text is not finished: nothing is said of it yet.
    let unfinished = "";

    /** @param {TextField} field */
    function text({ key, says, of = state(), example = "", kind = "input", id = "tell-" + key }) {
      const on = {
        input: (/** @type {FieldEvent} */ event) => {
          of[key] = event.currentTarget.value;
          unfinished = id;
          pace.soon();
        },
        change: (/** @type {FieldEvent} */ event) => {
          of[key] = event.currentTarget.value;
          unfinished = "";
          pace.left();
        },
      };
      const shape = kind === "input" ? { type: "text" } : { rows: "6" };
      const field = element(kind, {
        id,
        ...shape,
        placeholder: example || null,
        autocomplete: "off",
        value: of[key] || "",
        on,
      });
      return element("p", { class: "known", key: id }, element("label", { for: id }, says), field);
    }

    /** @param {Tick} tick @param {(isOn: boolean) => void} set */
    function check({ id, says, isOn }, set) {
      const change = (/** @type {FieldEvent} */ event) => {
        set(event.currentTarget.checked);
        pace.now();
      };
      const input = element("input", { type: "checkbox", id, checked: isOn, on: { change } });
      return element("span", { class: "tap", key: id }, input, element("label", { for: id }, says));
    }

    /** @param {string} key @param {string} label @param {Named[]} options @param {string} none */
    function pick(key, label, options, none) {
      return choice({ id: "tell-" + key, label, options, value: state()[key], none }, (value) => {
        state()[key] = value;
        pace.now();
      });
    }

    /**
     * Ticks for the features that were examined, kept as a list under a key.
     * @param {string} key
     * @param {string} says
     * @param {Record<string, any>} of
     * @param {string[]} extra
     */
    function ticks(key, says, of, extra = []) {
      const chosen = new Set(of[key] || []);
      const id = `${key}-${state().photos.indexOf(of)}`;
      const examined = [...state().features.keys()].map((one) => [one, prepared.features.get(one)?.name || one]);
      const options = [...extra.map((one) => [one, words(one)]), ...examined];
      if (options.length === 0) return null;
      const boxes = options.map(([value, name]) =>
        check({ id: `tick-${id}-${value}`, says: name, isOn: chosen.has(value) }, (isOn) => {
          if (isOn) chosen.add(value);
          else chosen.delete(value);
          of[key] = [...chosen];
        }),
      );
      const legend = element("legend", {}, says);
      return element("fieldset", { class: "feature", key: id }, legend, element("div", { class: "taps" }, boxes));
    }

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
      const unplaced = "Choosing no variant means none of these, or not known: the entry is filed as unplaced, ";
      const judged = "Judged from which of these? They then do not count as evidence for this variant.";
      return [
        element("h2", {}, "What is it?"),
        known,
        model && !variant && element("p", { class: "detail" }, unplaced + "which is useful too."),
        variant && pick("placedBy", "How do you know it is of this variant?", PLACED_BY, "not said"),
        placedBy === "judged" && ticks("placedFrom", judged, state()),
      ];
    }

    function sources() {
      return recording.sources.map((one) => ({ id: one.id, name: one.citation }));
    }

    function when() {
      const { made } = state();
      const forms = Object.entries(dates.FORMS).map(([id, one]) => ({ id, name: one.says }));
      const shape = choice(
        { id: "made-form", label: "It was made", options: forms, value: made.form || "" },
        (value) => {
          made.form = value;
          pace.now();
        },
      );
      return [
        element("h2", {}, "When was it made?"),
        shape,
        made.form && day(),
        made.form && grounds(),
        text({ key: "madeWords", says: "The date in your own words", example: "late seventies, I think" }),
        text({ key: "madeNote", says: "What it is based on" }),
      ];
    }

    function day() {
      const { made } = state();
      const { fields, example, widens } = dates.FORMS[made.form];
      const isTyping = unfinished.startsWith("made-");
      const wrong = (made.first || made.last) && !isTyping ? dates.problem(made) : "";
      const field = (/** @type {string} */ key, /** @type {string} */ says) =>
        text({ key, says, of: made, example, id: "made-" + key });
      const about = (/** @type {boolean} */ isOn) => {
        made.about = isOn;
      };
      return [
        element(
          "div",
          { class: "knowns", key: "made" },
          field("first", fields === 2 ? "From the year" : "When"),
          fields === 2 && field("last", "To the year"),
        ),
        element("p", { class: "problem", role: "alert", key: "made-problem" }, wrong),
        widens && check({ id: "made-about", says: "about", isOn: Boolean(made.about) }, about),
      ];
    }

    function grounds() {
      const { madeBy } = state();
      const none = "choose the source of the key, otherwise it counts as a judgement";
      const judged = "Judged from what? If nothing is ticked, from everything.";
      return [
        pick("madeBy", "How do you know?", MADE_BY, "I judge so"),
        madeBy === "key" && pick("madeSource", "Whose key?", sources(), none),
        (!madeBy || madeBy === "estimate") && ticks("madeFrom", judged, state(), GROUNDS),
      ];
    }

    // What is typed and is no day is not silently left out of the entry.
    function wrongDay() {
      const typed = (state().observed || "").trim();
      if (typed === "" || unfinished === "tell-observed") return "";
      const short = typed.length > 40 ? `${typed.slice(0, 40)}…` : typed;
      if (!dates.isDay(typed)) return `“${short}” is left out of the entry: write the day like 2026-03-14.`;
      return typed > dates.today() ? `${typed} is in the future, and an entry with it would be refused.` : "";
    }

    function who() {
      const listed = "A source already listed";
      const { ownCitation, source } = state();
      return [
        element("h2", {}, "Who says so?"),
        element(
          "div",
          { class: "knowns", key: "who" },
          text({ key: "observer", says: "The name you want to be known by" }),
          text({ key: "observed", says: "The day you looked", example: "2026-03-14" }),
          text({ key: "find", says: "A word shared by garments found together" }),
          text({ key: "factory", says: "Factory, if it is named" }),
        ),
        element("p", { class: "problem", role: "alert", id: "observed-problem" }, wrongDay()),
        recording.sources.length > 0 && pick("source", listed, sources(), "none"),
        source && text({ key: "place", says: "Where in it", example: "p. 14" }),
        text({ key: "ownCitation", says: "Another source: author, title, place, year; or who told you" }),
        (ownCitation || "").trim() && pick("ownKind", "What is it?", SOURCE_KINDS, "recollection"),
      ];
    }

    return { text, ticks, special, whose, when, who };
  }

  window.bartackRecordingForm = form;
})();
