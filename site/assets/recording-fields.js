// The fields of the page that records: a text, a tick, a choice, and ticks for the features that were examined.
//
// Every answer goes into the page's state at each letter and each tap; the page's pace says when the page follows.
(function () {
  "use strict";

  const { element, words } = window.bartackElements;
  const { choice } = window.bartackAsking;

  /** @param {Form} page */
  function fields({ state, pace, prepared }) {
    // The field whose text is not finished; no mistake in it is reported yet.
    let unfinished = "";

    /** @param {TextField} field */
    function text({ key, says, of = state(), example = "", kind = "input", rows = "6", ...more }) {
      const { id = "tell-" + key, describedBy = "" } = more;
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
      const shape = kind === "input" ? { type: "text" } : { rows };
      const field = element(kind, {
        id,
        ...shape,
        placeholder: example || null,
        "aria-describedby": describedBy || null,
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
      const id = `${key}-${of.row || state().photos.indexOf(of)}`;
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

    /** @param {string} start */
    function isTyping(start) {
      return unfinished.startsWith(start);
    }

    return { text, check, pick, ticks, isTyping };
  }

  window.bartackRecordingFields = fields;
})();
