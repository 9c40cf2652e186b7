// The ways to hand in a garment that was recorded: one file with its photographs, the system's own way to share, mail, the
// Git host; and what happens then.
(function () {
  "use strict";

  const { element, button, copier } = window.bartackElements;
  const { bundle } = window.bartackBundling;
  const { packed, counted } = window.bartackRecordingPictures;
  const { today } = window.bartackRecordingDates;
  // Longer than this, mail programs and hosts cut an address off.
  const LONGEST_ADDRESS = 7000;
  const NEXT =
    "A keeper of this knowledge base reads it, and a program checks it. " +
    "They may have a question; if you like, say in your text how to reach you. " +
    "Then it appears under the name you gave and is counted; until then nothing changes.";
  const NEXT_CORRECTED =
    "A keeper of this knowledge base reads it and decides, and a program checks it. " +
    "They may have a question; if you like, say in the reason how to reach you. Until then the page stays as it is.";

  /**
   * Parameters of an address; a space is not written as a plus, which mail programs show as one.
   * @param {Record<string, string>} given
   */
  function parameters(given) {
    return new URLSearchParams(given).toString().replace(/\+/g, "%20");
  }

  /** @param {Handing} page */
  function handing({ recording, pace, next }) {
    /** @type {Map<string, { of: string, href: string }>} */
    const addresses = new Map();

    // The address of a file, made anew where it is another.
    function address(/** @type {string} */ name, /** @type {string} */ of, /** @type {() => Blob} */ make) {
      const latest = addresses.get(name);
      if (latest && latest.of === of) return latest.href;
      if (latest) URL.revokeObjectURL(latest.href);
      const href = URL.createObjectURL(make());
      addresses.set(name, { of, href });
      return href;
    }

    /** @param {Handed} entry */
    function files({ path, file }) {
      const name = path.split("/").pop() || path;
      return { name, stem: name.replace(/\.md$/, ""), text: new Blob([file], { type: "text/markdown" }) };
    }

    /** @param {Handed} entry */
    function whole(entry) {
      const { name } = files(entry);
      return bundle([{ name, bytes: new TextEncoder().encode(entry.file) }, ...packed(entry.answers.photos)]);
    }

    /** @param {Handed} entry */
    function save(entry) {
      const { stem } = files(entry);
      const href = URL.createObjectURL(whole(entry));
      const link = document.createElement("a");
      link.href = href;
      link.download = `${stem}.zip`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(href), 60000);
    }

    /** @param {Handed} entry */
    function shared(entry) {
      const { stem, name, text } = files(entry);
      const isAlone = counted(entry.answers.photos) === 0;
      const file = isAlone
        ? new File([text], name, { type: "text/markdown" })
        : new File([whole(entry)], `${stem}.zip`, { type: "application/zip" });
      return { files: [file], title: entry.path };
    }

    function canShare() {
      const sample = [new File(["x"], "x.zip", { type: "application/zip" })];
      return Boolean(navigator.canShare && navigator.canShare({ files: sample }));
    }

    /** @param {Handed} entry */
    function share(entry) {
      navigator.share(shared(entry)).catch(() => {
        // Somebody thought better of it.
      });
    }

    /** @param {Handed} entry */
    function mail({ path, file }) {
      const contact = recording.contact || "";
      if (/^https?:/.test(contact)) return null;
      return `mailto:${contact}?` + parameters({ subject: path, body: file });
    }

    /**
     * The page for a new file at a Git host: beside the one that edits, with the folder in the address and the rest asked for.
     * @param {Handed} entry
     */
    function newFile({ path, file }) {
      const base = recording.edit_url;
      if (!base || !/^https?:\/\//.test(base) || !/\/_?edit\//.test(base)) return null;
      const at =
        base.lastIndexOf("/edit/") >= 0
          ? base.replace(/\/edit\/(?!.*\/edit\/)/, "/new/")
          : base.replace(/\/_edit\/(?!.*\/_edit\/)/, "/_new/");
      const [name, ...folders] = path.split("/").reverse();
      return `${at.replace(/\/$/, "")}/${folders.reverse().join("/")}?` + parameters({ filename: name, value: file });
    }

    /** @param {string} says @param {string | null} href */
    function far(says, href) {
      if (href === null || href.length > LONGEST_ADDRESS) return null;
      return element("a", { class: "act", href, rel: "noreferrer", key: says }, says);
    }

    /** @param {Handed} entry */
    function offered(entry) {
      const { name, text } = files(entry);
      const photographs = counted(entry.answers.photos);
      const whole = `Download entry and ${photographs === 1 ? "photograph" : "photographs"}`;
      const contact = recording.contact || "";
      return [
        photographs > 0 && button(whole, () => save(entry), { id: "save-bundle" }),
        canShare() && button("Share it", () => share(entry), { id: "share" }),
        far("Send it by mail", mail(entry)),
        /^https?:/.test(contact) && far("Where to send it", contact),
        far("Add it at the Git host", newFile(entry)),
        element(
          "a",
          { class: "act", download: name, href: address("text", entry.file, () => text), key: "download" },
          "Download it",
        ),
        ...copier("Copy it", "entry", entry.file),
      ].flatMap((one) => (one ? [one, " "] : []));
    }

    /** @param {Handed} entry */
    function notes(entry) {
      const photographs = counted(entry.answers.photos);
      const addresses = [mail(entry), newFile(entry)].filter((one) => one !== null);
      const isLong = addresses.some((one) => one.length > LONGEST_ADDRESS);
      return [
        photographs > 0 && "A mail and the Git host’s page take only the text: attach the file yourself.",
        isLong && "It is too long for an address: download it, or copy it and paste it where you send it.",
      ].filter(Boolean);
    }

    /** @param {Handed} entry */
    function sent({ answers, file }) {
      const isNew = !answers.correction;
      const mark = () => {
        answers.sent = today();
        answers.sentAs = file;
        pace.now(answers.correction ? "next" : "next-alike");
      };
      if (!answers.sent) return element("p", { key: "mark" }, button("I have sent it", mark, { id: "mark-sent" }));
      const isOther = answers.sentAs !== file;
      const says = `Sent on ${answers.sent}. ` + (isOther ? "You changed it since: send it again. " : "");
      return element(
        "p",
        { class: "notice", role: "status", key: "sent" },
        says,
        isOther && [button("I have sent it again", mark, { id: "mark-sent" }), " "],
        isNew && [button("Next garment like this one", () => next(true), { id: "next-alike" }), " "],
        button(isNew ? "Next garment" : "Record a garment", () => next(false), { id: "next" }),
      );
    }

    /** @param {Handed} entry */
    function ways(entry) {
      return element(
        "section",
        { "aria-labelledby": "part-hand", key: "hand" },
        element("h3", { id: "part-hand" }, "Hand it in"),
        element("p", { class: "ways", key: "ways" }, offered(entry)),
        notes(entry).map((text) => element("p", { class: "detail" }, text)),
        element("p", { key: "next" }, entry.answers.correction ? NEXT_CORRECTED : NEXT),
        sent(entry),
      );
    }

    return { ways };
  }

  window.bartackRecordingHanding = handing;
})();
