// The page's summary of a correction: the entry it corrects, the changes so far, the reasons, and
// the file to hand in.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const KEPT =
    "All that this form does not show stays as it is. If it is filed under the wrong variant, say so in the reason.";
  /** @type {Record<string, string>} */
  const PARTS = { claims: "the claims", source: "the sources used only in it", photos: "its photographs" };

  /** @param {Correcting} page */
  function correcting({ corrections, items, site, text, handing }) {
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
        leftOut(base),
      );
    }

    // What the link to this page has no room for.
    /** @param {Correction} base */
    function leftOut({ left = [], prose }) {
      const parts = [...left.flatMap((one) => PARTS[one] || []), ...(prose === undefined ? ["its text"] : [])];
      if (parts.length === 0) return null;
      const says = `Too long for the address of this page: ${parts.join(", ")}. The form leaves them out, and they stay as they are.`;
      return element("p", { class: "notice", key: "left" }, says);
    }

    /** @param {Answers} answers */
    function doubts(answers) {
      const held = items.held(answers).map(({ name, problem }) => `Not handed in, ${name}: ${problem}`);
      const rests = items.warnings(answers).map(({ id, rests }) => {
        return `The source “${id}” is taken out, and still resting on it: ${rests.join("; ")}. The program refuses that.`;
      });
      const all = [...rests, ...held];
      if (all.length === 0) return null;
      const rows = all.map((one) => element("li", {}, one));
      return element("div", { class: "notice", key: "doubts", id: "doubts" }, element("ul", {}, rows));
    }

    function why() {
      const says = "Why is that right? Your reason goes to a keeper of this knowledge base, not into the entry.";
      return [element("h2", {}, "Why"), text({ key: "why", says, kind: "textarea" })];
    }

    /** @param {Answers} answers */
    function result(answers) {
      const found = corrections.changes(answers);
      if (found.length === 0)
        return [element("p", { key: "none" }, "Change what is wrong; then it can be handed in here."), doubts(answers)];
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
        doubts(answers),
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
