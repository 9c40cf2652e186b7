// What a page asks about a garment: what is known of it, and each feature in the order in which it is turned over in the
// hands. Turns taps and words into one state, and the state into an address that can be shared.
//
// It concludes nothing, and knows no page: whoever asks is told of each change and puts the answer where it belongs.
(function () {
  "use strict";

  const { element, words, own } = window.bartackElements;
  const figure = window.bartackDrawing.figure;
  const dating = window.bartackDating;
  const KNOWN = ["maker", "model", "line", "wearer", "variant", "market"];
  // What else is kept in an address: the sort of garment, and which page of a file that holds several.
  const KEPT = [...KNOWN, "garment", "view"];
  const MOST_COUNTED = 9999;
  const NOT_KNOWN = "not known";

  // Reads from an address what is known and seen: { maker: "…", …, garment: "…", features: Map }.
  function read(hash, prepared) {
    const found = { features: new Map() };
    for (const [key, value] of new URLSearchParams(hash.replace(/^#/, ""))) {
      if (KEPT.includes(key)) found[key] = value;
      else if (prepared.features.has(key)) found.features.set(key, value);
    }
    return found;
  }

  function address(state) {
    const parts = new URLSearchParams();
    for (const key of KEPT) if (state[key]) parts.set(key, state[key]);
    for (const [feature, value] of state.features) parts.set(feature, value);
    const text = parts.toString();
    return text ? "#" + text : "";
  }

  // Puts the state into the address of the page without leaving it.
  function remember(state) {
    const hash = address(state);
    try {
      history.replaceState(null, "", location.pathname + location.search + hash);
    } catch (error) {
      // Some browsers refuse this for a page opened from a folder.
      location.hash = hash;
    }
  }

  function garment(state) {
    const given = { features: Object.fromEntries(state.features) };
    for (const key of KNOWN) if (state[key]) given[key] = state[key];
    return given;
  }

  // The sort of garment, where the model or somebody says so.
  function sort(state, rules) {
    const model = rules.models.find((one) => one.id === state.model);
    return model ? model.garment : state.garment;
  }

  // A choice of one of several.
  function choice({ id, label, options, value, none = NOT_KNOWN }, change) {
    const select = element("select", { id, name: id });
    select.append(element("option", { value: "" }, none));
    for (const option of options)
      select.append(element("option", { value: option.id, selected: value === option.id }, option.name));
    select.addEventListener("change", () => change(select.value, id));
    return element("p", { class: "known" }, element("label", { for: id }, label), select);
  }

  // Says whether a feature can show a value: an address may hold anything.
  function canShow(feature, value) {
    if (value === "absent" || value === "lost") return true;
    if (feature.kind === "state") return feature.states.includes(value) || value === "other";
    return value.trim() !== "" && wrongValue(feature, value) === "";
  }

  function wrongValue(feature, text) {
    if (feature.kind === "code") return "";
    const number = Number(text);
    if (!Number.isFinite(number)) return "Write a number, such as 8.25.";
    if (feature.kind === "count" && (!Number.isInteger(number) || number < 1 || number > MOST_COUNTED))
      return `Write a whole number from 1 to ${MOST_COUNTED}, or choose absent.`;
    if (feature.kind === "measure" && feature.range && (number < feature.range[0] || number > feature.range[1])) {
      return `It lies between ${feature.range[0]} and ${feature.range[1]} ${feature.unit}.`;
    }
    return "";
  }

  function label(value) {
    return (
      own({ absent: "absent: never there", lost: "lost: gone or cannot be told", other: "something else" }, value) ||
      words(value)
    );
  }

  // Asks on behalf of a page. `state()` gives what is known and seen now, `change(focus)` is called after each change with
  // the id of what has the focus, `more(feature)` gives what else a page asks about a feature that was examined.
  function asking({ rules, prepared, state, change, parts, more = () => null }) {
    const open = new Set();

    function known(...keys) {
      const now = state();
      const ofMaker = (one) => !now.maker || one.id.startsWith(now.maker + "/");
      const plain = (list) => [...new Set(list)].sort().map((one) => ({ id: one, name: words(one) }));
      const markets = [...new Set(rules.landmarks.map((one) => one.market).filter(Boolean))].sort();
      const fields = {
        maker: ["Maker", rules.makers],
        model: ["Model", rules.models.filter(ofMaker)],
        line: ["Label line", rules.lines.filter(ofMaker)],
        variant: ["Variant", rules.variants.filter((one) => now.model && one.model === now.model)],
        wearer: ["Cut for", plain(rules.variants.map((one) => one.wearer))],
        garment: ["Sort of garment", plain(rules.models.map((one) => one.garment))],
        market: ["Sold new in", markets.map((one) => ({ id: one, name: one }))],
      };
      const shown = keys.filter((key) => fields[key][1].length > 0);
      return element(
        "div",
        { class: "knowns" },
        shown.map((key) => {
          const [says, options] = fields[key];
          return choice({ id: "know-" + key, label: says, options, value: now[key] }, (value, id) =>
            know(key, value, id),
          );
        }),
      );
    }

    function know(key, value, focus) {
      const now = state();
      now[key] = value;
      if (key === "maker") now.model = now.line = now.variant = "";
      if (key === "model") now.variant = "";
      change(focus);
    }

    function zones() {
      const now = state();
      const zones = new Map();
      for (const feature of prepared.features.values()) {
        const isShown = !sort(now, rules) || dating.applies(feature, sort(now, rules)) || now.features.has(feature.id);
        if (!isShown) continue;
        const zone = feature.zone || "elsewhere";
        if (!zones.has(zone)) zones.set(zone, []);
        zones.get(zone).push(feature);
      }
      // As it is turned over in the hands; parts with other names follow in the vocabulary's order.
      const place = (zone) => (parts.includes(zone) ? parts.indexOf(zone) : parts.length);
      return [...zones]
        .sort(([one], [other]) => place(one) - place(other))
        .map(([zone, features]) => zoneOf(zone, features));
    }

    function zoneOf(zone, features) {
      const seen = features.filter((feature) => state().features.has(feature.id)).length;
      const count = seen > 0 ? `${seen} of ${features.length} looked at` : `${features.length} to look at`;
      const details = element(
        "details",
        { class: "zone", open: seen > 0 || open.has(zone) },
        element("summary", {}, element("b", {}, words(zone)), " ", element("span", { class: "detail" }, count)),
        features.map(featureOf),
      );
      // Drawings are many: those of a part are drawn when it is opened.
      const draw = () => details.querySelectorAll(".feature:not(.drawn-beside)").forEach(besides);
      details.addEventListener("toggle", () => {
        // What was replaced meanwhile must not take a drawing from what stands there now.
        if (!details.isConnected) return undefined;
        if (!details.open) return open.delete(zone);
        draw();
        return open.add(zone);
      });
      if (details.open) draw();
      return details;
    }

    function besides(field) {
      field.classList.add("drawn-beside");
      const feature = prepared.features.get(field.dataset.feature);
      const drawing = figure(feature, sort(state(), rules), state().features);
      if (drawing) field.querySelector(".look").before(element("div", { class: "sketch" }, drawing));
    }

    function featureOf(feature) {
      const value = state().features.get(feature.id);
      const isWritten = feature.kind !== "state";
      const listed = isWritten
        ? ["absent", "lost"]
        : [...feature.states, ...["absent", "other", "lost"].filter((one) => !feature.states.includes(one))];
      const field = element(
        "fieldset",
        { class: "feature", id: "look-" + feature.id, "data-feature": feature.id },
        element("legend", {}, feature.name),
        element("p", { class: "look" }, feature.look),
      );
      if (isWritten) field.append(written(feature, listed.includes(value) ? "" : value));
      field.append(
        element(
          "div",
          { class: "taps" },
          tap(feature, "", "not looked at", value === undefined),
          listed.map((one) => tap(feature, one, label(one), value === one)),
        ),
      );
      const asked = value === undefined ? null : more(feature);
      if (asked) field.append(asked);
      return field;
    }

    function tap(feature, value, text, isChosen) {
      const id = `see-${feature.id}-${value || "none"}`;
      const input = element("input", { type: "radio", id, name: "see-" + feature.id, value, checked: isChosen });
      input.addEventListener("change", () => see(feature.id, value, id));
      return element("span", { class: "tap" }, input, element("label", { for: id }, text));
    }

    function written(feature, value) {
      const id = `see-${feature.id}-value`;
      const unit = feature.unit ? ` (${feature.unit})` : "";
      const mode = feature.kind === "code" ? "text" : feature.kind === "count" ? "numeric" : "decimal";
      const input = element("input", { type: "text", id, inputmode: mode, autocomplete: "off", value: value || "" });
      const problem = element("span", { class: "problem", id: id + "-problem", role: "alert" });
      input.setAttribute("aria-describedby", id + "-problem");
      input.addEventListener("change", () => {
        const text = input.value.trim().replace(",", feature.kind === "code" ? "," : ".");
        const wrong = text === "" ? "" : wrongValue(feature, text);
        problem.textContent = wrong;
        if (!wrong) see(feature.id, text, id);
      });
      const says = { count: "How many", measure: "Measured", number: "Printed", code: "As it stands" }[feature.kind];
      return element("p", { class: "written" }, element("label", { for: id }, says + unit), input, problem);
    }

    function see(feature, value, focus) {
      if (value === "") state().features.delete(feature);
      else state().features.set(feature, value);
      change(focus);
    }

    return { known, zones, close: () => open.clear() };
  }

  // Puts new content in a place; the focus and the part of the page that is seen stay.
  function replace(place, content, focus) {
    const where = window.scrollY;
    place.replaceChildren(...content);
    const target = focus && document.getElementById(focus);
    if (target) target.focus({ preventScroll: true });
    window.scrollTo(0, where);
  }

  window.bartackAsking = { asking, canShow, read, address, remember, garment, sort, choice, replace };
})();
