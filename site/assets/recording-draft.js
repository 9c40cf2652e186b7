// The answers about a garment to record, saved and read back, whatever the browser's store
// contains.
//
// A draft may be older than the rules, from another version of the page, or no draft at all:
// unknown parts are left out.
(function () {
  "use strict";

  const { own } = window.bartackElements;
  const { canShow } = window.bartackAddress;
  const { FORMS, today } = window.bartackRecordingDates;
  const { restored } = window.bartackRecordingItems;
  const KNOWN = ["maker", "model", "line", "wearer", "variant", "market", "garment"];
  const WRITTEN = ["madeWords", "madeNote", "observer", "find", "factory", "place", "ownCitation", "body"];
  const CHOSEN = ["placedBy", "madeBy", "madeSource", "source", "ownKind"];
  // The day it was sent, and the entry that was sent.
  const SENT = ["sent", "sentAs"];
  // The reading that the user picked for some words, and the words.
  const PICKED = ["madePicked", "madePickedOf", "observedPicked", "observedPickedOf"];
  const TEXTS = [...KNOWN, ...WRITTEN, ...CHOSEN, ...PICKED, ...SENT, "observed", "why"];
  // The facts from the page of an entry.
  const BASE = ["path", "name", "seen", "prose", "prose_seen"];
  // The facts shared by garments recorded one after the other.
  const ALIKE = [
    ...["observer", "observed", "observedPicked", "observedPickedOf", "find", "factory"],
    ...["placedBy", "source", "place", "ownCitation", "ownKind"],
  ];

  /** @param {string} view @returns {Answers} */
  function nothing(view) {
    return { view, observed: today(), features: new Map(), about: Object.create(null), made: {}, photos: [] };
  }

  /** @param {any} given */
  function isObject(given) {
    return typeof given === "object" && given !== null && !Array.isArray(given);
  }

  /** @param {any} given @param {string[]} keys @param {string} type */
  function only(given, keys, type) {
    const has = (/** @type {string} */ key) => typeof own(given, key) === type;
    return isObject(given) ? Object.fromEntries(keys.filter(has).map((key) => [key, given[key]])) : {};
  }

  /** @param {any} given @returns {any[]} */
  function list(given) {
    return Array.isArray(given) ? given : [];
  }

  /** @param {any} given */
  function strings(given) {
    return list(given).filter((one) => typeof one === "string");
  }

  /**
   * The entry that a draft corrects, with what its page told of it; nothing where that is damaged or there is none.
   * @param {any} given
   * @returns {Correction | null}
   */
  function corrected(given) {
    const { path = "", name = "", seen = "", prose_seen = "", prose } = only(given, BASE, "string");
    const isPath = /^(makers(\/[a-z0-9-]+){3}|unplaced)\/[a-z0-9-]+$/.test(path);
    if (!isPath || !name || !seen || !isObject(own(given, "keys"))) return null;
    return { path, name, seen, prose_seen, prose, keys: given.keys, left: strings(own(given, "left")) };
  }

  /**
   * What of a draft has the shape that the page relies on.
   * @param {any} given
   * @param {Prepared} prepared
   * @returns {Partial<Answers>}
   */
  function shaped(given, prepared) {
    if (!isObject(given)) return {};
    const made = {
      ...only(given.made, ["form", "first", "last"], "string"),
      ...only(given.made, ["about"], "boolean"),
    };
    if (!own(FORMS, made.form || "")) delete made.form;
    const about = Object.create(null);
    for (const [id, one] of Object.entries(isObject(given.about) ? given.about : {})) {
      if (!prepared.features.has(id)) continue;
      about[id] = { ...only(one, ["note", "other"], "string"), ...only(one, ["altered", "unsure"], "boolean") };
    }
    const photos = list(given.photos).filter(isObject);
    const correction = corrected(own(given, "correction"));
    const isReading = (/** @type {any} */ pair) => Array.isArray(pair) && strings(pair).length === 2;
    return {
      ...only(given, TEXTS, "string"),
      ...(correction ? { correction, items: restored(own(given, "items"), correction) } : {}),
      ...{ made, about, features: new Map(list(given.features).filter(isReading)) },
      ...{ placedFrom: strings(given.placedFrom), madeFrom: strings(given.madeFrom) },
      photos: photos.map((one) => ({
        ...only(one, ["file", "credit", "licence"], "string"),
        shows: strings(one.shows),
      })),
    };
  }

  /**
   * Leaves out what these rules do not know.
   * @param {Answers} given
   * @param {{ rules: Rules, prepared: Prepared }} known
   * @returns {Answers}
   */
  function usable(given, { rules, prepared }) {
    const has = (/** @type {{ id: string }[]} */ all, /** @type {string} */ id) => all.some((one) => one.id === id);
    const variant = rules.variants.find((one) => one.id === given.variant);
    const model = variant ? variant.model : has(rules.models, given.model) ? given.model : "";
    const maker = model ? model.split("/")[0] : has(rules.makers, given.maker) ? given.maker : "";
    const line = has(rules.lines, given.line) ? given.line : "";
    const features = new Map();
    for (const [id, value] of given.features) {
      const feature = prepared.features.get(id);
      if (feature && canShow(feature, value)) features.set(id, value);
    }
    return { ...given, maker, model, variant: variant ? variant.id : "", line, features };
  }

  /**
   * Says whether somebody answered anything.
   * @param {Partial<Answers>} draft
   */
  function isBegun(draft) {
    const isAnswered = [...KNOWN, ...WRITTEN].some((key) => draft[key]);
    return isAnswered || Boolean(draft.features?.size || draft.photos?.length || draft.made?.form);
  }

  /**
   * What comes of asking the browser's store; nothing where it keeps nothing. The page works without.
   * @template T
   * @param {() => T} ask
   */
  function stored(ask) {
    try {
      return ask();
    } catch (error) {
      return null;
    }
  }

  /**
   * The next garment, from the same place and of the same sort as this one.
   * @param {Answers} answers
   * @returns {Answers}
   */
  function nextLike(answers) {
    return { ...nothing(answers.view), ...only(answers, [...KNOWN, ...ALIKE], "string") };
  }

  window.bartackRecordingDraft = { nothing, shaped, corrected, usable, isBegun, stored, nextLike };
})();
