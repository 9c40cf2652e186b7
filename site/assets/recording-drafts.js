// Drafts of garments to record, kept in this browser one by one until they are cleared.
//
// Two pages that are open at once do not write over each other: a draft that is not as this page left it stays as it is,
// and this page goes on in a draft of its own.
(function () {
  "use strict";

  const { shaped, stored } = window.bartackRecordingDraft;

  /**
   * Keeps the drafts of a knowledge base; `isBegun` says which are worth keeping.
   * @param {string} title
   * @param {Prepared} prepared
   * @param {(draft: Partial<Answers>) => boolean} isBegun
   */
  function drafts(title, prepared, isBegun) {
    const FIRST = "bartack draft: " + title;
    const TAB = "bartack tab: " + title;
    let id = "";
    // The text of the draft as this page read or wrote it last.
    let seen = "";

    const keyOf = (/** @type {string} */ one) => (one ? `${FIRST}\n${one}` : FIRST);
    const textOf = (/** @type {string} */ one) => stored(() => localStorage.getItem(keyOf(one))) || "";

    function fresh() {
      return `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
    }

    /** @param {string} one */
    function draftOf(one) {
      try {
        return shaped(JSON.parse(textOf(one) || "{}"), prepared);
      } catch (error) {
        return {};
      }
    }

    /** @param {string} one */
    function savedOn(one) {
      const day = stored(() => JSON.parse(textOf(one)).saved);
      return typeof day === "string" ? day : "";
    }

    function ids() {
      const keys = stored(() => Object.keys(localStorage)) || [];
      const own = keys.filter((key) => key === FIRST || key.startsWith(FIRST + "\n"));
      return own.map((key) => key.slice(FIRST.length + 1));
    }

    /** @param {string} one */
    function open(one) {
      id = one;
      seen = textOf(one);
      stored(() => sessionStorage.setItem(TAB, id));
      return draftOf(one);
    }

    // The draft that this page had before it was loaded again, or else the latest.
    function latest() {
      const own = stored(() => sessionStorage.getItem(TAB));
      const begun = ids().filter((one) => isBegun(draftOf(one)));
      const newest = begun.sort((one, other) => (savedOn(one) < savedOn(other) ? 1 : -1))[0];
      return open(typeof own === "string" && begun.includes(own) ? own : (newest ?? fresh()));
    }

    // The others, the latest first.
    function others() {
      const found = ids().filter((one) => one !== id);
      const all = found.map((one) => ({ id: one, saved: savedOn(one), draft: draftOf(one) }));
      return all.filter(({ draft }) => isBegun(draft)).sort((one, other) => (one.saved < other.saved ? 1 : -1));
    }

    /** @param {Answers} answers */
    function keep(answers) {
      if (textOf(id) !== seen) open(fresh());
      const features = [...answers.features];
      const text = JSON.stringify({ ...answers, features, saved: new Date().toISOString() });
      stored(() => {
        if (isBegun(answers)) localStorage.setItem(keyOf(id), text);
        else localStorage.removeItem(keyOf(id));
      });
      seen = textOf(id);
    }

    return { latest, others, open, keep, begin: () => void open(fresh()) };
  }

  window.bartackRecordingDrafts = drafts;
})();
