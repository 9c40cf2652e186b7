// A correction of an entry that is there: from the link on its page to the answers that the form shows, and from what was
// changed to the file that is handed in.
//
// The file says field by field what the page showed and what is right. `bartack import` changes the entry by it and keeps
// the rest, so nothing that this form does not know is lost.
(function () {
  "use strict";

  const { own, words } = window.bartackElements;
  const { canShow } = window.bartackAddress;
  const { nothing, usable, corrected } = window.bartackRecordingDraft;
  const { keys, readings, quoted, clean } = window.bartackRecordingEntry;
  const { isGiven, observed, read: readDate } = window.bartackRecordingDates;
  const { begun: itemsOf } = window.bartackRecordingItems;
  const dating = window.bartackDating;
  const MARK = "#correct/";
  // Keys whose value is a day, which TOML writes without quotation marks.
  const DAYS = ["observed", "checked"];
  const DAY = /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/;
  // The fields of the form, by the keys of an entry.
  /** @type {Record<string, string>} */
  const TEXTS = {
    observed: "observed",
    observer: "observer",
    find: "find",
    factory: "factory",
    market: "market",
    wearer: "wearer",
    "placed-by": "placedBy",
    "made-by": "madeBy",
    "made-source": "madeSource",
    "made-as-written": "madeWords",
    "made-note": "madeNote",
  };
  /** @type {Record<string, string>} */
  const NAMES = {
    ...{ observed: "day of looking", observer: "who looked", find: "found with", market: "sold new in" },
    ...{ made: "date", "made-by": "how the date is known", "made-as-written": "date in words", text: "text" },
  };

  /** @param {any} given */
  function isTable(given) {
    return typeof given === "object" && given !== null && !Array.isArray(given);
  }

  /**
   * The entry that an address is about; nothing where it is about none, or damaged.
   * @param {string} hash
   * @returns {Correction | null}
   */
  function read(hash) {
    if (!hash.startsWith(MARK)) return null;
    try {
      const text = atob(hash.slice(MARK.length).replace(/-/g, "+").replace(/_/g, "/"));
      const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
      return corrected(JSON.parse(new TextDecoder().decode(bytes)));
    } catch (error) {
      return null;
    }
  }

  /**
   * A value of an entry as TOML.
   * @param {any} value
   * @param {string} [key]
   * @returns {string}
   */
  function toml(value, key = "") {
    if (DAYS.includes(key) && DAY.test(value)) return value;
    if (Array.isArray(value)) return `[${value.map((one) => toml(one)).join(", ")}]`;
    if (!isTable(value)) return typeof value === "string" ? quoted(value) : String(value);
    const name = (/** @type {string} */ one) => (/^[A-Za-z0-9_-]+$/.test(one) ? one : quoted(one));
    return `{ ${Object.entries(value)
      .map(([one, held]) => `${name(one)} = ${toml(held, one)}`)
      .join(", ")} }`;
  }

  /**
   * What the form can show of a reading; nothing where it has no words for it.
   * @param {Feature} feature
   * @param {any} written
   */
  function shown(feature, written) {
    const table = isTable(written) ? written : { value: written };
    let value = own(table, "state") ?? own(table, "value") ?? (own(table, "other") === undefined ? null : "other");
    const unit = own(table, "unit");
    if (typeof unit === "string" && typeof value === "number")
      value = window.bartackMeasures.convert(value, unit, feature.unit || "");
    if (typeof value !== "string" && typeof value !== "number") return null;
    return canShow(feature, String(value)) ? String(value) : null;
  }

  /**
   * What the place of an entry says it is, and what its keys do where it has none; short names are written in full.
   * @param {Correction} base
   */
  function placed({ path, keys: said }) {
    const [folder, maker, model, variant] = path.split("/");
    if (folder === "makers") {
      return { maker, model: `${maker}/${model}`, variant: `${maker}/${model}/${variant}` };
    }
    const text = (/** @type {string} */ key) => (typeof own(said, key) === "string" ? said[key] : "");
    const of = text("maker") || (text("model").includes("/") ? text("model").split("/")[0] : "");
    const full = (/** @type {string} */ id) => (id === "" || id.includes("/") || !of ? id : `${of}/${id}`);
    return { maker: of, model: full(text("model")), line: full(text("line").replace(/^line:/, "")) };
  }

  /** @param {{ rules: Rules, prepared: Prepared, items: RecordingItems }} known */
  function correcting({ rules, prepared, items }) {
    /**
     * The answers of an entry as it is.
     * @param {Correction} base
     * @returns {Answers}
     */
    function begun(base) {
      const answers = { ...nothing(""), observed: "", ...placed(base), correction: base, body: base.prose || "" };
      answers.items = itemsOf(base);
      for (const [key, field] of Object.entries(TEXTS)) {
        const value = own(base.keys, key);
        if (typeof value === "string") answers[field] = value;
      }
      const list = (/** @type {string} */ key) => {
        const value = own(base.keys, key);
        return Array.isArray(value) ? value.filter((one) => typeof one === "string") : [];
      };
      const made = own(base.keys, "made");
      Object.assign(answers, { placedFrom: list("placed-from"), madeFrom: list("made-from") });
      answers.made = typeof made === "string" ? readDate(made) : {};
      const seen = own(base.keys, "features");
      for (const [id, written] of Object.entries(isTable(seen) ? seen : {})) {
        const feature = prepared.features.get(id);
        const value = feature ? shown(feature, written) : null;
        if (value === null) continue;
        answers.features.set(id, value);
        if (isTable(written)) answers.about[id] = about(written);
      }
      return usable(answers, { rules, prepared });
    }

    /** @param {any} written @returns {About} */
    function about(written) {
      const text = (/** @type {string} */ key) => (typeof own(written, key) === "string" ? written[key] : "");
      const isSet = (/** @type {string} */ key) => own(written, key) === true;
      return { note: text("note"), other: text("other"), altered: isSet("altered"), unsure: isSet("unsure") };
    }

    /**
     * The keys and readings of answers, as TOML. Features that the form cannot show are there, in lists of features.
     * @param {Answers} answers
     * @param {string[]} unshown
     */
    function fields(answers, unshown) {
      const all = new Map([...unshown.map((id) => /** @type {[string, string]} */ ([id, ""])), ...answers.features]);
      const split = (/** @type {string} */ line) => {
        const at = line.indexOf(" = ");
        return /** @type {[string, string]} */ ([line.slice(0, at), line.slice(at + 3)]);
      };
      const seen = readings(answers, prepared).map((line) => split(`features.${line}`));
      return new Map([...keys({ ...answers, features: all }).map(split), ...seen]);
    }

    /**
     * Answers without what is begun and not yet said: it takes nothing out of the entry.
     * @param {Answers} answers
     * @param {Answers} before
     */
    function settled(answers, before) {
      const now = { ...answers };
      if ((now.observed || "").trim() && !observed(now).edtf) now.observed = before.observed;
      if (now.made.form && !isGiven(now.made))
        for (const key of ["made", "madeBy", "madeSource", "madeFrom"]) now[key] = before[key];
      return now;
    }

    /**
     * The value of a key as the entry has it, in TOML.
     * @param {Correction} base
     * @param {string} key
     */
    function was(base, key) {
      const feature = key.startsWith("features.") ? key.slice("features.".length) : "";
      const features = own(base.keys, "features");
      const value = feature ? own(isTable(features) ? features : {}, feature) : own(base.keys, key);
      return value === undefined ? undefined : toml(value, key);
    }

    /**
     * What is changed so far.
     * @param {Answers} answers
     * @returns {Changed[]}
     */
    function changes(answers) {
      const base = answers.correction;
      if (!base) return [];
      const before = begun(base);
      const after = settled(answers, before);
      const features = own(base.keys, "features");
      const unshown = Object.keys(isTable(features) ? features : {}).filter((id) => !before.features.has(id));
      const [old, fresh] = [before, after].map((one) => fields(one, unshown));
      const all = [...new Set([...old.keys(), ...fresh.keys()])];
      const found = all.flatMap((key) => {
        const [had, now] = [was(base, key), fresh.get(key)];
        // A text that becomes empty, such as a name of marks alone, removes nothing.
        const isUnsaid = now === undefined && TEXTS[key] && (answers[TEXTS[key]] || "").trim() !== "";
        if (old.get(key) === now || had === now || isUnsaid) return [];
        return [{ key, was: had, now, ...said(key, had, { before, after }) }];
      });
      found.push(...items.changes(answers).map((one) => ({ ...one, was: written(one.was), now: written(one.now) })));
      const [prose, body] = [clean(base.prose).trim(), clean(answers.body).trim()];
      if (base.prose === undefined || prose === body) return found;
      const short = (/** @type {string} */ text) => (text.length > 40 ? `${text.slice(0, 40)}…` : text || "nothing");
      const text = { name: NAMES.text, from: short(prose), to: short(body) };
      return [...found, { key: "text", was: quoted(base.prose_seen), now: undefined, ...text }];
    }

    /** @param {any} value */
    function written(value) {
      return value === undefined ? undefined : toml(value);
    }

    /**
     * A change in words: of what, from what and to what.
     * @param {string} key
     * @param {string | undefined} had
     * @param {{ before: Answers, after: Answers }} answers
     */
    function said(key, had, { before, after }) {
      const id = key.startsWith("features.") ? key.slice("features.".length) : "";
      if (!id) {
        const value = (/** @type {string | undefined} */ text) =>
          text === undefined ? "nothing" : text.replace(/"/g, "");
        const now = fields(after, []).get(key);
        return { name: NAMES[key] || words(key), from: value(had), to: value(now) };
      }
      const isUnshown = had !== undefined && !before.features.has(id);
      const from = isUnshown ? had : spoken(before, id);
      return { name: prepared.features.get(id)?.name || words(id), from, to: spoken(after, id) };
    }

    /** @param {Answers} answers @param {string} id */
    function spoken(answers, id) {
      const [feature, value] = [prepared.features.get(id), answers.features.get(id)];
      if (value === undefined) return "not looked at";
      const { other = "", note = "", altered, unsure } = answers.about[id] || {};
      const word = value === "other" ? other || "something else" : dating.reading(feature, value);
      const more = [altered && "replaced or altered", unsure && "not sure", note.trim() && `“${note.trim()}”`];
      return [word, ...more.filter(Boolean)].join(", ");
    }

    /**
     * Says whether anything is changed or said.
     * @param {Answers} answers
     */
    function isTouched(answers) {
      return changes(answers).length > 0 || (answers.why || "").trim() !== "";
    }

    /**
     * The file that is handed in, and where it would lie beside the entries.
     * @param {Answers} answers
     * @returns {{ path: string, file: string }}
     */
    function file(answers) {
      const { path = "", seen = "" } = answers.correction || {};
      const found = changes(answers);
      const why = clean(answers.why).replace(/[\u00ad\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f]/g, "");
      const lines = found.flatMap((one) => [
        ...["", "[[change]]", `key = ${quoted(one.key)}`],
        ...(one.was === undefined ? [] : [`was = ${one.was}`]),
        ...(one.now === undefined ? [] : [`now = ${one.now}`]),
      ]);
      const reason = why.trim() ? [`why = ${quoted(why.trim())}`] : [];
      const head = ["+++", `corrects = ${quoted(`entries/${path}.md`)}`, `seen = ${quoted(seen)}`, ...reason];
      const prose = found.some((one) => one.key === "text") ? [clean(answers.body).trim()] : [];
      const name = `${path.split("/").pop()}-${seen.slice(0, 6)}`;
      return { path: `corrections/${name}.md`, file: [...head, ...lines, "+++", ...prose, ""].join("\n") };
    }

    return { begun, changes, isTouched, file };
  }

  window.bartackRecordingCorrection = { MARK, read, correcting };
})();
