// The part of the form that corrects an entry's claims, sources and photographs: each item with its fields, taken out and put
// back, and new ones.
(function () {
  "use strict";

  const { element, button, words } = window.bartackElements;
  const { choice } = window.bartackAsking;
  const { LISTS, had, row, isTouched, called } = window.bartackRecordingItems;
  const TOO_LONG = "They are too long for the address of this page. They stay as they are.";

  /** @param {ItemsPage} page */
  function form({ state, pace, form: { text, ticks, isTyping }, items, recording }) {
    /** @type {Set<string>} */
    const open = new Set();
    // The source that is chosen beside each list of sources, and not yet added.
    /** @type {Map<string, string>} */
    const picked = new Map();

    function sources() {
      const own = (state().items?.source || []).filter((one) => !one.gone && one.id.trim() && one.citation.trim());
      const ours = own.map((one) => ({ id: one.id.trim(), name: `${one.citation} (of this entry)` }));
      return [...ours, ...recording.sources.map((one) => ({ id: one.id, name: one.citation }))];
    }

    /**
     * Sources, one a line, with a choice of those that are known.
     * @param {Record<string, any>} of
     * @param {TextField & { id: string }} field
     */
    function cited(of, { key, says, example, id }) {
      const pick = `${id}-pick`;
      const add = () => {
        const chosen = picked.get(id);
        if (!chosen) return;
        of[key] = [of[key].trimEnd(), chosen].filter(Boolean).join("\n");
        picked.delete(id);
        pace.now(id);
      };
      const asked = { id: pick, label: "Add one that is known", options: sources(), value: picked.get(id) || "" };
      return element(
        "div",
        { class: "special", key: `${id}-cited` },
        text({ key, says, of, id, example, kind: "textarea", rows: "2" }),
        choice({ ...asked, none: "choose" }, (value) => {
          picked.set(id, value);
          pace.now();
        }),
        element("p", { key: `${id}-add` }, button("Add this source", add, { id: `${id}-add` })),
      );
    }

    /**
     * @param {ItemRow} one
     * @param {ItemField} asked
     * @param {string} row
     */
    function field(one, { key, says, kind, example, options = [] }, row) {
      const id = `${row}-${key}`;
      const describedBy = `${row}-problem`;
      if (kind === "ticks") {
        one.row = row;
        return ticks(key, says, one);
      }
      if (kind === "choice") {
        const named = options.map((option) => ({ id: option, name: words(option) }));
        return choice({ id, label: says, options: named, value: one[key], none: "choose" }, (value) => {
          one[key] = value;
          pace.now();
        });
      }
      if (key === "sources") return cited(one, { key, says, example, id });
      if (kind === "long" || kind === "lines")
        return text({ key, says, of: one, id, example, kind: "textarea", rows: "2", describedBy });
      return text({ key, says, of: one, id, example, describedBy });
    }

    /** @param {string} name @param {ItemRow} one @param {number} place */
    function item(name, one, place) {
      const { one: word, fields, called: key } = LISTS[name];
      const id = `item-${name}-${place}`;
      const base = state().correction;
      const before = base && had(base, name)[one.from];
      const title = before ? called(name, row(name, one.from, before)) : `a new ${word}`;
      const legend = element("legend", {}, `${place + 1}. ${title}`);
      if (one.gone) return element("fieldset", { class: "feature", key: id }, legend, gone(name, one, id));
      const isTyped = isTyping(id + "-");
      const problem = isTyped ? "" : items.problem(state(), name, one);
      // What an item is called by stays: others refer to it.
      const asked = fields.filter((field) => !before || field.key !== key);
      const [wide, narrow] = [true, false].map((isWide) =>
        asked.filter(({ kind }) => ["long", "lines", "ticks"].includes(kind) === isWide),
      );
      return element(
        "fieldset",
        { class: "feature", key: id },
        legend,
        element(
          "div",
          { class: "knowns", key: "fields" },
          narrow.map((field_) => field(one, field_, id)),
        ),
        element(
          "div",
          { class: "special", key: "long" },
          wide.map((field_) => field(one, field_, id)),
        ),
        element("p", { class: "problem", role: "alert", id: `${id}-problem` }, problem),
        element("p", { key: "acts" }, acts({ name, one, before, id })),
      );
    }

    /** @param {{ name: string, one: ItemRow, before?: Record<string, any>, id: string }} of */
    function acts({ name, one, before, id }) {
      const leave = () => {
        one.gone = true;
        pace.now(`${id}-back`);
      };
      const undo = () => {
        if (before) Object.assign(one, row(name, one.from, before));
        pace.now(`${id}-leave`);
      };
      const isChanged = before && isTouched(name, one, before);
      return [
        button(`Take this ${LISTS[name].one} out`, leave, { id: `${id}-leave` }),
        isChanged && [" ", button("Undo what changed here", undo, { id: `${id}-undo` })],
      ];
    }

    /** @param {string} name @param {ItemRow} one @param {string} id */
    function gone(name, one, id) {
      const back = () => {
        one.gone = false;
        pace.now(`${id}-leave`);
      };
      const rests = name === "source" ? items.resting(state(), one) : [];
      const advice = "Change these too, or put the source back: the program refuses the correction otherwise.";
      const says = `Still resting on it: ${rests.join("; ")}. ${advice}`;
      return [
        element("p", { role: "status", key: "gone" }, "It is taken out. ", name === "photos" && "Its file stays. "),
        rests.length > 0 && element("p", { class: "notice", role: "alert", key: "rests" }, says),
        element("p", { key: "back" }, button("Put it back", back, { id: `${id}-back` })),
      ];
    }

    /** @param {string} name */
    function section(name) {
      const { correction: base, items: all } = state();
      if (!base || !all) return null;
      const { title, one: word } = LISTS[name];
      const isLeft = (base.left || []).includes(name);
      const rows = all[name];
      const count = rows.filter((one) => !one.gone).length;
      const add = () => {
        rows.push(row(name, -1, {}));
        pace.now(`item-${name}-${rows.length - 1}-${LISTS[name].fields[0].key}`);
      };
      const toggle = (/** @type {{ currentTarget: HTMLDetailsElement }} */ { currentTarget: { open: isOpen } }) => {
        if (isOpen) open.add(name);
        else open.delete(name);
      };
      const cites = { key: "sources", says: "The sources of the whole entry, one a line", id: "items-sources" };
      const problem = isTyping("items-sources") ? "" : items.sourcesProblem(state());
      return element(
        "details",
        { class: "zone", key: `items-${name}`, id: `items-${name}`, open: open.has(name), on: { toggle } },
        element(
          "summary",
          {},
          element("b", {}, title),
          " ",
          element("span", { class: "detail" }, isLeft ? "not shown" : count === 0 ? "none" : String(count)),
        ),
        isLeft
          ? element("p", { class: "detail" }, TOO_LONG)
          : [
              rows.map((one, place) => item(name, one, place)),
              name !== "photos" &&
                element("p", { key: "add" }, button(`Add a ${word}`, add, { id: `items-${name}-add` })),
            ],
        name === "source" && [
          cited(all, cites),
          element("p", { class: "problem", role: "alert", id: "items-sources-problem" }, problem),
        ],
      );
    }

    function all() {
      if (!state().correction) return null;
      const hasPhotographs = (state().items?.photos.length || 0) > 0 || state().correction?.left?.includes("photos");
      return [
        element("h2", {}, "Claims, sources, photographs"),
        section("claims"),
        section("source"),
        hasPhotographs && section("photos"),
      ];
    }

    return { all };
  }

  window.bartackRecordingItemsForm = form;
})();
