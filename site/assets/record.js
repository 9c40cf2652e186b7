// The page of a garment to record: asks, says what the answers would do, and gives the entry to copy, download, send, or
// open in the Git host's page for a new file.
//
// What is answered stays in this browser as a draft until it is cleared.
(function () {
  "use strict";

  const { element, button, copier, words } = window.bartackElements;
  const { asking, canShow, choice, read, remember, replace } = window.bartackAsking;
  const dates = window.bartackRecordingDates;
  const { entry, fitting, pictureName } = window.bartackRecordingEntry;
  const place = document.getElementById("record");
  if (!place) return;
  const rules = window.bartackRules;
  const recording = window.bartackRecording;
  const prepared = window.bartackDating.prepare(rules);
  const site = place.dataset.site;
  const DRAFT = "bartack draft: " + rules.title;
  const EARLIER = "bartack earlier draft: " + rules.title;
  // Longer than this, mail programs and hosts cut an address off.
  const LONGEST_ADDRESS = 7000;
  const SOURCE_KINDS = [
    "recollection",
    "interview",
    "photograph",
    "catalogue",
    "advertisement",
    "price-list",
    "label",
    "book",
    "article",
    "web-page",
    "patent",
  ];

  let answers = begin();
  const asked = asking({ rules, prepared, state: () => answers, change, parts: recording.parts, more: special });

  function nothing(view) {
    return { view, features: new Map(), about: Object.create(null), made: {}, photos: [], observed: today() };
  }

  // What is in the address goes before the draft: somebody came from the page of a garment in hand. The draft is not lost.
  function begin() {
    const given = read(location.hash, prepared);
    const isGiven = given.features.size > 0 || given.variant || given.model || given.maker;
    if (!isGiven) return usable({ ...nothing(given.view), ...kept(DRAFT), view: given.view });
    const before = kept(DRAFT);
    if (before.features && before.features.size > 0) keep(EARLIER, before);
    const taken = usable({ ...nothing(given.view), ...given });
    keep(DRAFT, taken);
    remember(nothing(given.view));
    return taken;
  }

  function today() {
    const now = new Date();
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()]
      .map((part) => String(part).padStart(2, "0"))
      .join("-");
  }

  function kept(name) {
    try {
      const draft = JSON.parse(localStorage.getItem(name) || "{}");
      return { ...draft, features: new Map((draft.features || []).filter(([id]) => prepared.features.has(id))) };
    } catch (error) {
      // No draft is kept where the browser keeps nothing, or keeps something else under this name.
      return {};
    }
  }

  function keep(name, draft) {
    try {
      localStorage.setItem(name, JSON.stringify({ ...draft, features: [...draft.features] }));
    } catch (error) {
      // The page works without; the draft goes when it is closed.
    }
  }

  // The draft that was here when another garment came in by its address.
  function earlier() {
    const before = kept(EARLIER);
    if (!before.features || before.features.size === 0) return null;
    return element(
      "p",
      { class: "notice" },
      "You had begun another garment. ",
      button("Go back to it", () => {
        keep(EARLIER, answers);
        answers = usable({ ...nothing(answers.view), ...before, view: answers.view });
        change("know-maker");
      }),
    );
  }

  // Leaves out what these rules do not know: an address or a draft may be older than they are.
  function usable(given) {
    const has = (list, id) => list.some((one) => one.id === id);
    const variant = rules.variants.find((one) => one.id === given.variant);
    const model = variant ? variant.model : has(rules.models, given.model) ? given.model : "";
    const maker = model ? model.split("/")[0] : has(rules.makers, given.maker) ? given.maker : "";
    const features = new Map([...given.features].filter(([id, value]) => canShow(prepared.features.get(id), value)));
    return {
      ...given,
      maker,
      model,
      variant: variant ? variant.id : "",
      line: has(rules.lines, given.line) ? given.line : "",
      features,
    };
  }

  function change(focus) {
    keep(DRAFT, answers);
    show(focus);
  }

  // Fields.

  function text({ key, says, of = answers, example = "", kind = "text", id = "tell-" + key }) {
    const input = element(
      kind === "area" ? "textarea" : "input",
      {
        id,
        type: kind === "area" ? null : "text",
        rows: kind === "area" ? "6" : null,
        placeholder: example || null,
        autocomplete: "off",
        value: kind === "area" ? null : of[key] || "",
      },
      kind === "area" ? of[key] || "" : null,
    );
    input.addEventListener("change", () => {
      of[key] = input.value;
      change(null);
    });
    return element("p", { class: "known" }, element("label", { for: id }, says), input);
  }

  function check({ id, says, isOn }, set) {
    const input = element("input", { type: "checkbox", id, checked: isOn });
    input.addEventListener("change", () => {
      set(input.checked);
      change(id);
    });
    return element("span", { class: "tap" }, input, element("label", { for: id }, says));
  }

  function pick(key, says, options, none) {
    return choice({ id: "tell-" + key, label: says, options, value: answers[key], none }, (value, id) => {
      answers[key] = value;
      change(id);
    });
  }

  // Ticks for the features that were examined, kept as a list under a key.
  function ticks(key, says, of, extra = []) {
    const chosen = new Set(of[key] || []);
    const id = `${key}-${answers.photos.indexOf(of)}`;
    const options = [
      ...extra.map((one) => [one, words(one)]),
      ...[...answers.features.keys()].map((one) => [one, prepared.features.get(one).name]),
    ];
    if (options.length === 0) return null;
    const boxes = options.map(([value, name]) =>
      check({ id: `tick-${id}-${value}`, says: name, isOn: chosen.has(value) }, (isOn) => {
        if (isOn) chosen.add(value);
        else chosen.delete(value);
        of[key] = [...chosen];
      }),
    );
    return element(
      "fieldset",
      { class: "feature" },
      element("legend", {}, says),
      element("div", { class: "taps" }, boxes),
    );
  }

  // What else is asked about a feature that was examined.
  function special(feature) {
    if (!answers.about[feature.id]) answers.about[feature.id] = {};
    const about = answers.about[feature.id];
    const value = answers.features.get(feature.id);
    const box = (key, says) =>
      check({ id: `special-${feature.id}-${key}`, says, isOn: Boolean(about[key]) }, (isOn) => {
        about[key] = isOn;
      });
    const own =
      value === "other"
        ? text({ key: "other", says: "What is it?", of: about, id: `special-${feature.id}-other` })
        : null;
    return element(
      "div",
      { class: "special" },
      own,
      element("div", { class: "taps" }, box("altered", "replaced or altered"), box("unsure", "not sure")),
      text({ key: "note", says: "What else there is to say of it", of: about, id: `special-${feature.id}-note` }),
    );
  }

  // The parts of the page.

  function whose() {
    const judged =
      answers.placedBy === "judged"
        ? ticks("placedFrom", "Judged from which of these? They are then no evidence for this variant.", answers)
        : null;
    const unknown =
      answers.model && !answers.variant
        ? element(
            "p",
            { class: "detail" },
            "No variant chosen means none of these, or not known: the entry is filed as unplaced, which is worth having too.",
          )
        : null;
    const why = answers.variant
      ? pick(
          "placedBy",
          "How do you know it is of this variant?",
          [
            { id: "mark", name: "a label or number on it says so" },
            { id: "paper", name: "a paper that came with it says so" },
            { id: "judged", name: "I judge so" },
          ],
          "not said",
        )
      : null;
    return [
      element("h2", {}, "What is it?"),
      asked.known(
        ...["maker", "model", "variant"],
        ...(answers.variant ? [] : ["line", "wearer", "garment"]),
        "market",
      ),
      unknown,
      why,
      judged,
    ];
  }

  function when() {
    const made = answers.made;
    const form = dates.FORMS[made.form];
    const forms = Object.entries(dates.FORMS).map(([id, one]) => ({ id, name: one.says }));
    const field = (key, says) => text({ key, says, of: made, example: form.example, id: "made-" + key });
    const wrong = form && (made.first || made.last) ? dates.problem(made) : "";
    const parts = [
      element("h2", {}, "When was it made?"),
      choice({ id: "made-form", label: "It was made", options: forms, value: made.form }, (value, id) => {
        made.form = value;
        change(id);
      }),
    ];
    if (form) {
      parts.push(
        element(
          "div",
          { class: "knowns" },
          field("first", form.fields === 2 ? "From the year" : "When"),
          form.fields === 2 ? field("last", "To the year") : null,
        ),
        element("p", { class: "problem", role: "alert" }, wrong),
        form.widens
          ? check({ id: "made-about", says: "about", isOn: Boolean(made.about) }, (isOn) => {
              made.about = isOn;
            })
          : null,
        pick(
          "madeBy",
          "How do you know?",
          [
            { id: "mark", name: "a date on it" },
            { id: "paper", name: "a receipt or a dated photograph" },
            { id: "key", name: "a code, read by somebody's key" },
            { id: "estimate", name: "I judge so" },
          ],
          "I judge so",
        ),
      );
      if (answers.madeBy === "key")
        parts.push(pick("madeSource", "Whose key?", sources(), "choose the source of the key, else it is a judgement"));
      if (!answers.madeBy || answers.madeBy === "estimate")
        parts.push(
          ticks("madeFrom", "Judged from what? Nothing ticked means from everything.", answers, [
            "line",
            "model",
            "variant",
            "wear",
          ]),
        );
    }
    return [
      ...parts,
      text({ key: "madeWords", says: "The date in your own words", example: "late seventies, I think" }),
      text({ key: "madeNote", says: "What it rests on" }),
    ];
  }

  function sources() {
    return recording.sources.map((one) => ({ id: one.id, name: one.citation }));
  }

  function who() {
    const own = (answers.ownCitation || "").trim()
      ? pick(
          "ownKind",
          "What is it?",
          SOURCE_KINDS.map((one) => ({ id: one, name: words(one) })),
          "recollection",
        )
      : null;
    return [
      element("h2", {}, "Who says so?"),
      element(
        "div",
        { class: "knowns" },
        text({ key: "observer", says: "You, under the name you want to be known by" }),
        text({ key: "observed", says: "The day you looked", example: "2026-03-14" }),
        text({ key: "find", says: "A word that garments found together share" }),
        text({ key: "factory", says: "Factory, if it says" }),
      ),
      recording.sources.length > 0
        ? pick("source", "A source already listed that speaks of it", sources(), "none")
        : null,
      answers.source ? text({ key: "place", says: "Where in it", example: "p. 14" }) : null,
      text({ key: "ownCitation", says: "Another source: author, title, place, year; or who told you" }),
      own,
    ];
  }

  function pictures() {
    const rows = answers.photos.map((photo, number) => {
      const says = (key) => `photo-${number}-${key}`;
      const name = pictureName(photo.file || "");
      return element(
        "fieldset",
        { class: "feature" },
        element("legend", {}, `Photograph ${number + 1}`),
        element(
          "div",
          { class: "knowns" },
          text({ key: "file", says: "File", of: photo, id: says("file"), example: "hem.jpg" }),
          text({ key: "credit", says: "Who took it", of: photo, id: says("credit") }),
          text({ key: "licence", says: "Its licence", of: photo, id: says("licence"), example: recording.licence }),
        ),
        name && name !== photo.file
          ? element("p", { class: "detail" }, "Send it under the name ", element("b", {}, name), ".")
          : null,
        ticks("shows", "What does it show?", photo),
        button("Leave this photograph out", () => {
          answers.photos.splice(number, 1);
          change("more-photos");
        }),
      );
    });
    return [
      element("h2", {}, "Photographs"),
      element(
        "p",
        { class: "detail" },
        "JPEG or PNG, close up and in side light. Name them here and send them with the entry; " +
          "what is hidden in them, such as where you stood, is not published.",
      ),
      rows,
      element(
        "p",
        {},
        button(
          "Name a photograph",
          () => {
            answers.photos.push({});
            change(`photo-${answers.photos.length - 1}-file`);
          },
          { id: "more-photos" },
        ),
      ),
    ];
  }

  function link({ name, href }) {
    return site === "none" ? element("span", {}, name) : element("a", { href: site + href }, name);
  }

  function consequences() {
    const counted = { ...answers, features: fitting(answers, { prepared, rules }) };
    const rows = window.bartackRecordingEffects
      .effects(counted, { rules, prepared, recording })
      .map(({ text: says, because }) =>
        element(
          "li",
          {},
          says,
          because.flatMap((one, number) => [number > 0 ? ", " : " ", link(one)]),
        ),
      );
    const none = element(
      "p",
      {},
      answers.features.size === 0 && !answers.made.form
        ? "Nothing is answered yet."
        : "It would add to what is counted, and contradict nothing that this page knows.",
    );
    return element(
      "section",
      { "aria-labelledby": "part-does" },
      element("h3", { id: "part-does" }, "What it would do"),
      rows.length > 0 ? element("ul", {}, rows) : none,
    );
  }

  function written() {
    const { path, text: file, left } = entry(answers, { prepared, recording, rules });
    const area = element(
      "textarea",
      { id: "entry", readonly: true, rows: "16", spellcheck: "false", "aria-label": "The entry" },
      file,
    );
    const name = path.split("/").pop();
    const download = element(
      "a",
      { class: "act", download: name, href: URL.createObjectURL(new Blob([file], { type: "text/markdown" })) },
      "Download it",
    );
    const mail = "mailto:?" + new URLSearchParams({ subject: path, body: file }).toString().replace(/\+/g, "%20");
    const host = newFile(path, file);
    const far = (says, href) =>
      href.length <= LONGEST_ADDRESS ? element("a", { class: "act", href, rel: "noreferrer" }, says) : null;
    const ways = [
      copier("Copy it", area),
      download,
      far("Send it by mail", mail),
      host ? far("Add it at the Git host", host) : null,
    ];
    return element(
      "section",
      { "aria-labelledby": "part-entry" },
      element("h3", { id: "part-entry" }, "The entry"),
      element(
        "p",
        { class: "detail" },
        "It belongs at ",
        element("code", {}, path),
        "; a keeper can also ",
        element("code", {}, "bartack import"),
        " it.",
      ),
      left.length > 0
        ? element(
            "p",
            { class: "notice" },
            "Left out, since this sort of garment has none: " +
              left.map((id) => prepared.features.get(id).name).join(", ") +
              ".",
          )
        : null,
      area,
      element(
        "p",
        { class: "ways" },
        ways
          .flat()
          .filter(Boolean)
          .flatMap((one) => [one, " "]),
      ),
      host && host.length > LONGEST_ADDRESS
        ? element("p", { class: "detail" }, "It is too long for an address: copy it, and paste it at the Git host.")
        : null,
    );
  }

  // The page for a new file at a Git host: beside the one that edits, with the folder in the address and the rest asked for.
  function newFile(path, file) {
    const base = recording.edit_url;
    if (!base || !/^https?:\/\//.test(base) || !/\/_?edit\//.test(base)) return null;
    const at =
      base.lastIndexOf("/edit/") >= 0
        ? base.replace(/\/edit\/(?!.*\/edit\/)/, "/new/")
        : base.replace(/\/_edit\/(?!.*\/_edit\/)/, "/_new/");
    const folder = path.split("/").slice(0, -1).join("/");
    return (
      `${at.replace(/\/$/, "")}/${folder}?` +
      new URLSearchParams({ filename: path.split("/").pop(), value: file }).toString().replace(/\+/g, "%20")
    );
  }

  function show(focus) {
    if (window.bartackDating.answer(prepared, { variant: "none", features: {} }).cannot_tell) {
      place.replaceChildren(element("p", { class: "notice" }, "These rules need more than this page understands."));
      return;
    }
    const clear = button("Clear the draft", () => {
      answers = nothing(answers.view);
      asked.close();
      change("know-maker");
    });
    const questions = element(
      "div",
      { class: "asked-of" },
      earlier(),
      whose(),
      element("h2", {}, "What do you see?"),
      element(
        "p",
        { class: "detail" },
        "Look, measure and count; cut nothing, burn nothing, wet nothing. " +
          "A part that looks replaced is recorded as such. What was cut out is lost, not absent.",
      ),
      asked.zones(),
      when(),
      who(),
      pictures(),
      element("h2", {}, "In your words"),
      text({ key: "body", says: "What you saw, how you looked, and what you are not sure of", kind: "area" }),
      element("p", {}, clear),
    );
    const answer = element(
      "div",
      { class: "answered", id: "answer", tabindex: "-1" },
      element("h2", {}, "What follows"),
      consequences(),
      written(),
      element("p", { class: "caution" }, window.bartackDating.CAUTION),
    );
    replace(place, [questions, answer], focus);
  }

  show(null);
})();
