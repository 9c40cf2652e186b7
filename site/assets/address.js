// Writes the known facts and readings of a garment into the address of a page and reads them back,
// so that it can be shared and printed.
(function () {
  "use strict";

  const KNOWN = ["maker", "model", "line", "wearer", "variant", "market"];
  // Further parts of an address: the sort of garment, and the page within a file that holds
  // several.
  const KEPT = [...KNOWN, "garment", "view"];
  const MOST_COUNTED = 9999;

  /**
   * Reads from an address what is known and seen: { maker: "…", …, garment: "…", features: Map }.
   * @param {string} hash
   * @param {Prepared} prepared
   * @returns {GarmentState}
   */
  function read(hash, prepared) {
    /** @type {GarmentState} */
    const found = { features: new Map() };
    for (const [key, value] of new URLSearchParams(hash.replace(/^#/, ""))) {
      if (KEPT.includes(key)) found[key] = value;
      else if (prepared.features.has(key)) found.features.set(key, value);
    }
    return found;
  }

  /**
   * Says whether an address holds a garment. Otherwise it names a place on the page, or nothing.
   * @param {string} hash
   */
  function isGarment(hash) {
    return hash.includes("=");
  }

  /** @param {GarmentState} state */
  function write(state) {
    const parts = new URLSearchParams();
    for (const key of KEPT) if (state[key]) parts.set(key, state[key]);
    for (const [feature, value] of state.features) parts.set(feature, value);
    const text = parts.toString();
    return text ? "#" + text : "";
  }

  /**
   * Puts the state into the address of the page without leaving it.
   * @param {GarmentState} state
   */
  function remember(state) {
    const hash = write(state);
    if (hash === location.hash) return;
    try {
      history.replaceState(history.state, "", location.pathname + location.search + hash);
    } catch (error) {
      // Some browsers refuse this for a page opened from a folder.
      location.hash = hash;
    }
  }

  /**
   * The state as a garment that can be dated.
   * @param {GarmentState} state
   */
  function garment(state) {
    /** @type {Record<string, any>} */
    const given = { features: Object.fromEntries(state.features) };
    for (const key of KNOWN) if (state[key]) given[key] = state[key];
    return given;
  }

  /**
   * The sort of garment, where the model or somebody says so.
   * @param {GarmentState} state
   * @param {Rules} rules
   * @returns {string | undefined}
   */
  function sort(state, rules) {
    const model = rules.models.find((one) => one.id === state.model);
    return model ? model.garment : state.garment;
  }

  /**
   * Says whether a feature can show a value: an address may hold anything.
   * @param {Feature} feature
   * @param {string} value
   */
  function canShow(feature, value) {
    if (value === "absent" || value === "lost") return true;
    if (feature.kind === "state") return feature.states.includes(value) || value === "other";
    return value.trim() !== "" && wrongValue(feature, value) === "";
  }

  /**
   * What is wrong with a text as a reading of a feature that is counted, measured or printed; empty where nothing is.
   * @param {Feature} feature
   * @param {string} text
   */
  function wrongValue(feature, text) {
    if (feature.kind === "code") return "";
    const number = Number(text);
    if (!Number.isFinite(number)) return "Write a number, such as 8.25.";
    if (feature.kind === "count" && (!Number.isInteger(number) || number < 1 || number > MOST_COUNTED)) {
      return `Write a whole number from 1 to ${MOST_COUNTED}, or choose absent.`;
    }
    if (feature.kind === "measure" && feature.range && (number < feature.range[0] || number > feature.range[1])) {
      return `It must be between ${feature.range[0]} and ${feature.range[1]} ${feature.unit}.`;
    }
    return "";
  }

  window.bartackAddress = { read, isGarment, write, remember, garment, sort, canShow, wrongValue };
})();
