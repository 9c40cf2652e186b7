// The page of a garment to record: asks, says what the answers would do, and gives the entry to copy, download, send, or
// open in the Git host's page for a new file.
//
// What is answered stays in this browser as a draft until it is cleared; what was cleared can be had back.
(function () {
  "use strict";

  const { element, button } = window.bartackElements;
  const { paint } = window.bartackPainting;
  const { read, isGarment, remember } = window.bartackAddress;
  const { nothing, usable, nextLike } = window.bartackRecordingDraft;
  const { MARK, read: readCorrection, correcting } = window.bartackRecordingCorrection;
  const place = document.getElementById("record");
  if (!place) return;
  const rules = window.bartackRules;
  const recording = window.bartackRecording;
  const prepared = window.bartackDating.prepare(rules);
  const items = window.bartackRecordingItemsChanges(recording);
  const corrections = correcting({ rules, prepared, items });
  const drafts = window.bartackRecordingDrafts(rules.title, prepared, isBegun);
  const CAREFUL =
    "Look, measure and count; cut nothing, burn nothing, wet nothing. " +
    "Beware of pins and mould; do not turn brittle cloth, and do not shake the dust out of old workwear. " +
    "Record a part that looks replaced as such. A part that was cut out is lost, not absent.";

  /** @type {{ says: string, before: Answers, isWhole: boolean, isNew: boolean } | null} */
  let taken = null;
  let answers = begin();
  const state = () => answers;
  const pace = window.bartackPacing(() => {
    // An undo would lose the answers given since.
    if (taken && !taken.isNew) taken = null;
    else if (taken) taken.isNew = false;
    drafts.keep(answers);
    show();
  });
  const form = window.bartackRecordingForm({ state, pace, prepared, recording });
  const { text, ticks, isTyping } = form;
  const itemsForm = window.bartackRecordingItemsForm({
    ...{ state, pace, items, recording },
    form: { text, ticks, isTyping },
  });
  const most = recording.most_bytes;
  const pictures = window.bartackRecordingPictures.pictures({
    ...{ state, pace, most },
    form: { text, ticks, leave, licence: recording.licence },
  });
  const asked = window.bartackAsking.asking({
    ...{ rules, prepared, state, pace, parts: recording.parts, site: place.dataset.site },
    more: form.special,
  });
  const site = place.dataset.site || "";
  const handing = window.bartackRecordingHanding({ recording, pace, next });
  const result = window.bartackRecordingResult({ rules, prepared, recording, site, handing });
  const correction = window.bartackRecordingCorrecting({ corrections, items, site, text, handing });

  /** @param {Partial<Answers>} given @param {string} view */
  function fit(given, view) {
    return usable({ ...nothing(view), ...given, view }, { rules, prepared });
  }

  /** @param {Partial<Answers>} draft */
  function isBegun(draft) {
    return draft.correction ? corrections.isTouched(fit(draft, "")) : window.bartackRecordingDraft.isBegun(draft);
  }

  /** @param {Correction | null | undefined} one @param {Correction} other */
  function isSame(one, other) {
    return Boolean(one) && one.path === other.path && one.seen === other.seen;
  }

  // The address of a correction stays, so that a page that is loaded again has it, with what was changed since.
  /** @param {Correction} base */
  function beginCorrection(base) {
    const found = drafts.others().find(({ draft }) => isSame(draft.correction, base));
    if (found) return fit(drafts.open(found.id), "");
    drafts.begin();
    return corrections.begun(base);
  }

  // The facts in the address take precedence over the draft: the user came from the page of a
  // garment in hand. The draft is not lost.
  function begin() {
    const base = readCorrection(location.hash);
    if (base) return beginCorrection(base);
    const given = read(location.hash, prepared);
    const view = given.view || "";
    const isGiven = given.features.size > 0 || given.variant || given.model || given.maker;
    const before = fit(drafts.latest(), view);
    if (!isGiven) return before;
    if (isBegun(before)) drafts.begin();
    const begun = fit(given, view);
    drafts.keep(begun);
    remember({ view, features: new Map() });
    return begun;
  }

  /** @param {Answers} wanted @param {string} focus */
  function goOn(wanted, focus) {
    answers = wanted;
    asked.forget();
    if (location.hash.startsWith(MARK)) remember({ view: answers.view, features: new Map() });
    pace.now(focus);
  }

  /** @param {string} id */
  function openDraft(id) {
    goOn(fit(drafts.open(id), answers.view), "know-maker");
  }

  // The next garment: one like this, or any.
  function next(/** @type {boolean} */ isAlike) {
    const wanted = isAlike ? nextLike(answers) : nothing(answers.view);
    drafts.begin();
    goOn(wanted, "know-maker");
  }

  /** @param {Partial<Answers>} draft */
  function called({ variant, model, maker, correction: base }) {
    if (base) return `correction of ${base.name}`;
    return (variant && window.bartackDating.nameOf(rules, variant)) || model || maker || "a garment not placed yet";
  }

  // The other garments that somebody has begun.
  function others() {
    const found = drafts.others();
    if (found.length === 0) return null;
    const rows = found.map(({ id, saved, draft }) => {
      const of = draft.correction ? "change" : "detail";
      const count = draft.correction ? corrections.changes(fit(draft, "")).length : draft.features?.size || 0;
      const seen = `${count} ${count === 1 ? of : `${of}s`}`;
      const when = saved ? `, changed ${saved.slice(0, 10)}` : "";
      const isSent = draft.sent ? `, sent ${draft.sent}` : "";
      const says = `${called(draft)}: ${seen}${when}${isSent} `;
      return element(
        "li",
        { key: `draft-${id}` },
        says,
        button("Continue it", () => openDraft(id)),
      );
    });
    const title = `Other drafts in this browser: ${found.length}`;
    return element(
      "details",
      { class: "drafts", key: "drafts" },
      element("summary", {}, title),
      element("ul", {}, rows),
    );
  }

  /**
   * Takes something out, or the whole garment, and offers to put it back.
   * @param {string} says
   * @param {() => void} act
   * @param {boolean} [isWhole]
   */
  function leave(says, act, isWhole = false) {
    const { features, photos, made, about } = answers;
    const before = {
      ...answers,
      features: new Map(features),
      photos: [...photos],
      made: { ...made },
      about: { ...about },
    };
    act();
    taken = { says, before, isWhole, isNew: true };
    if (isWhole) asked.forget();
    pace.now("put-back");
  }

  function clear() {
    const { correction: base, view } = answers;
    const act = () => {
      answers = base ? corrections.begun(base) : nothing(view);
    };
    leave(base ? "Your changes are taken back." : "The draft is cleared.", act, true);
  }

  function undo() {
    if (!taken) return null;
    const { says, before, isWhole } = taken;
    const putBack = () => {
      answers = before;
      if (isWhole) asked.forget();
      pace.now("clear-draft");
    };
    const back = button("Put it back", putBack, { id: "put-back" });
    return element("p", { class: "notice", role: "status", key: "undo" }, says, " ", back);
  }

  function known() {
    const { variant, correction: base } = answers;
    // A correction cannot change the place of an entry.
    if (base && base.path.startsWith("makers/")) return asked.known("market");
    if (base) return asked.known("maker", "model", "line", "wearer", "garment", "market");
    return asked.known(...["maker", "model", "variant"], ...(variant ? [] : ["line", "wearer", "garment"]), "market");
  }

  function questions() {
    const says = "What you saw, how you looked, and what you are not sure of";
    const { correction: base } = answers;
    const hasText = !base || base.prose !== undefined;
    return element(
      "div",
      { class: "asked-of" },
      damaged(),
      correction.head(answers),
      others(),
      form.whose(known()),
      element("h2", {}, "What do you see?"),
      element("p", { class: "detail", key: "careful" }, CAREFUL),
      asked.units(),
      asked.zones(),
      form.when(),
      form.who(),
      base && itemsForm.all(),
      pictures.all(),
      hasText && [element("h2", {}, "In your words"), form.text({ key: "body", says, kind: "textarea" })],
      base && correction.why(),
      undo(),
      element(
        "p",
        { key: "clear" },
        button(base ? "Take back all changes" : "Clear the draft", clear, { id: "clear-draft" }),
      ),
    );
  }

  // The address of a correction that a mail or a person cut off.
  function damaged() {
    if (!location.hash.startsWith(MARK) || readCorrection(location.hash)) return null;
    const says =
      "The address of the entry to correct is damaged. Open the page of the entry and tap “Correct this” again.";
    return element("p", { class: "notice", role: "alert", key: "damaged" }, says);
  }

  function answer() {
    const { correction: base } = answers;
    return element(
      "div",
      { class: "answered", id: "answer", tabindex: "-1" },
      element("h2", {}, "What follows"),
      base ? correction.result(answers) : [result.consequences(answers), result.written(answers)],
      element("p", { class: "caution" }, window.bartackDating.CAUTION),
    );
  }

  function show() {
    if (window.bartackDating.inParts(prepared, { variant: "none", features: {} }).found.cannot_tell) {
      const text = "These rules need something this page does not understand.";
      paint(place, [element("p", { class: "notice" }, text)]);
    } else paint(place, [questions(), answer()]);
  }

  // A link to a place on this page is no garment; another garment in the address is one to record. Where the address is
  // for another page of the same file, that page is about to be shown.
  function arrive() {
    const base = readCorrection(location.hash);
    if (base) {
      if (answers.view || isSame(answers.correction, base)) return;
      answers = begin();
      asked.forget();
      show();
    } else if (isGarment(location.hash)) {
      if ((read(location.hash, prepared).view || "") !== answers.view) return;
      answers = begin();
      asked.forget();
      show();
    } else if (location.hash.length > 1) remember({ view: answers.view, features: new Map() });
  }

  window.addEventListener("hashchange", arrive);
  show();
})();
