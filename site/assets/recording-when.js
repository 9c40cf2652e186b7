// When a garment to record was made, and on which day somebody looked at it: in words or by a form, with what the words are
// read as, and the dates to pick from where they may mean several.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const { choice } = window.bartackAsking;
  const dates = window.bartackRecordingDates;
  const spoken = window.bartackDateSpoken;
  const MADE_BY = [
    { id: "mark", name: "a date on it" },
    { id: "paper", name: "a receipt or a dated photograph" },
    { id: "key", name: "a code, read through a key" },
    { id: "estimate", name: "I judge so" },
  ];
  const READ =
    "Write a year such as 1978, or words such as “about 1965”, “late 1970s”, “1970s”, “March 1978”, “3 April 1972”, " +
    "“1978 to 1981”, “before 1975” or “1975 or later”.";
  // The evidence for a judgement of its date besides features.
  const GROUNDS = ["line", "model", "variant", "wear"];

  /** @param {Form} page @param {FormFields} fields @param {() => Named[]} sources */
  function asking({ state, pace, recording }, { text, check, pick, ticks, isTyping }, sources) {
    function when() {
      const { made, madeWords } = state();
      const forms = Object.entries(dates.FORMS).map(([id, one]) => ({ id, name: one.says }));
      const shape = choice(
        { id: "made-form", label: "Or choose: it was made", options: forms, value: made.form || "" },
        (value) => {
          made.form = value;
          pace.now();
        },
      );
      const date = dates.dated(state(), recording.circa_years);
      const isOwn = Boolean((madeWords || "").trim());
      return [
        element("h2", {}, "When was it made?"),
        text({
          ...{
            key: "madeWords",
            says: "In your own words, or as it is written",
            describedBy: "made-reading made-unread",
          },
          example: "about 1965, late 1970s, 3 April 1972",
        }),
        isOwn && heard({ key: "made", field: "tell-madeWords", found: date.found, isOver: date.isByForm }),
        isOwn && date.isByForm && overruled(date.edtf),
        shape,
        otherDate(),
        made.form && day(isOwn, date),
        (made.form || date.edtf) && grounds(),
        text({ key: "madeNote", says: "What it is based on" }),
      ];
    }

    // A date of the entry that none of the forms can say stays until another is given.
    function otherDate() {
      const { made, correction } = state();
      const written = correction && correction.keys.made;
      if (!written || made.form || dates.read(written).form) return null;
      return element(
        "p",
        { class: "detail", key: "other-date" },
        `The entry says ${written}. It stays unless you choose.`,
      );
    }

    /** @param {string} date */
    function overruled(date) {
      const says = `The date chosen below counts, written ${date}. Your words stay beside it.`;
      return element("p", { class: "detail", key: "made-over" }, says);
    }

    /** @param {boolean} isOwn @param {DatedAnswer} date */
    function day(isOwn, date) {
      const { made } = state();
      const { fields, example, widens } = dates.FORMS[made.form];
      const isUnfinished = isTyping("made-");
      const wrong = (made.first || made.last) && !isUnfinished ? dates.problem(made) : "";
      const isRead = !isOwn && (date.found.edtf || date.found.options.length > 0);
      const kept = `${wrong} Your words go into the entry as you wrote them.`;
      const describedBy = "made-problem made-reading made-unread";
      const field = (/** @type {string} */ key, /** @type {string} */ says) =>
        text({ key, says, of: made, example, id: "made-" + key, describedBy });
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
        element("p", { class: "problem", role: "alert", id: "made-problem" }, wrong && !isRead ? kept : ""),
        isRead && heard({ key: "made", field: "made-", found: date.found, isOver: false }),
        widens && check({ id: "made-about", says: "about", isOn: Boolean(made.about) }, about),
      ];
    }

    /**
     * What the words in a field are read as, the dates to pick from where they may mean several, and what can be written
     * where they mean none.
     * @param {Heard} of
     */
    function heard({ key, field, found: { words: typed, edtf, options }, isOver }) {
      const isUnfinished = isTyping(field);
      const isUnread = !isOver && !isUnfinished && edtf === "" && options.length === 0;
      const picked = options.includes(edtf) ? ", as you chose" : "";
      return element(
        "div",
        { class: "heard", key: `${key}-heard` },
        element(
          "p",
          { class: "reading", role: "status", id: `${key}-reading` },
          !isOver && edtf && `Read as: ${claimed(edtf)}${picked}.`,
        ),
        element(
          "p",
          { class: "problem", role: "alert", id: `${key}-unread` },
          isUnread &&
            `“${short(typed)}” cannot be read as a date, and goes into the entry in your words alone. ${READ}`,
        ),
        !isOver && options.length > 0 && choose(key, typed, { edtf, options }),
      );
    }

    /** @param {string} edtf */
    function claimed(edtf) {
      return `${spoken.claim(window.bartackDateNotation.parse(edtf), recording.circa_years)}, written ${edtf}`;
    }

    /** @param {string} typed */
    function short(typed) {
      return typed.length > 40 ? `${typed.slice(0, 40)}…` : typed;
    }

    /**
     * @param {string} key
     * @param {string} typed
     * @param {{ edtf: string, options: string[] }} found
     */
    function choose(key, typed, { edtf, options }) {
      const isRefused = state()[key + "PickedOf"] === typed && state()[key + "Picked"] === "";
      const radio = (/** @type {string} */ id, /** @type {string} */ date, /** @type {string} */ says) => {
        const change = () => {
          state()[key + "Picked"] = date;
          state()[key + "PickedOf"] = typed;
          pace.now();
        };
        const checked = date ? date === edtf : isRefused;
        const input = element("input", { type: "radio", name: `${key}-pick`, id, checked, on: { change } });
        return element("span", { class: "tap", key: id }, input, element("label", { for: id }, says));
      };
      const asks = options.length > 1 ? "Which is meant?" : "Is this meant?";
      return element(
        "fieldset",
        { class: "feature", key: `${key}-pick` },
        element("legend", {}, `“${short(typed)}”: ${asks}${edtf ? "" : " Nothing is taken until you choose."}`),
        element(
          "div",
          { class: "taps" },
          options.map((date) => radio(`${key}-pick-${options.indexOf(date)}`, date, claimed(date))),
          radio(`${key}-pick-none`, "", options.length > 1 ? "none of these" : "no"),
        ),
      );
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

    // A typed text that is no day must not silently vanish from the entry.
    /** @param {DateHeard} found */
    function wrongDay({ words: typed, edtf, options }) {
      if (typed === "" || isTyping("tell-observed") || options.length > 0) return "";
      if (edtf === "")
        return `“${short(typed)}” is left out of the entry: write the day like 2026-03-14 or 14 March 2026.`;
      return edtf > dates.today() ? `${edtf} is still to come, and an entry with it would be refused.` : "";
    }

    function looked() {
      const found = dates.observed(state());
      const { words: typed, edtf, options } = found;
      return [
        element("p", { class: "problem", role: "alert", id: "observed-problem" }, wrongDay(found)),
        element(
          "p",
          { class: "reading", role: "status", id: "observed-reading" },
          edtf && edtf !== typed && `The day you looked is read as ${claimed(edtf)}.`,
        ),
        options.length > 0 && choose("observed", typed, found),
      ];
    }

    return { when, looked };
  }

  window.bartackRecordingWhen = asking;
})();
