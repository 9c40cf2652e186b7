// The page's summary of a correction: the entry it corrects, the changes so far, the reasons, and
// the file to hand in.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const KEPT =
    "Claims, sources, photographs and all else that this form does not show stay as they are. " +
    "If it is filed under the wrong variant, say so in the reason.";

  /** @param {Correcting} page */
  function correcting({ corrections, site, text, handing }) {
    /** @param {Correction} base */
    function link({ path, name }) {
      return site === "none" ? element("b", {}, name) : element("a", { href: `${site}${path}.html` }, name);
    }

    /** @param {Changed[]} found */
    function counted(found) {
      if (found.length === 0) return "Nothing is changed yet.";
      const all = found.map(({ name, from, to }) => `${name}: ${from} → ${to}`).join("; ");
      return `${found.length === 1 ? "1 change" : `${found.length} changes`} so far: ${all}.`;
    }

    /** @param {Answers} answers */
    function head(answers) {
      const base = answers.correction;
      if (!base) return null;
      return element(
        "section",
        { class: "correcting", id: "correcting", "aria-labelledby": "part-correcting", key: "correcting" },
        element("h2", { id: "part-correcting" }, "A correction"),
        element(
          "p",
          { class: "notice", role: "status" },
          "You correct ",
          link(base),
          ". ",
          counted(corrections.changes(answers)),
        ),
        element("p", { class: "detail" }, KEPT),
      );
    }

    function why() {
      const says = "Why is that right? Your reason goes to a keeper of this knowledge base, not into the entry.";
      return [element("h2", {}, "Why"), text({ key: "why", says, kind: "textarea" })];
    }

    /** @param {Answers} answers */
    function result(answers) {
      const found = corrections.changes(answers);
      if (found.length === 0)
        return element("p", { key: "none" }, "Change what is wrong; then it can be handed in here.");
      const { path, file } = corrections.file(answers);
      const rows = found.map(({ key, name, from, to }) => element("li", { key }, `${name}: ${from} → ${to}`));
      const area = {
        id: "entry",
        readonly: true,
        rows: "8",
        spellcheck: "false",
        "aria-label": "The correction",
        value: file,
      };
      const place = "A keeper gives it to ";
      return element(
        "section",
        { "aria-labelledby": "part-entry", key: "correction" },
        element("h3", { id: "part-entry" }, "The correction"),
        element("ul", {}, rows),
        element(
          "p",
          { class: "detail", key: "place" },
          place,
          element("code", {}, "bartack import"),
          ", which changes nothing else in the entry.",
        ),
        element("textarea", area),
        handing.ways({ answers, path, file }),
      );
    }

    return { head, why, result };
  }

  window.bartackRecordingCorrecting = correcting;
})();
