// A date as a person can say it, to the date string of an entry (EDTF; ISO 8601-2) and the days it can be: by a form, or
// in words.
//
// Every form and every reading of words gives a string that `check` takes. What cannot be read stays in the person's own
// words, and what can mean several things waits for the person's choice.
(function () {
  "use strict";

  const notation = window.bartackDateNotation;
  const { daysInMonth, dayText, padded } = window.bartackDating;
  const { meaning, candidates } = window.bartackDateWords;
  const { trimmed } = window.bartackDateNumerals;
  const YEAR = /^[0-9]{4}$/;

  function isYear(text) {
    return YEAR.test(text) && text !== "0000";
  }

  function isMonth(text) {
    const [year, month, more] = text.split("-");
    return more === undefined && isYear(year) && /^(0[1-9]|1[0-2])$/.test(month || "");
  }

  function isDay(text) {
    const [year, month, day] = text.split("-");
    return (
      isMonth(`${year}-${month}`) &&
      /^[0-9]{2}$/.test(day || "") &&
      Number(day) >= 1 &&
      Number(day) <= daysInMonth(Number(year), Number(month)) &&
      text.length === 10
    );
  }

  const isDecade = (text) => isYear(text) && text.endsWith("0");
  const first = (year) => `${year}-01-01`;
  const last = (year) => `${year}-12-31`;
  const ended = (month) => `${month}-${padded(daysInMonth(Number(month.slice(0, 4)), Number(month.slice(5))), 2)}`;

  // Each form: the number of fields, an example of one, the allowed text of a field, its date
  // string, its first and last day, and its words if the fields contain something else.
  /** @type {Record<string, DateForm>} */
  const FORMS = {
    year: {
      says: "in the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => a,
      span: (a) => [first(a), last(a)],
      words: (a) => a,
      widens: true,
    },
    between: {
      says: "between two years",
      fields: 2,
      example: "1978",
      holds: isYear,
      edtf: (a, b) => `${a}/${b}`,
      span: (a, b) => [first(a), last(b)],
      words: (a, b) => `${a || "?"} to ${b || "?"}`,
    },
    decade: {
      says: "in the ten years from",
      fields: 1,
      example: "1970",
      holds: isDecade,
      edtf: (a) => `${a.slice(0, 3)}X`,
      span: (a) => [first(a), last(`${a.slice(0, 3)}9`)],
      words: (a) => (isYear(a) && Number(a) <= 9990 ? `${a} to ${Number(a) + 9}` : a),
      widens: true,
    },
    month: {
      says: "in the month",
      fields: 1,
      example: "1978-03",
      holds: isMonth,
      edtf: (a) => a,
      span: (a) => [`${a}-01`, ended(a)],
      words: (a) => a,
    },
    day: {
      says: "on the day",
      fields: 1,
      example: "1978-03-14",
      holds: isDay,
      edtf: (a) => a,
      span: (a) => [a, a],
      words: (a) => a,
    },
    until: {
      says: "not later than the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => `../${a}`,
      span: (a) => [null, last(a)],
      words: (a) => `by ${a}`,
    },
    from: {
      says: "not earlier than the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => `${a}/..`,
      span: (a) => [first(a), null],
      words: (a) => `since ${a}`,
    },
  };

  function fields(made) {
    return [made.first, made.last].slice(0, FORMS[made.form].fields).map((text) => (text || "").trim());
  }

  // The mistake in a date; empty if there is none, or no date was given.
  function problem(made) {
    const form = FORMS[made.form];
    if (!form) return "";
    const values = fields(made);
    if (!values.every(form.holds)) return `Write it like ${form.example}.`;
    return values.length === 2 && values[0] > values[1] ? "The first year comes after the second." : "";
  }

  function isGiven(made) {
    return Boolean(FORMS[made.form]) && problem(made) === "";
  }

  function edtf(made) {
    const form = FORMS[made.form];
    const [one, other] = fields(made);
    return form.edtf(one, other) + (made.about && form.widens ? "~" : "");
  }

  /**
   * The first and last day it can be, null where it is open; `circa` is by how many years "about" widens a year.
   * @param {Made} made
   * @param {number} circa
   * @returns {Days}
   */
  function span(made, circa) {
    const form = FORMS[made.form];
    const [one, other] = fields(made);
    const [from, to] = form.span(one, other);
    if (!made.about || !form.widens) return [from, to];
    const by = made.form === "decade" ? 5 : circa;
    const moved = (day, years) =>
      padded(Math.min(9999, Math.max(1, Number(day.slice(0, 4)) + years)), 4) + day.slice(4);
    return [moved(from, -by), moved(to, by)];
  }

  /**
   * What words about a date come to: `edtf` where they are certain or somebody picked it, else empty; and what there is
   * to pick from.
   * @param {string} words
   * @param {{ date?: string, of?: string }} picked
   * @returns {DateHeard}
   */
  function heard(words, picked) {
    const { kind, dates } = words === "" ? { kind: "unreadable", dates: [] } : meaning(words);
    if (kind === "certain") return { words, edtf: dates[0], options: [] };
    const options = words === "" ? [] : candidates(words);
    const isPicked = picked.of === words && options.includes(picked.date);
    return { words, edtf: isPicked ? picked.date : "", options };
  }

  // The text in the fields of a form that does not fit it, in words; empty if all fits or nothing
  // is typed.
  function unfit(made) {
    if (!FORMS[made.form] || problem(made) === "") return "";
    const [one, other] = fields(made);
    if (!one && !other) return "";
    return (made.about && FORMS[made.form].widens ? "about " : "") + FORMS[made.form].words(one, other);
  }

  /**
   * When a garment was made, of all that was answered: by the form if it is filled in, else by the words. `asWritten` is
   * what the entry keeps of the words.
   * @param {Answers} answers
   * @param {number} [circa] the years by which `~` widens `days`
   * @returns {DatedAnswer}
   */
  function dated({ made, madeWords, madePicked, madePickedOf }, circa = 0) {
    const [own, typed] = [trimmed(madeWords || ""), unfit(made)];
    const found = heard(own || typed, { date: madePicked, of: madePickedOf });
    const isByForm = isGiven(made);
    const date = isByForm ? edtf(made) : found.edtf;
    const asWritten = [own, typed].filter((words) => words && words !== date).join("; ");
    return { found, isByForm, edtf: date, asWritten, days: date ? spanOf(date, circa) : null };
  }

  /** @param {string} date @param {number} circa @returns {Days} */
  function spanOf(date, circa) {
    const { first, last } = notation.span(notation.parse(date), circa);
    const day = (/** @type {number | null} */ number) => (number === null ? null : dayText(number));
    return [day(first), day(last)];
  }

  /**
   * The day somebody looked: `edtf` is empty where what was typed is no one day, or may be several.
   * @param {Answers} answers
   * @returns {DateHeard}
   */
  function observed({ observed: typed, observedPicked, observedPickedOf }) {
    const { words, edtf: date, options } = heard(trimmed(typed || ""), { date: observedPicked, of: observedPickedOf });
    return { words, edtf: isDay(date) ? date : "", options: options.filter(isDay) };
  }

  // Each form with the pattern of its date strings; the groups are the text of its fields.
  /** @type {[string, RegExp][]} */
  const LOOKS = [
    ["year", /^([0-9]{4})(~?)$/],
    ["decade", /^([0-9]{3})X(~?)$/],
    ["month", /^([0-9]{4}-[0-9]{2})$/],
    ["day", /^([0-9]{4}-[0-9]{2}-[0-9]{2})$/],
    ["until", /^\.\.\/([0-9]{4})$/],
    ["from", /^([0-9]{4})\/\.\.$/],
    ["between", /^([0-9]{4})\/([0-9]{4})$/],
  ];

  /**
   * A date string as the form that gives it; empty where none does.
   * @param {string} text
   * @returns {Made}
   */
  function read(text) {
    for (const [form, look] of LOOKS) {
      const [, first, second] = look.exec(text) || [];
      if (first === undefined) continue;
      const made = { form, first: form === "decade" ? `${first}0` : first, about: second === "~" };
      const whole = form === "between" ? { ...made, last: second } : made;
      return isGiven(whole) && edtf(whole) === text ? whole : {};
    }
    return {};
  }

  // The day that it is where the page is open.
  function today() {
    const now = new Date();
    const parts = [now.getFullYear(), now.getMonth() + 1, now.getDate()];
    return parts.map((part) => padded(part, 2)).join("-");
  }

  window.bartackRecordingDates = { FORMS, today, isGiven, problem, edtf, read, span, dated, observed };
})();
