// Turns answers about a garment into an entry file: TOML front matter between `+++` lines, then
// words.
//
// Its output passes `bartack check` unchanged, whatever the answers. Of other records it uses only
// the names already taken.
(function () {
  "use strict";

  const dates = window.bartackRecordingDates;
  const { applies } = window.bartackDating;

  // Texts of people: no control characters, no halves of characters.
  function clean(text) {
    return (text || "")
      .replace(/\r\n?/g, "\n")
      .replace(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u2028\u2029\ufeff]/g, "")
      .replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, "");
  }

  function oneLine(text) {
    return clean(text).replace(/\s+/g, " ").trim();
  }

  // A TOML basic string: what JSON escapes, TOML reads.
  function quoted(text) {
    return JSON.stringify(text);
  }

  function list(items) {
    return "[" + items.map(quoted).join(", ") + "]";
  }

  // Letters, digits and single hyphens, as names of files and finds are written.
  function slug(text) {
    return (text || "")
      .normalize("NFKD")
      .replace(/[\u0300-\u036f]/g, "")
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "")
      .slice(0, 40)
      .replace(/-+$/, "");
  }

  function pictureName(text) {
    const ending = /\.png$/i.test(text.trim()) ? ".png" : ".jpg";
    const stem = slug(text.trim().replace(/\.[A-Za-z0-9]+$/, ""));
    return stem ? stem + ending : "";
  }

  function reading(feature, value, about) {
    const more = [];
    if (about.altered) more.push("altered = true");
    if (about.unsure) more.push("unsure = true");
    if (oneLine(about.note)) more.push("note = " + quoted(oneLine(about.note)));
    const isWord = feature.kind === "state" || value === "absent" || value === "lost";
    if (value === "other" && !(feature.states || []).includes("other")) {
      return table(["other = " + quoted(oneLine(about.other) || "no word for it in the vocabulary"), ...more]);
    }
    const written = isWord || feature.kind === "code" ? quoted(oneLine(value)) : String(Number(value));
    if (more.length === 0) return written;
    return table([`${isWord ? "state" : "value"} = ${written}`, ...more]);
  }

  function table(parts) {
    return `{ ${parts.join(", ")} }`;
  }

  // The lines that say when it was made and how that is known.
  function made(date, { madeBy, madeSource, madeFrom, madeNote, features }) {
    const lines = [];
    if (date.edtf) {
      // Without a source of the key there is no reading through it, only a judgement.
      const by = madeBy === "key" && !madeSource ? "estimate" : madeBy || "estimate";
      lines.push("made = " + quoted(date.edtf), "made-by = " + quoted(by));
      if (by === "key") lines.push("made-source = " + quoted(madeSource));
      const from = (madeFrom || []).filter(
        (one) => features.has(one) || ["line", "model", "variant", "wear"].includes(one),
      );
      if (by === "estimate" && from.length > 0) lines.push("made-from = " + list(from));
    }
    if (oneLine(date.asWritten)) lines.push("made-as-written = " + quoted(oneLine(date.asWritten)));
    if (oneLine(madeNote)) lines.push("made-note = " + quoted(oneLine(madeNote)));
    return lines;
  }

  function placed({ variant, maker, model, line, wearer, placedBy, placedFrom, features }) {
    if (!variant) {
      const lines = [];
      if (maker || model) lines.push("maker = " + quoted(maker || model.split("/")[0]));
      if (model) lines.push("model = " + quoted(model));
      if (line && line.startsWith((maker || (model || "").split("/")[0]) + "/")) lines.push("line = " + quoted(line));
      if (wearer) lines.push("wearer = " + quoted(wearer));
      return lines;
    }
    if (!placedBy) return [];
    const from = (placedFrom || []).filter((one) => features.has(one));
    return [
      "placed-by = " + quoted(placedBy),
      ...(placedBy === "judged" ? ["placed-from = " + list(from.length > 0 ? from : ["unsaid"])] : []),
    ];
  }

  function cited({ source, place, ownCitation, ownKind }) {
    const own = oneLine(ownCitation);
    const references = [];
    if (source) references.push([source, oneLine(place)].filter(Boolean).join(" "));
    if (own) references.push("own");
    const lines = references.length > 0 ? ["sources = " + list(references)] : [];
    const table = own
      ? ["", "[[source]]", 'id = "own"', "citation = " + quoted(own), "kind = " + quoted(ownKind || "recollection")]
      : [];
    return { lines, table };
  }

  function photographs({ photos, features }, licence) {
    const names = new Set();
    const lines = (photos || []).flatMap(({ file, shows, credit, licence: own }) => {
      const name = pictureName(file || "");
      if (!name || names.has(name)) return [];
      names.add(name);
      const seen = (shows || []).filter((one) => features.has(one));
      const parts = ["file = " + quoted(name)];
      if (seen.length > 0) parts.push("shows = " + list(seen));
      if (oneLine(credit)) parts.push("credit = " + quoted(oneLine(credit)));
      parts.push("licence = " + quoted(oneLine(own) || licence));
      return ["  " + table(parts) + ","];
    });
    return lines.length > 0 ? ["photos = [", ...lines, "]"] : [];
  }

  function name(date, answers, taken) {
    const when = date.edtf ? date.edtf.replace(/[^0-9x]+/gi, "-") : "undated";
    const base = [slug(when), slug(answers.observer).slice(0, 20)].filter(Boolean).join("-");
    let free = base;
    for (let number = 2; taken.includes(free); number += 1) free = `${base}-${number}`;
    return free;
  }

  /**
   * The features that a garment of its model's sort has: somebody may have answered before choosing the model.
   * @param {Answers} answers
   * @param {{ prepared: Prepared, rules: Rules }} known
   */
  function fitting({ model, features }, { prepared, rules }) {
    const known = rules.models.find((one) => one.id === model);
    return new Map([...features].filter(([id]) => !known || applies(prepared.features.get(id), known.garment)));
  }

  /**
   * The keys of the entry but sources and photographs, one a line.
   * @param {any} answers
   */
  function keys(answers) {
    const observed = dates.observed(answers).edtf;
    const optional = (key, value) => (value ? [`${key} = ${quoted(value)}`] : []);
    return [
      ...(observed ? ["observed = " + observed] : []),
      ...optional("observer", oneLine(answers.observer)),
      ...placed(answers),
      ...optional("find", slug(answers.find)),
      ...optional("factory", slug(answers.factory)),
      ...optional("market", /^[A-Z]{2}$/.test(answers.market || "") ? answers.market : ""),
      ...made(dates.dated(answers), answers),
    ];
  }

  /**
   * The readings of the entry, one a line, in the order of the vocabulary.
   * @param {Answers} answers
   * @param {Prepared} prepared
   */
  function readings({ features, about }, prepared) {
    const seen = [...prepared.features.values()].filter((feature) => features.has(feature.id));
    return seen.map(
      (feature) => `${feature.id} = ${reading(feature, features.get(feature.id), about[feature.id] || {})}`,
    );
  }

  // The path and text of the entry, and the features that were left out of it.
  function entry(answered, { prepared, recording, rules }) {
    const answers = { ...answered, features: fitting(answered, { prepared, rules }) };
    const left = [...answered.features.keys()].filter((id) => !answers.features.has(id));
    const folder = answers.variant ? "makers/" + answers.variant : "unplaced";
    const path = `entries/${folder}/${name(dates.dated(answers), answers, recording.names[folder] || [])}.md`;
    const { lines, table: own } = cited(answers);
    const head = ['basis = "specimen"', ...keys(answers), ...lines, ...photographs(answers, recording.licence)];
    const seen = readings(answers, prepared);
    const table = seen.length > 0 ? ["", "[features]", ...seen] : [];
    const body = clean(answers.body).trim();
    const text = ["+++", "# goes to: " + path, ...head, ...table, ...own, "+++", ...(body ? [body] : []), ""].join(
      "\n",
    );
    return { path, text, left };
  }

  window.bartackRecordingEntry = { entry, fitting, pictureName, keys, readings, quoted, clean };
})();
