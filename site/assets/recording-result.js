// The result of the answers about a garment to record: the effect of its entry, and the entry.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const { entry, fitting } = window.bartackRecordingEntry;
  const { effects } = window.bartackRecordingEffects;
  const { dated } = window.bartackRecordingDates;
  /** @param {Results} page */
  function result({ rules, prepared, recording, site, handing }) {
    /** @param {{ name: string, href: string }} record */
    function link({ name, href }) {
      return site === "none" ? element("span", {}, name) : element("a", { href: site + href }, name);
    }

    /** @param {Answers} answers */
    function consequences(answers) {
      const counted = { ...answers, features: fitting(answers, { prepared, rules }) };
      const found = effects(counted, { rules, prepared, recording });
      const rows = found.map(({ text, because }) =>
        element(
          "li",
          {},
          text,
          because.flatMap((one, number) => [number > 0 ? ", " : " ", link(one)]),
        ),
      );
      const isDated = dated(answers, recording.circa_years).edtf !== "";
      const isEmpty = answers.features.size === 0 && !answers.made.form && !isDated;
      const none = isEmpty
        ? "Nothing is answered yet."
        : "It would add to the counts and contradict nothing that this page knows.";
      return element(
        "section",
        { "aria-labelledby": "part-does", key: "does" },
        element("h3", { id: "part-does" }, "What it would change"),
        rows.length > 0 ? element("ul", {}, rows) : element("p", {}, none),
      );
    }

    /** @param {Answers} answers */
    function written(answers) {
      const { path, text: file, left } = entry(answers, { prepared, recording, rules });
      const names = left.map((id) => prepared.features.get(id)?.name || id).join(", ");
      const area = {
        id: "entry",
        readonly: true,
        rows: "8",
        spellcheck: "false",
        "aria-label": "The entry",
        value: file,
      };
      const place = ["It belongs at ", element("code", {}, path), "; a keeper can also "];
      return element(
        "section",
        { "aria-labelledby": "part-entry", key: "entry" },
        element("h3", { id: "part-entry" }, "The entry"),
        element("p", { class: "detail", key: "place" }, place, element("code", {}, "bartack import"), " it."),
        names && element("p", { class: "notice" }, `Left out, because this kind of garment has none: ${names}.`),
        element("textarea", area),
        handing.ways({ answers, path, file }),
      );
    }

    return { consequences, written };
  }

  window.bartackRecordingResult = result;
})();
