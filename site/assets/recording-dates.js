// A date as a person can say it, to the date string of an entry (EDTF; ISO 8601-2) and the days it can be.
//
// Every form gives a string that `check` takes; whatever cannot be said in a form stays in the person's own words.
(function () {
  "use strict";

  const YEAR = /^[0-9]{4}$/;

  function isYear(text) {
    return YEAR.test(text) && text !== "0000";
  }

  function daysOf(year, month) {
    return new Date(Date.UTC(2000 + (year % 400), month, 0)).getUTCDate();
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
      Number(day) <= daysOf(Number(year), Number(month)) &&
      text.length === 10
    );
  }

  const isDecade = (text) => isYear(text) && text.endsWith("0");
  const first = (year) => `${year}-01-01`;
  const last = (year) => `${year}-12-31`;
  const ended = (month) =>
    `${month}-${String(daysOf(Number(month.slice(0, 4)), Number(month.slice(5)))).padStart(2, "0")}`;

  // Each form: how many fields, an example of one, what a field may hold, its date string, and its first and last day.
  /** @type {Record<string, DateForm>} */
  const FORMS = {
    year: {
      says: "in the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => a,
      span: (a) => [first(a), last(a)],
      widens: true,
    },
    between: {
      says: "between two years",
      fields: 2,
      example: "1978",
      holds: isYear,
      edtf: (a, b) => `${a}/${b}`,
      span: (a, b) => [first(a), last(b)],
    },
    decade: {
      says: "in the ten years from",
      fields: 1,
      example: "1970",
      holds: isDecade,
      edtf: (a) => `${a.slice(0, 3)}X`,
      span: (a) => [first(a), last(`${a.slice(0, 3)}9`)],
      widens: true,
    },
    month: {
      says: "in the month",
      fields: 1,
      example: "1978-03",
      holds: isMonth,
      edtf: (a) => a,
      span: (a) => [`${a}-01`, ended(a)],
    },
    day: { says: "on the day", fields: 1, example: "1978-03-14", holds: isDay, edtf: (a) => a, span: (a) => [a, a] },
    until: {
      says: "not later than the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => `../${a}`,
      span: (a) => [null, last(a)],
    },
    from: {
      says: "not earlier than the year",
      fields: 1,
      example: "1978",
      holds: isYear,
      edtf: (a) => `${a}/..`,
      span: (a) => [first(a), null],
    },
  };

  function fields(made) {
    return [made.first, made.last].slice(0, FORMS[made.form].fields).map((text) => (text || "").trim());
  }

  // What is wrong with a date that somebody gave; empty where nothing is, or no date was given.
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
      String(Math.min(9999, Math.max(1, Number(day.slice(0, 4)) + years))).padStart(4, "0") + day.slice(4);
    return [moved(from, -by), moved(to, by)];
  }

  // The day that it is where the page is open.
  function today() {
    const now = new Date();
    const parts = [now.getFullYear(), now.getMonth() + 1, now.getDate()];
    return parts.map((part) => String(part).padStart(2, "0")).join("-");
  }

  window.bartackRecordingDates = { FORMS, today, isDay, isGiven, problem, edtf, span };
})();
