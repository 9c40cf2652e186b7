// Turns an answer into the sentences that a seller may paste; the engine writes the same.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { prepareKey, readBy, shape, spoken } = dating;
  const CAUTION =
    "This is an opinion drawn from what people recorded, not an authentication. Parts get replaced and " +
    "labels get moved to other garments. Tell a buyer what you measured yourself, and keep to the consumer law of the " +
    "place where you sell.";
  const ORIGINAL = "if the label is original to the garment and not a copy";

  const UNTOUCHED = "Too little seen yet.";
  const CONTRADICTION = "Its details contradict one another; one of its parts may be replaced or misread.";
  // A variant with less than this share is not named alone; of those that are tied, so many are named.
  const LEADING = 0.5;
  const NAMED = 3;

  function percent(probability) {
    return Math.floor(probability * 100 + 0.5);
  }

  // The share that a mark would rule out: never the whole, since a mark that leaves nothing is not named.
  function ruledOut(share) {
    return percent(share) === 100 ? "more than 99 %" : `${percent(share)} %`;
  }

  // A gap between two runs of years is ignored if it holds less than this share; a sentence with
  // more than two runs is hard to read.
  const GAP = 0.05;
  const RUNS = 2;

  function readOver(years, runs) {
    const of = new Map(years.probability);
    const said = runs.map((run) => [...run]);
    const held = ([, before], [after]) => {
      let sum = 0;
      for (let year = before + 1; year < after; year += 1) sum += of.get(year) || 0;
      return sum;
    };
    while (said.length > 1) {
      const gaps = said.slice(1).map((run, at) => held(said[at], run));
      const least = Math.min(...gaps);
      if (least >= GAP && said.length <= RUNS) break;
      const at = gaps.indexOf(least);
      said.splice(at, 2, [said[at][0], said[at + 1][1]]);
    }
    return said;
  }

  function spanInWords(years, runs) {
    return readOver(years, runs)
      .map(([first, last]) => spoken.years(first, last))
      .join(" or ");
  }

  function spansInWords(years) {
    const most = spanInWords(years, years.span95);
    const half = spanInWords(years, years.span50);
    return most === half ? `${most} (95 %)` : `${most} (95 %), best guess ${half}`;
  }

  function yearsInWords(years) {
    return `Most likely ${spansInWords(years)}.`;
  }

  // How much likelier a reading is in one variant than in the next, from the weight of evidence in bits.
  function timesInWords(bits) {
    const times = Math.pow(2, Math.abs(bits));
    const said = times.toFixed(times < 9.95 ? 1 : 0);
    if (said === "1.0") return "as likely in both";
    return `${said} times as likely in the ${bits > 0 ? "first" : "next"}`;
  }

  function boundsInWords(rules, hard) {
    const titles = (ids) =>
      ids.map((id) => (rules.landmarks.find((landmark) => landmark.id === id) || { title: id }).title).join("; ");
    const sentences = [];
    if (hard.not_before)
      sentences.push(`Not made before ${spoken.before(hard.not_before)}, ${ORIGINAL}: ${titles(hard.not_before_by)}.`);
    if (hard.not_after)
      sentences.push(`Not made after ${spoken.by(hard.not_after)}, ${ORIGINAL}: ${titles(hard.not_after_by)}.`);
    return sentences.length > 0 ? sentences : ["No landmark limits its date."];
  }

  function nameOf(rules, id) {
    const variant = rules.variants.find((one) => one.id === id);
    const maker = rules.makers.find((one) => one.id === variant.maker);
    const model = rules.models.find((one) => one.id === variant.model);
    return [maker, model, variant]
      .filter(Boolean)
      .map((one) => one.name)
      .join(", ");
  }

  function tiedOf(variants) {
    return variants.filter(({ probability }) => 2 * probability > variants[0].probability);
  }

  // The variants that the card names, where it names any.
  function named(variants) {
    return tiedOf(variants).slice(0, NAMED);
  }

  // The variant that leads, or those that are tied.
  function likeness(rules, variants) {
    const said = ({ id, probability }) => `${nameOf(rules, id)} (${percent(probability)} %)`;
    const [first, next] = variants;
    if (!next || first.probability >= 2 * next.probability) {
      return next && first.probability < LEADING
        ? `No variant has half: ${said(first)}, then ${said(next)}.`
        : `Of the recorded variants it is most like ${said(first)}.`;
    }
    const tied = tiedOf(variants);
    const named = tied.slice(0, NAMED).map(said);
    if (tied.length > NAMED) named.push(`${tied.length - NAMED} more`);
    return `${tied.length} variants are tied: ${named.slice(0, -1).join(", ")} and ${named[named.length - 1]}.`;
  }

  function hasMaker(garment) {
    return ["maker", "model", "line", "variant"].some((key) => garment[key]);
  }

  // The answer in two sentences, years and variant, the same on every page.
  function card(rules, garment, found) {
    if (found.contradiction) return [CONTRADICTION];
    const isExamined = Object.keys(garment.features || {}).some((id) => !found.ignored.includes(id));
    if (!isExamined && !hasMaker(garment) && !garment.wearer) return [UNTOUCHED];
    const sentences = [];
    if (found.years) {
      const years = spansInWords(found.years);
      sentences.push(
        hasMaker(garment) ? `Most likely ${years}.` : `If its maker is among those recorded, most likely ${years}.`,
      );
    }
    if (!hasMaker(garment)) sentences.push("Its maker is not known, so no variant is named.");
    else if (isExamined && found.variants.length > 0) sentences.push(likeness(rules, found.variants));
    return sentences;
  }

  // The object examined, in the words of the vocabulary.
  function seen(rules, garment, found) {
    const features = garment.features || {};
    const said = Object.keys(features)
      .sort(dating.order)
      .flatMap((id) => {
        const feature = rules.vocabulary.features.find((one) => one.id === id);
        return feature && !found.ignored.includes(id) ? [`${feature.name}: ${reading(feature, features[id])}`] : [];
      });
    return said.length > 0 ? [`Seen: ${said.join("; ")}.`] : [];
  }

  function reading(feature, value) {
    const isState = ["absent", "lost"].includes(value) || (feature.kind === "state" && feature.states.includes(value));
    if (isState) return dating.own(feature.labels, value) || String(value).replace(/-/g, " ");
    const number = feature.kind === "measure" ? dating.asNumber(value) : null;
    return number === null ? String(value) : spoken.measure(number, feature.unit);
  }

  // How many dates are written out, and how many characters of a code.
  const MOST_DATES = 24;
  const LONGEST_CODE = 80;

  function dateInWords(date) {
    const { begin, end, areMonths } = shape(date);
    if (date[0] === date[1]) return spoken.day(begin);
    if (!areMonths) return `the week from ${spoken.day(begin)} to ${spoken.day(end)}`;
    if (begin[1] === 1 && end[1] === 12) return String(begin[0]);
    return begin[1] === end[1] ? spoken.month(begin) : `${spoken.MONTHS[begin[1] - 1]} to ${spoken.month(end)}`;
  }

  function datesInWords(dates) {
    const words = dates.slice(0, MOST_DATES).map(dateInWords);
    if (dates.length > MOST_DATES) words.push(`one of ${dates.length - MOST_DATES} more`);
    return words.length > 1 ? `${words.slice(0, -1).join(", ")} or ${words[words.length - 1]}` : words[0];
  }

  function cut(code) {
    const characters = Array.from(code);
    return characters.length > LONGEST_CODE ? characters.slice(0, LONGEST_CODE).join("") + "…" : code;
  }

  // The readings of the codes that count toward the years.
  function codesInWords(rules, keys) {
    const used = (keys || []).filter((read) => read.used);
    return used.map((read) => {
      const key = rules.keys.find((one) => one.id === read.key);
      const cited = key.sources.map((source) => `${source.citation} ${source.locator || ""}`.trimEnd()).join("; ");
      const factory = read.factory === null ? "" : `, factory ${read.factory}`;
      const dates = datesInWords(readBy(prepareKey(key), read.code).dates);
      return `The code “${cut(read.code)}” reads ${dates}${factory}, by the key “${key.title}” (${cited}).`;
    });
  }

  function paragraph(rules, garment, found) {
    const sentences = [
      `Dated with ${rules.title}, version ${rules.knowledge_base}.`,
      ...seen(rules, garment, found),
      ...boundsInWords(rules, found.hard),
      ...codesInWords(rules, found.keys),
      ...card(rules, garment, found),
    ];
    if (found.unlike.fires) sentences.push("It is unlike anything recorded.");
    sentences.push(CAUTION);
    return sentences.join(" ");
  }

  Object.assign(dating, {
    CAUTION,
    ORIGINAL,
    percent,
    ruledOut,
    yearsInWords,
    timesInWords,
    boundsInWords,
    datesInWords,
    named,
    cut,
    nameOf,
    reading,
    card,
    paragraph,
  });
})(globalThis);
