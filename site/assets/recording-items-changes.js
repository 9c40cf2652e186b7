// What was changed in the claims, sources and photographs of an entry: item by item, in words and as values.
//
// It knows no page and writes no TOML.
(function () {
  "use strict";

  const { own } = window.bartackElements;
  const { LISTS, begun, table, isTouched, called, lines, items } = window.bartackRecordingItems;

  /** @param {any} value */
  function spoken(value) {
    if (value === undefined) return "nothing";
    return Array.isArray(value) ? value.join(", ") : String(value);
  }

  /**
   * From what to what: the fields that differ.
   * @param {Record<string, any>} was
   * @param {Record<string, any>} now
   */
  function differing(was, now) {
    const keys = [...new Set([...Object.keys(was), ...Object.keys(now)])];
    const other = keys.filter((key) => spoken(own(was, key)) !== spoken(own(now, key)));
    const said = (/** @type {Record<string, any>} */ of) =>
      other.map((key) => `${key} ${spoken(own(of, key))}`).join(", ");
    return other.length > 0 ? { from: said(was), to: said(now) } : null;
  }

  /** @param {Recording} recording */
  function changing(recording) {
    const known = items(recording);

    /** @param {{ name: string, place: number, one: ItemRow, before?: Record<string, any> }} row */
    function key({ name, place, one }) {
      const id = one[LISTS[name].called].trim();
      return `${name}.${id || place + 1}`;
    }

    /** @param {Answers} answers @returns {ItemChange[]} */
    function ofRows(answers) {
      return known.rows(answers).flatMap((row) => {
        const { name, one, before } = row;
        if (!isTouched(name, one, before) || known.problem(answers, name, one)) return [];
        const [was, now] = [before, one.gone ? undefined : table(name, one, before)];
        const as = { key: key(row), was, now, name: called(name, { ...one, ...(was && names(name, was)) }) };
        if (!was) return [{ ...as, from: "nothing", to: "added" }];
        if (!now) return [{ ...as, from: "there", to: "taken out" }];
        const other = differing(was, now);
        return other ? [{ ...as, ...other }] : [];
      });
    }

    // A changed item is called by what it was.
    /** @param {string} name @param {Record<string, any>} was */
    function names(name, was) {
      const keys = name === "claims" ? ["event", "about", "when"] : [LISTS[name].called];
      return Object.fromEntries(keys.map((key) => [key, spoken(own(was, key) ?? "")]));
    }

    /** @param {Answers} answers @returns {ItemChange[]} */
    function changes(answers) {
      const { correction: base, items: all } = answers;
      if (!base || !all) return [];
      const photographs = known.photographs(answers).filter((one) => !one.isTwice);
      const added = photographs.map(({ now }) => {
        return {
          key: `photos.${now.file}`,
          was: undefined,
          now,
          name: `photograph “${now.file}”`,
          from: "nothing",
          to: "added",
        };
      });
      const cited = lines(all.sources);
      const had = own(base.keys, "sources");
      const isCited = all.sources !== begun(base).sources && !known.sourcesProblem(answers);
      const now = cited.length > 0 ? cited : undefined;
      const other = isCited ? differing({ sources: had }, { sources: now }) : null;
      const text = (/** @type {any} */ value) => (value === undefined ? "nothing" : spoken(value));
      const sources = other
        ? [{ key: "sources", was: had, now, name: "sources of the whole entry", from: text(had), to: text(now) }]
        : [];
      return [...sources, ...ofRows(answers), ...added];
    }

    /**
     * What was touched and is not handed in as it is, with the reason.
     * @param {Answers} answers
     */
    function held(answers) {
      const rows = known.rows(answers).map(({ name, one }) => {
        return { name: called(name, one), problem: known.problem(answers, name, one) };
      });
      const twice = known.photographs(answers).filter((one) => one.isTwice);
      const photographs = twice.map(({ now }) => {
        return { name: `photograph “${now.file}”`, problem: "The entry has one of that name. Give it another name." };
      });
      const cited = { name: "sources of the whole entry", problem: known.sourcesProblem(answers) };
      return [...rows, cited, ...photographs].filter((one) => one.problem);
    }

    /**
     * The sources that are taken out although something rests on them.
     * @param {Answers} answers
     */
    function warnings(answers) {
      const sources = answers.items?.source || [];
      const found = sources.map((/** @type {ItemRow} */ one) => ({ id: one.id, rests: known.resting(answers, one) }));
      return found.filter(({ rests }) => rests.length > 0);
    }

    return { ...known, changes, held, warnings };
  }

  window.bartackRecordingItemsChanges = changing;
})();
