// The claims, sources and photographs of an entry that is corrected, as rows of a form; and what was changed in them, item by
// item, as `bartack import` reads it.
//
// A row that nobody touched is no change, whatever it holds. One that cannot be read is held back and named.
(function () {
  "use strict";

  const { own, words } = window.bartackElements;
  const { dated, observed } = window.bartackRecordingDates;
  const { clean, pictureName } = window.bartackRecordingEntry;
  const ID = /^[a-z0-9-]+$/;
  const THING = /^[a-z0-9:=/-]+$/;
  const WEB = /^https?:\/\/[^\s<>"]+$/;
  // The kinds of a source and the events of a claim, as the schema of an entry lists them.
  const KINDS = [
    ...["catalogue", "advertisement", "price-list", "photograph", "patent", "law", "standard", "label"],
    ...["book", "article", "web-page", "interview", "recollection"],
  ];
  const EVENTS = ["introduced", "discontinued", "produced", "attested", "before", "not-offered"];
  /** @type {Record<string, ItemList>} */
  const LISTS = {
    claims: {
      ...{ one: "claim", title: "Claims", called: "id" },
      fields: [
        { key: "about", says: "What it speaks of", kind: "text", example: "variant, model, feature:hem=chain-stitch" },
        { key: "event", says: "What happened", kind: "choice", options: EVENTS },
        { key: "when", says: "When", kind: "date", example: "1978, about 1965" },
        { key: "other", says: "What began only after it", kind: "text", example: "feature:hem=lockstitch" },
        { key: "as-written", says: "In the words of the source", kind: "long" },
        { key: "sources", says: "Where it was read, one source a line", kind: "lines", example: "spring-list p. 14" },
        { key: "id", says: "A name for it, if others refer to it", kind: "text" },
      ],
    },
    source: {
      ...{ one: "source", title: "Sources used only in this entry", called: "id" },
      fields: [
        { key: "id", says: "A short name, in small letters", kind: "text", example: "dealer-1998" },
        { key: "citation", says: "How to find it again: author, title, place, year", kind: "long" },
        { key: "kind", says: "What it is", kind: "choice", options: KINDS },
        { key: "date", says: "When it appeared or was said", kind: "date", example: "1978, about 1965" },
        { key: "url", says: "Its address on the web", kind: "text", example: "https://" },
        { key: "archived", says: "A lasting copy on the web", kind: "text", example: "https://" },
        { key: "checked", says: "The day somebody last looked there", kind: "day", example: "2026-03-14" },
        { key: "repeats", says: "The sources it repeats, one a line", kind: "lines" },
      ],
    },
    photos: {
      ...{ one: "photograph", title: "Photographs of the entry", called: "file" },
      fields: [
        { key: "file", says: "File", kind: "text" },
        { key: "shows", says: "What does it show?", kind: "ticks" },
        { key: "credit", says: "Who took it", kind: "text" },
        { key: "licence", says: "Its licence", kind: "text" },
      ],
    },
  };
  const NAMES = Object.keys(LISTS);

  /** @param {any} given @returns {any[]} */
  function list(given) {
    return Array.isArray(given) ? given : [];
  }

  /** @param {Correction} base @param {string} name @returns {Record<string, any>[]} */
  function had(base, name) {
    return list(own(base.keys, name)).filter((one) => typeof one === "object" && one !== null);
  }

  /**
   * What a field shows of a value.
   * @param {ItemField} field
   * @param {any} value
   */
  function shown({ kind }, value) {
    if (kind === "ticks") return list(value).filter((one) => typeof one === "string");
    if (kind === "lines") return list(value).join("\n");
    return value === undefined || value === null ? "" : String(value);
  }

  /** @param {string} name @param {number} from @param {Record<string, any>} table @returns {ItemRow} */
  function row(name, from, table) {
    const fields = LISTS[name].fields.map((field) => [field.key, shown(field, own(table, field.key))]);
    return { from, gone: false, ...Object.fromEntries(fields) };
  }

  /** @param {Correction} base @returns {Items} */
  function begun(base) {
    const rows = NAMES.map((name) => [name, had(base, name).map((table, place) => row(name, place, table))]);
    return { ...Object.fromEntries(rows), sources: list(own(base.keys, "sources")).join("\n") };
  }

  /**
   * The rows of a draft, whatever stands in the browser's store.
   * @param {any} given
   * @param {Correction} base
   */
  function restored(given, base) {
    const items = begun(base);
    if (typeof given !== "object" || given === null) return items;
    if (typeof given.sources === "string") items.sources = given.sources;
    for (const name of NAMES) {
      for (const one of list(own(given, name))) {
        if (typeof one !== "object" || one === null) continue;
        const target = one.from === -1 ? row(name, -1, {}) : items[name][one.from];
        if (!target || (one.from === -1 && one.gone)) continue;
        target.gone = one.gone === true;
        for (const { key, kind } of LISTS[name].fields) {
          const value = own(one, key);
          if (kind === "ticks") target[key] = list(value).filter((tick) => typeof tick === "string");
          else if (typeof value === "string") target[key] = value;
        }
        if (one.from === -1) items[name].push(target);
      }
    }
    return items;
  }

  /** @param {string} text */
  function lines(text) {
    return clean(text)
      .split("\n")
      .map((line) => line.replace(/\s+/g, " ").trim())
      .filter(Boolean);
  }

  /** @param {string} text */
  function read(text) {
    return dated(/** @type {any} */ ({ made: {}, madeWords: text }));
  }

  /** @param {string} text */
  function day(text) {
    return observed(/** @type {any} */ ({ observed: text })).edtf;
  }

  /**
   * The value that a field gives an item: as it was where nothing else is shown, nothing where it is empty.
   * @param {ItemField} field
   * @param {any} now
   * @param {any} before
   */
  function value(field, now, before) {
    const seen = shown(field, before);
    if (field.kind === "ticks") {
      const kept = list(before).filter((one) => now.includes(one));
      const ticked = [...kept, ...now.filter((/** @type {string} */ one) => !kept.includes(one))];
      return ticked.length > 0 ? ticked : undefined;
    }
    if (now === seen && before !== undefined) return before;
    if (field.kind === "lines") return lines(now).length > 0 ? lines(now) : undefined;
    const text = clean(now).replace(/\s+/g, " ").trim();
    if (field.kind === "date") return read(text).edtf || undefined;
    return (field.kind === "day" ? day(text) : text) || undefined;
  }

  /**
   * An item as it is to be; keys that the form does not know stay.
   * @param {string} name
   * @param {ItemRow} one
   * @param {Record<string, any>} [before]
   */
  function table(name, one, before = {}) {
    const { fields } = LISTS[name];
    const added = fields.map(({ key }) => key).filter((key) => own(before, key) === undefined);
    const pairs = [...Object.keys(before), ...added].map((key) => {
      const field = fields.find((field) => field.key === key);
      return [key, field ? value(field, one[key], own(before, key)) : before[key]];
    });
    return Object.fromEntries(pairs.filter(([, held]) => held !== undefined));
  }

  /** @param {string} name @param {ItemRow} one @param {Record<string, any>} [before] */
  function isTouched(name, one, before) {
    if (one.gone) return one.from >= 0;
    const blank = before || {};
    return LISTS[name].fields.some((field) => {
      const [now, was] = [one[field.key], shown(field, own(blank, field.key))];
      const plain = (/** @type {any} */ of) => (Array.isArray(of) ? [...of].sort().join("\n") : of.trim());
      return plain(now) !== plain(was);
    });
  }

  /** @param {string} name @param {ItemRow} one */
  function called(name, one) {
    const { one: word, called: key } = LISTS[name];
    const said = name === "claims" ? [words(one.event), one.about, one.when].filter(Boolean).join(", ") : one[key];
    return `${word} “${said || "without a name"}”`;
  }

  /**
   * What one text of a row lacks; empty where nothing.
   * @param {ItemField} field
   * @param {string} text
   */
  function unreadable({ key, kind, says }, text) {
    const wrong = (/** @type {string} */ expected) => `“${says}” holds “${text}”: ${expected}.`;
    if (text === "") return "";
    if (kind === "day" && !day(text)) return wrong("write a day such as 2026-03-14");
    if (kind === "date" && !read(text).edtf) {
      const { options } = read(text).found;
      if (options.length > 0) return wrong(`it may mean ${options.join(" or ")}, so write one of these`);
      return wrong("write a year such as 1978, or words such as “about 1965” or “1978 to 1981”");
    }
    if (key === "id" && !ID.test(text)) return wrong("use small letters, digits and hyphens");
    if (["about", "other"].includes(key) && !THING.test(text))
      return wrong("write variant, model, maker, line:…, feature:…=…, or the path of another thing");
    if (["url", "archived"].includes(key) && !WEB.test(text)) return wrong("it begins with https:// or http://");
    return "";
  }

  /** @param {string} reference */
  function idOf(reference) {
    return reference.split(" ")[0];
  }

  /** @param {Recording} recording */
  function items(recording) {
    const shared = recording.sources.map((one) => one.id);

    /** @param {Answers} answers @returns {{ name: string, place: number, one: ItemRow, before?: Record<string, any> }[]} */
    function rows({ correction: base, items: all }) {
      if (!base || !all) return [];
      return NAMES.flatMap((name) => {
        const tables = had(base, name);
        return all[name].map((/** @type {ItemRow} */ one, /** @type {number} */ place) => {
          return { name, place, one, before: tables[one.from] };
        });
      });
    }

    /** @param {Answers} answers @param {string[]} references */
    function unknown({ items: all, correction: base }, references) {
      if ((base?.left || []).includes("source")) return "";
      const known = [
        ...shared,
        ...(all?.source || []).flatMap((/** @type {ItemRow} */ one) => (one.gone ? [] : one.id)),
      ];
      const missing = references.map(idOf).find((id) => !known.includes(id));
      return missing ? `There is no source called “${missing}”. Add it, or choose one that is there.` : "";
    }

    /**
     * Why a row cannot be handed in as it is; empty where it can, or where nobody touched it.
     * @param {Answers} answers
     * @param {string} name
     * @param {ItemRow} one
     */
    function problem(answers, name, one) {
      const { correction: base, items: all } = answers;
      if (!base || !all) return "";
      const before = had(base, name)[one.from];
      if (one.gone || !isTouched(name, one, before)) return "";
      const { fields, called: key } = LISTS[name];
      for (const field of fields) {
        const text = field.kind === "ticks" ? "" : one[field.key].trim();
        const isKept = before && shown(field, own(before, field.key)) === one[field.key];
        const wrong = isKept ? "" : field.kind === "lines" ? unknown(answers, lines(text)) : unreadable(field, text);
        if (wrong) return wrong;
      }
      const isTwice =
        one[key] && all[name].some((/** @type {ItemRow} */ other) => other !== one && other[key] === one[key]);
      if (isTwice) return `Another ${LISTS[name].one} of this entry has the name “${one[key]}”.`;
      if (name === "source" && !(one.id && one.citation.trim() && one.kind))
        return "A source needs a short name, words by which it is found again, and what it is.";
      if (name !== "claims") return "";
      if (!one.event) return "Say what happened.";
      if (!before && /^[0-9]+$/.test(one.id)) return "The name of a claim needs a letter.";
      const namedNone = before && list(before.sources).length === 0;
      return lines(one.sources).length > 0 || namedNone ? "" : "Say where it was read, or who said it.";
    }

    /** @param {Answers} answers */
    function sourcesProblem(answers) {
      const { correction: base, items: all } = answers;
      if (!base || !all || all.sources === begun(base).sources) return "";
      return unknown(answers, lines(all.sources));
    }

    /**
     * What rests on a source of the entry that is taken out, in words.
     * @param {Answers} answers
     * @param {ItemRow} source
     */
    function resting({ items: all, madeSource, madeBy }, source) {
      // A source that every entry may name bears the id then.
      if (!all || !source.gone || source.from < 0 || shared.includes(source.id)) return [];
      const cites = (/** @type {string} */ text) => lines(text).some((line) => idOf(line) === source.id);
      const left = (/** @type {string} */ name) => all[name].filter((/** @type {ItemRow} */ one) => !one.gone);
      const claims = left("claims").filter((/** @type {ItemRow} */ one) => cites(one.sources));
      const repeats = left("source").filter((/** @type {ItemRow} */ one) => cites(one.repeats));
      return [
        ...(madeBy === "key" && idOf(madeSource || "") === source.id ? ["the date, read through its key"] : []),
        ...claims.map((/** @type {ItemRow} */ one) => called("claims", one)),
        ...repeats.map((/** @type {ItemRow} */ one) => called("source", one)),
        ...(cites(all.sources) ? ["the sources of the whole entry"] : []),
      ];
    }

    /** @param {Answers} answers */
    function photographs({ correction: base, photos, features }) {
      const taken = new Set(base ? had(base, "photos").map((one) => one.file) : []);
      return photos.flatMap((photo) => {
        const file = pictureName(photo.file || "");
        if (!file) return [];
        const isTwice = taken.has(file);
        taken.add(file);
        const seen = (photo.shows || []).filter((one) => features.has(one));
        const text = (/** @type {string | undefined} */ given) => clean(given).replace(/\s+/g, " ").trim();
        const shows = seen.length > 0 ? { shows: seen } : {};
        const credit = text(photo.credit) ? { credit: text(photo.credit) } : {};
        return [{ isTwice, now: { file, ...shows, ...credit, licence: text(photo.licence) || recording.licence } }];
      });
    }

    return { rows, problem, sourcesProblem, resting, photographs, list: LISTS };
  }

  window.bartackRecordingItems = { LISTS, begun, restored, row, had, table, isTouched, called, lines, items };
})();
