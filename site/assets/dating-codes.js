// Turns the codes on a garment into every date they can mean, by the keys of the rules.
//
// Each part of a form takes a fixed number of characters, so a code is read in one pass. A key with a part of a kind that
// is not known here is skipped whole.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { worded, own, order, parseDay, dayNumber, ymd, daysInMonth, dayText } = dating;
  const SEPARATORS = [" ", ".", "-", "/"];
  // The possible meanings of a part, with the least and the greatest number.
  const MEANINGS = new Map([
    ["year", [1, 9999]],
    ["year-of-century", [0, 99]],
    ["year-of-decade", [0, 9]],
    ["month", [1, 12]],
    ["quarter", [1, 4]],
    ["week", [1, 53]],
    ["day", [1, 31]],
    ["factory", null],
    ["serial", null],
  ]);
  const FIRST = 1850;
  const LAST = 2030;

  // Keys.

  function isKnownPart(part) {
    if (typeof part.text === "string") return true;
    return MEANINGS.has(part.is) && (Number.isInteger(part.digits) || Number.isInteger(part.letters));
  }

  function prepareKey(key) {
    if (!key.forms.every((form) => form.every(isKnownPart))) return null;
    return {
      ...key,
      forms: key.forms.map(prepareForm),
      first: parseDay(key.not_before),
      last: parseDay(key.not_after),
    };
  }

  function prepareForm(parts) {
    const prepared = parts.map((part) =>
      typeof part.text === "string" ? { ...part, characters: folded(part.text) } : part,
    );
    const texts = prepared.flatMap((part) => part.characters || []);
    return { parts: prepared, kept: SEPARATORS.filter((separator) => texts.includes(separator)) };
  }

  // Every kind of space and dash as one, and a to z as capitals.
  function folded(text) {
    const plain = text
      .replace(/[\t\u00a0\u2002-\u200a\u202f\u3000]/g, " ")
      .replace(/[\u2010-\u2015\u2212]/g, "-")
      .replace(/[a-z]/g, (letter) => letter.toUpperCase());
    return Array.from(plain);
  }

  // Codes.

  // A code that several forms and keys are held against: what is left of it without separators is worked out once for
  // each set of them.
  function foldedOnce(code) {
    return { characters: folded(String(code)), keeping: new Map() };
  }

  function keeping(code, kept) {
    const name = kept.join("");
    if (!code.keeping.has(name)) {
      const characters = code.characters.filter((one) => !SEPARATORS.includes(one) || kept.includes(one));
      code.keeping.set(name, characters);
    }
    return code.keeping.get(name);
  }

  // The parts of a code as a form takes them, if they use up the whole code.
  function figuresOf(form, foldedCode) {
    const code = keeping(foldedCode, form.kept);
    const figures = [];
    let at = 0;
    for (const part of form.parts) {
      const width = part.characters ? part.characters.length : part.digits || part.letters;
      const taken = code.slice(at, at + width);
      const figure = taken.length === width ? figureOf(part, taken) : null;
      if (figure === null) return null;
      figures.push(figure);
      at += width;
    }
    return at === code.length ? figures : null;
  }

  function figureOf(part, taken) {
    const text = taken.join("");
    if (part.characters) return part.characters.join("") === text ? { text, is: null, value: null } : null;
    if (!(part.digits ? /^[0-9]+$/ : /^[A-Z]+$/).test(text)) return null;
    const value = valueOf(part, text);
    return value === undefined ? null : { text, is: part.is, value };
  }

  // The meaning of a part's text; undefined if the part does not accept it.
  function valueOf(part, text) {
    const row = part.table ? own(part.table, text) : undefined;
    if (part.table && row === undefined) return undefined;
    if (part.is === "serial") return null;
    if (part.is === "factory") return part.table ? row : text.toLowerCase();
    const number = part.table ? row : Number(text);
    const [least, greatest] = MEANINGS.get(part.is);
    return number >= least && number <= greatest ? number : undefined;
  }

  // Dates: first and last day, as numbers.

  // Week 1 is the week of 4 January. 1 January 1970, day 0, was a Thursday.
  function firstMonday(year) {
    const fourth = dayNumber(year, 1, 4);
    return fourth - ((((fourth + 3) % 7) + 7) % 7);
  }

  // The finest date that the numbers give in a year, if the year has it.
  function dateIn(numbers, year) {
    const [month, day, quarter] = ["month", "day", "quarter"].map((is) => numbers.get(is));
    if (numbers.has("week")) {
      const first = firstMonday(year) + 7 * (numbers.get("week") - 1);
      return first < firstMonday(year + 1) ? [first, first + 6] : null;
    }
    if (month === undefined) {
      const [first, last] = quarter === undefined ? [1, 12] : [3 * quarter - 2, 3 * quarter];
      return [dayNumber(year, first, 1), dayNumber(year, last, daysInMonth(year, last))];
    }
    if (quarter !== undefined && quarter !== Math.ceil(month / 3)) return null;
    if (day === undefined) return [dayNumber(year, month, 1), dayNumber(year, month, daysInMonth(year, month))];
    return day <= daysInMonth(year, month) ? [dayNumber(year, month, day), dayNumber(year, month, day)] : null;
  }

  function yearsOf(numbers) {
    const years = [];
    const [first, last] = numbers.has("year") ? [numbers.get("year"), numbers.get("year")] : [FIRST, LAST];
    for (let year = first; year <= last; year += 1) {
      const ends = (is, modulus) => !numbers.has(is) || year % modulus === numbers.get(is);
      if (ends("year-of-century", 100) && ends("year-of-decade", 10)) years.push(year);
    }
    return years;
  }

  // Every date within the key's years that the figures can mean.
  function datesOf(figures, key) {
    const numbers = new Map(
      figures.filter(({ value }) => typeof value === "number").map(({ is, value }) => [is, value]),
    );
    return yearsOf(numbers)
      .map((year) => dateIn(numbers, year))
      .filter((date) => date !== null && date[0] <= key.last.number && date[1] >= key.first.number);
  }

  // The properties of a date: its first and last day apart, and whether both ends are ends of
  // months.
  function shape([first, last]) {
    const [begin, end] = [ymd(first), ymd(last)];
    return { begin, end, areMonths: begin[2] === 1 && end[2] === daysInMonth(end[0], end[1]) };
  }

  function written(date, between) {
    const { begin, end, areMonths } = shape(date);
    const month = (number) => dayText(number).slice(0, 7);
    if (date[0] === date[1]) return dayText(date[0]);
    if (!areMonths) return dayText(date[0]) + between + dayText(date[1]);
    if (begin[1] === 1 && end[1] === 12) return dayText(date[0]).slice(0, 4);
    return begin[1] === end[1] ? month(date[0]) : month(date[0]) + between + month(date[1]);
  }

  function edtf(dates) {
    return dates.length === 1 ? written(dates[0], "/") : `[${dates.map((date) => written(date, "..")).join(",")}]`;
  }

  // The reading of a code by a prepared key, or null.
  function readBy(key, code) {
    return readFolded(key, foldedOnce(code));
  }

  function readFolded(key, foldedCode) {
    const forms = [];
    for (const form of key.forms) {
      const figures = figuresOf(form, foldedCode);
      const dates = figures ? datesOf(figures, key) : [];
      if (dates.length > 0) forms.push({ figures, dates });
    }
    if (forms.length === 0) return null;
    const byDays = new Map(forms.flatMap((form) => form.dates.map((date) => [date.join(" "), date])));
    const dates = [...byDays.values()].sort((one, other) => one[0] - other[0] || one[1] - other[1]);
    const named = forms.flatMap(({ figures }) => figures.filter(({ is }) => is === "factory").slice(0, 1));
    const factories = [...new Set(named.map(({ value }) => value))].sort(order);
    const years = new Set();
    for (const [first, last] of dates) for (let year = ymd(first)[0]; year <= ymd(last)[0]; year += 1) years.add(year);
    return {
      forms,
      dates,
      factories,
      reads: edtf(dates),
      years: [...years].sort((one, other) => one - other),
      factory: factories.length === 1 ? factories[0] : null,
    };
  }

  // The days of sorted dates as runs that neither touch nor overlap.
  function joined(dates) {
    const runs = [];
    for (const [first, last] of dates) {
      const run = runs[runs.length - 1];
      if (run && first <= run[1] + 1) run[1] = Math.max(run[1], last);
      else runs.push([first, last]);
    }
    return JSON.stringify(runs);
  }

  function agree(one, other) {
    const factories = [one, other].map((reading) => JSON.stringify(reading.factories));
    const areAlike = factories.includes("[]") || factories[0] === factories[1];
    return joined(one.dates) === joined(other.dates) && areAlike;
  }

  // The readings of the garment's codes by the keys, and the factor for each year; null if none is
  // used.
  function codesOf(prepared, garment, readings) {
    const named = garment.maker || garment.model || garment.line || garment.variant;
    const maker = named ? String(named).split("/")[0] : null;
    const found = { keys: [], factors: null };
    for (const feature of [...readings.keys()].sort(order)) {
      const code = readings.get(feature);
      if (prepared.features.get(feature).kind !== "code" || code === "absent" || code === "lost") continue;
      const speaking = prepared.keys.filter(
        (key) => key.feature === feature && (maker === null || key.makers.length === 0 || key.makers.includes(maker)),
      );
      const foldedCode = foldedOnce(code);
      const read = speaking
        .map((key) => ({ key, reading: readFolded(key, foldedCode) }))
        .filter(({ reading }) => reading !== null);
      // A reading that agrees with the first, and with the first that names a factory, agrees with all the others.
      const named = read.find(({ reading }) => reading.factories.length > 0);
      const leading = read.slice(0, 1).concat(named || []);
      const used = maker !== null && read.every((one) => leading.every((two) => agree(one.reading, two.reading)));
      for (const { key, reading } of read) {
        const { reads, years, factory } = reading;
        found.keys.push({ feature, code: String(code), key: key.id, reads, years, factory, used });
      }
      if (used && read.length > 0) found.factors = factors(prepared, read, found.factors);
    }
    return found;
  }

  // Keys that read the same are not several reasons: the best source counts.
  function factors(prepared, read, sofar) {
    const odds = Math.max(...read.map(({ key }) => key.odds));
    const { years } = read[0].reading;
    return prepared.years.map((year, at) => (sofar ? sofar[at] : 1) / (years.includes(year) ? 1 : odds));
  }

  // The reading of a code by a key of the rules, given its id: every date, the factory and each
  // figure; null if there is none.
  function readKey(rules, id, code) {
    const keys = rules.rules ? rules.keys : (rules.keys || []).map(prepareKey).filter(Boolean);
    const key = keys.find((one) => one.id === id);
    const reading = key ? readBy(key, code) : null;
    if (reading === null) return null;
    const { reads, years, factory, forms } = reading;
    const days = (dates) => dates.map(([first, last]) => [dayText(first), dayText(last)]);
    const read = forms.map((form) => ({ figures: form.figures, dates: days(form.dates) }));
    return { reads, dates: days(reading.dates), years, factory, forms: read };
  }

  Object.assign(dating, { prepareKey, readBy, codesOf, shape, readKey: worded(readKey) });
})(globalThis);
