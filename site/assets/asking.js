// The questions of a page about a garment: the known facts, and each feature in the order in which
// hands turn the garment over.
//
// It concludes nothing, and knows no page: it changes the state it gets from a page, and notifies
// the page's pace.
(function () {
  "use strict";

  const { element, kept, words, own } = window.bartackElements;
  const { sort } = window.bartackAddress;
  const measures = window.bartackMeasures;
  const { figure, front } = window.bartackDrawing;
  const dating = window.bartackDating;
  const NOT_KNOWN = "not known";
  const ALWAYS = ["absent", "other", "lost"];
  const LABELS = { absent: "absent: never there", lost: "lost: gone or impossible to tell", other: "something else" };
  const FIELDS = { count: "How many", measure: "Measured", number: "Printed", code: "Exactly as written" };
  const MODES = { count: "numeric", measure: "decimal", number: "decimal", code: "text" };

  /**
   * A choice of one of several.
   * @param {Choice} asked
   * @param {(value: string) => void} change
   */
  function choice({ id, label, options, value, none = NOT_KNOWN }, change) {
    const all = [{ id: "", name: none }, ...options];
    const chosen = all.some((one) => one.id === value) ? value : "";
    const on = { change: (/** @type {FieldEvent} */ event) => change(event.currentTarget.value) };
    const options_ = all.map((one) => element("option", { key: one.id, value: one.id }, one.name));
    const select = element("select", { id, name: id, value: chosen, on }, options_);
    return element("p", { class: "known", key: id }, element("label", { for: id }, label), select);
  }

  /** @param {Feature} feature */
  function listed(feature) {
    if (feature.kind !== "state") return ["absent", "lost"];
    return [...feature.states, ...ALWAYS.filter((one) => !feature.states.includes(one))];
  }

  /** What was written of a feature, if that is no state of it. @param {Feature} feature @param {string | undefined} value */
  function textOf(feature, value = "") {
    return listed(feature).includes(value) ? "" : value;
  }

  /** @param {string[]} list */
  function plain(list) {
    return [...new Set(list)].sort().map((one) => ({ id: one, name: words(one) }));
  }

  /**
   * Asks on behalf of a page. `state()` gives what is known and seen now, `pace` says when the page follows a change, and
   * `more(feature)` gives what else a page asks about a feature that was examined.
   * @param {Asked} page
   */
  function asking({ rules, prepared, state, pace, parts, site, more = () => null }) {
    /** @type {Set<string>} */
    const open = new Set();
    // Texts that stand in a field and are no reading, by feature.
    /** @type {Map<string, { text: string, problem: string }>} */
    const unread = new Map();
    // Texts that were read, as they were written: a field keeps `8 1/4` as long as it means the value that is kept.
    /** @type {Map<string, { text: string, value: string, system: string }>} */
    const taken = new Map();
    const features = [...prepared.features.values()];
    const system = () => measures.system(features);
    const readings = window.bartackAskingCodes({ rules, prepared, state, site });
    measures.onChange(() => pace.now());

    /** @param {string[]} keys */
    function known(...keys) {
      const now = state();
      const ofMaker = (/** @type {Named} */ one) => !now.maker || one.id.startsWith(now.maker + "/");
      const markets = rules.landmarks.flatMap((one) => (one.market ? [one.market] : []));
      /** @type {Record<string, [string, Named[]]>} */
      const fields = {
        maker: ["Maker", rules.makers],
        model: ["Model", rules.models.filter(ofMaker)],
        line: ["Label line", rules.lines.filter(ofMaker)],
        variant: ["Variant", rules.variants.filter((one) => now.model && one.model === now.model)],
        wearer: ["Cut for", plain(rules.variants.map((one) => one.wearer))],
        garment: ["Kind of garment", plain(rules.models.map((one) => one.garment))],
        market: ["Sold new in", [...new Set(markets)].sort().map((one) => ({ id: one, name: country(one) }))],
      };
      const shown = keys.filter((key) => fields[key][1].length > 0);
      return element(
        "div",
        { class: "knowns" },
        shown.map((key) => {
          const [label, options] = fields[key];
          return choice({ id: "know-" + key, label, options, value: now[key] || "" }, (value) => know(key, value));
        }),
      );
    }

    // The name of a country by its code of ISO 3166-1, or the code where the browser has no name for it.
    function country(/** @type {string} */ code) {
      if (!Intl.DisplayNames || !/^[A-Z]{2}$/.test(code)) return code;
      return new Intl.DisplayNames(["en"], { type: "region" }).of(code) || code;
    }

    /** @param {string} key @param {string} value */
    function know(key, value) {
      const now = state();
      now[key] = value;
      const isWithin = (/** @type {string} */ one) => (now[one] || "").startsWith(value + "/");
      if (key === "maker" && value) for (const one of ["model", "line", "variant"]) if (!isWithin(one)) now[one] = "";
      if (key === "model" && !(value && isWithin("variant"))) now.variant = "";
      pace.now();
    }

    // Which sort it is, drawn; a model says it by itself.
    function kinds() {
      const now = state();
      const all = plain(rules.models.map((one) => one.garment));
      if (now.model || all.length < 2) return null;
      const tap = (/** @type {string} */ value, /** @type {string} */ text) => {
        const id = "kind-" + (value || "none");
        const on = { change: () => know("garment", value) };
        const checked = (now.garment || "") === value;
        const drawing = value ? front(value) : null;
        const input = element("input", { type: "radio", id, name: "kind", value, checked, on });
        const label = element("label", { for: id }, drawing && kept(drawing.shows, drawing.make), text);
        return element("span", { class: "tap kind", key: value }, input, label);
      };
      return element(
        "fieldset",
        { class: "feature", id: "kinds" },
        element("legend", {}, "Which kind is it?"),
        element(
          "div",
          { class: "taps" },
          all.map((one) => tap(one.id, one.name)),
          tap("", "another, or not known"),
        ),
      );
    }

    // One choice for every measure of every page.
    function units() {
      if (measures.lengths(features).length === 0) return null;
      const tap = (/** @type {string} */ value, /** @type {string} */ text) => {
        const id = "units-" + value;
        const on = { change: () => measureIn(value) };
        const checked = system() === value;
        const input = element("input", { type: "radio", id, name: "units", value, checked, on });
        return element("span", { class: "tap", key: value }, input, element("label", { for: id }, text));
      };
      const legend = element("legend", {}, "Measures in");
      const taps = element("div", { class: "taps" }, tap("cm", "centimetres"), tap("in", "inches"));
      return element("fieldset", { class: "feature", id: "units" }, legend, taps);
    }

    // A text that could not be read may be one in the other unit; what was read stays as long as it was.
    /** @param {string} value */
    function measureIn(value) {
      measures.choose(value);
      for (const [id, { text, problem }] of [...unread]) {
        const feature = prepared.features.get(id);
        if (feature && feature.kind === "measure" && problem) settle(feature, text);
      }
      pace.now();
    }

    function zones() {
      const now = state();
      /** @type {Map<string, Feature[]>} */
      const zones = new Map();
      for (const feature of prepared.features.values()) {
        const kind = sort(now, rules);
        if (kind && !dating.applies(feature, kind) && !now.features.has(feature.id)) continue;
        const zone = feature.zone || "elsewhere";
        zones.set(zone, [...(zones.get(zone) || []), feature]);
      }
      // As it is turned over in the hands; parts with other names follow in the vocabulary's order.
      const place = (/** @type {string} */ zone) => (parts.includes(zone) ? parts.indexOf(zone) : parts.length);
      const ordered = [...zones].sort(([one], [other]) => place(one) - place(other));
      return ordered.map(([zone, features]) => zoneOf(zone, features));
    }

    /** @param {string} zone @param {Feature[]} features */
    function zoneOf(zone, features) {
      const seen = features.filter((feature) => state().features.has(feature.id)).length;
      const count = seen > 0 ? `${seen} of ${features.length} looked at` : `${features.length} to look at`;
      // Drawings are many: those of a part are drawn when it is opened.
      const isDrawn = seen > 0 || open.has(zone);
      const toggle = (/** @type {{ currentTarget: HTMLDetailsElement }} */ { currentTarget: { open: isOpen } }) => {
        if (!isOpen) open.delete(zone);
        else open.add(zone);
        if (isOpen && !isDrawn) pace.now();
      };
      return element(
        "details",
        { class: "zone", key: zone, open: isDrawn, on: { toggle } },
        element("summary", {}, element("b", {}, words(zone)), " ", element("span", { class: "detail" }, count)),
        features.map((feature) => featureOf(feature, isDrawn)),
      );
    }

    /** @param {Feature} feature @param {boolean} isDrawn */
    function featureOf(feature, isDrawn) {
      const value = state().features.get(feature.id);
      const drawing = isDrawn ? figure(feature, sort(state(), rules), state().features) : null;
      return element(
        "fieldset",
        { class: "feature", id: "look-" + feature.id, "data-feature": feature.id },
        element("legend", {}, feature.name),
        // Named, so that it takes no other place when it comes.
        drawing &&
          element(
            "div",
            { class: "sketch", key: "sketch" },
            kept(drawing.shows, drawing.make),
            // The drawing has the same in its label for those who hear the page.
            element("p", { class: "caption", "aria-hidden": "true" }, drawing.caption),
          ),
        element("p", { class: "look" }, feature.look),
        feature.kind === "state" ? null : written(feature, textOf(feature, value)),
        feature.kind === "code" ? readings(feature, textOf(feature, value)) : null,
        taps(feature, value),
        value === undefined ? null : more(feature),
      );
    }

    /**
     * The states of a feature to tap, all of them or some; `name` tells them from others of the page.
     * @param {Feature} feature
     * @param {string | undefined} value
     * @param {{ name?: string, states?: string[] }} [of]
     */
    function taps(feature, value, { name = "see", states = listed(feature) } = {}) {
      const tap = (/** @type {string} */ one, /** @type {string} */ text, /** @type {boolean} */ checked) => {
        const id = `${name}-${feature.id}-${one || "none"}`;
        const input = element("input", {
          ...{ type: "radio", id, name: `${name}-${feature.id}`, value: one, checked },
          on: { change: () => choose(feature.id, one) },
        });
        return element("span", { class: "tap", key: one }, input, element("label", { for: id }, text));
      };
      const all = states.map((one) => tap(one, own(LABELS, one) || dating.reading(feature, one), value === one));
      return element("div", { class: "taps" }, tap("", "not looked at", value === undefined), all);
    }

    /** @param {string} feature @param {string} value */
    function choose(feature, value) {
      unread.delete(feature);
      see(feature, value);
      pace.now();
    }

    /** @param {Feature} feature @param {string} value */
    function written(feature, value) {
      const id = `see-${feature.id}-value`;
      const before = taken.get(feature.id);
      const isSame = before && before.value === value && before.system === system();
      const shown = isSame ? before.text : measures.text(feature, value, system());
      const { text, problem } = unread.get(feature.id) || { text: shown, problem: "" };
      const reading = problem ? "" : measures.read(feature, text, system()).reading;
      const described = { "aria-describedby": `${id}-problem ${id}-reading` };
      const used = feature.kind === "measure" ? measures.unitOf(feature, system()) : "";
      // A keyboard of figures has no stroke for a fraction.
      const inputmode = used === "in" ? "text" : own(MODES, feature.kind);
      const hints = { inputmode, autocomplete: "off", ...described };
      return element(
        "p",
        { class: "written" },
        element("label", { for: id }, own(FIELDS, feature.kind) + (used && ` (${used})`)),
        element("input", {
          ...{ type: "text", id, value: text, ...hints, "aria-invalid": problem ? "true" : null },
          on: { input: type, change: finish },
        }),
        element("span", { class: "problem", id: id + "-problem", role: "alert" }, problem),
        element("span", { class: "reading", id: id + "-reading", role: "status" }, reading),
      );

      // A mistake is reported when the text is finished, since every number begins as a shorter
      // one.
      function type(/** @type {FieldEvent} */ { currentTarget: field }) {
        unread.set(feature.id, { text: field.value, problem: "" });
        if (takes(feature, field.value) === "") pace.soon();
      }

      function finish(/** @type {FieldEvent} */ { currentTarget: field }) {
        settle(feature, field.value);
        pace.left();
      }
    }

    /** @param {Feature} feature @param {string} text */
    function settle(feature, text) {
      const problem = takes(feature, text);
      if (problem) unread.set(feature.id, { text, problem });
      else unread.delete(feature.id);
    }

    /**
     * Takes what was written of a feature; says what is wrong with it, if something is, and then takes nothing.
     * @param {Feature} feature
     * @param {string} text
     */
    function takes(feature, text) {
      const { value, problem } = measures.read(feature, text, system());
      if (problem) return problem;
      taken.set(feature.id, { text: text.trim(), value, system: system() });
      see(feature.id, value);
      return "";
    }

    /** @param {string} feature @param {string} value */
    function see(feature, value) {
      if (value === "") state().features.delete(feature);
      else state().features.set(feature, value);
    }

    /**
     * Opens the part of a feature and puts the focus on it.
     * @param {string} id
     */
    function lookAt(id) {
      const field = document.getElementById("look-" + id);
      const part = field && field.closest("details");
      if (!field || !part) return;
      open.add(prepared.features.get(id)?.zone || "elsewhere");
      part.open = true;
      pace.now();
      const target = field.querySelector("input:checked") || field.querySelector("input");
      field.scrollIntoView({ block: "center" });
      /** @type {HTMLInputElement} */ (target).focus({ preventScroll: true });
    }

    function forget() {
      open.clear();
      unread.clear();
      taken.clear();
    }

    return { known, kinds, units, zones, taps, lookAt, forget };
  }

  window.bartackAsking = { asking, choice };
})();
