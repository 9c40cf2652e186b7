// What follows from the answers about a garment to record: what its entry would do, and the entry with the ways to send it.
(function () {
  "use strict";

  const { element, copier } = window.bartackElements;
  const { entry, fitting } = window.bartackRecordingEntry;
  const { effects } = window.bartackRecordingEffects;
  // Longer than this, mail programs and hosts cut an address off.
  const LONGEST_ADDRESS = 7000;

  /**
   * Parameters of an address; a space is not written as a plus, which mail programs show as one.
   * @param {Record<string, string>} given
   */
  function parameters(given) {
    return new URLSearchParams(given).toString().replace(/\+/g, "%20");
  }

  /** @param {Results} page */
  function result({ rules, prepared, recording, site }) {
    /** @type {{ file: string, href: string } | null} */
    let latest = null;

    // The address of the entry's text, made anew where the text is another.
    function download(/** @type {string} */ file) {
      if (latest && latest.file === file) return latest.href;
      if (latest) URL.revokeObjectURL(latest.href);
      latest = { file, href: URL.createObjectURL(new Blob([file], { type: "text/markdown" })) };
      return latest.href;
    }

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
      const isEmpty = answers.features.size === 0 && !answers.made.form;
      const none = isEmpty
        ? "Nothing is answered yet."
        : "It would add to what is counted, and contradict nothing that this page knows.";
      return element(
        "section",
        { "aria-labelledby": "part-does", key: "does" },
        element("h3", { id: "part-does" }, "What it would do"),
        rows.length > 0 ? element("ul", {}, rows) : element("p", {}, none),
      );
    }

    /** @param {Answers} answers */
    function written(answers) {
      const { path, text: file, left } = entry(answers, { prepared, recording, rules });
      const names = left.map((id) => prepared.features.get(id)?.name || id).join(", ");
      const host = newFile(path, file);
      const isLong = host !== null && host.length > LONGEST_ADDRESS;
      const area = {
        id: "entry",
        readonly: true,
        rows: "16",
        spellcheck: "false",
        "aria-label": "The entry",
        value: file,
      };
      const place = ["It belongs at ", element("code", {}, path), "; a keeper can also "];
      const long = "It is too long for an address: copy it, and paste it at the Git host.";
      return element(
        "section",
        { "aria-labelledby": "part-entry", key: "entry" },
        element("h3", { id: "part-entry" }, "The entry"),
        element("p", { class: "detail", key: "place" }, place, element("code", {}, "bartack import"), " it."),
        names && element("p", { class: "notice" }, `Left out, since this sort of garment has none: ${names}.`),
        element("textarea", area),
        element("p", { class: "ways", key: "ways" }, ways({ path, file, host })),
        isLong && element("p", { class: "detail", key: "long" }, long),
      );
    }

    /** @param {{ path: string, file: string, host: string | null }} entry */
    function ways({ path, file, host }) {
      const name = path.split("/").pop() || path;
      const mail = "mailto:?" + parameters({ subject: path, body: file });
      const far = (/** @type {string} */ says, /** @type {string | null} */ href) =>
        href !== null && href.length <= LONGEST_ADDRESS
          ? element("a", { class: "act", href, rel: "noreferrer", key: says }, says)
          : null;
      const all = [
        ...copier("Copy it", "entry", file),
        element("a", { class: "act", download: name, href: download(file), key: "download" }, "Download it"),
        far("Send it by mail", mail),
        far("Add it at the Git host", host),
      ];
      return all.flatMap((one) => (one ? [one, " "] : []));
    }

    /**
     * The page for a new file at a Git host: beside the one that edits, with the folder in the address and the rest asked for.
     * @param {string} path
     * @param {string} file
     */
    function newFile(path, file) {
      const base = recording.edit_url;
      if (!base || !/^https?:\/\//.test(base) || !/\/_?edit\//.test(base)) return null;
      const at =
        base.lastIndexOf("/edit/") >= 0
          ? base.replace(/\/edit\/(?!.*\/edit\/)/, "/new/")
          : base.replace(/\/_edit\/(?!.*\/_edit\/)/, "/_new/");
      const [name, ...folders] = path.split("/").reverse();
      return `${at.replace(/\/$/, "")}/${folders.reverse().join("/")}?` + parameters({ filename: name, value: file });
    }

    return { consequences, written };
  }

  window.bartackRecordingResult = result;
})();
