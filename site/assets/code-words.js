// The readings of a code by a key, in words: every date, the meaning of each figure, and why a code
// cannot be read.
//
// The readings come from dating-codes.js; this file only puts them into words.
(function () {
  "use strict";

  const dating = window.bartackDating;
  const { cut } = dating;
  // So many forms of a key and parts of a form are written out.
  const MOST_FORMS = 4;
  const MOST_PARTS = 12;
  /** @type {Record<string, (value: number) => string>} */
  const NUMBERS = {
    year: (value) => `the year ${value}`,
    "year-of-century": (value) => `a year that ends in ${dating.padded(value, 2)}`,
    "year-of-decade": (value) => `a year that ends in ${value}`,
    month: (value) => `the month ${dating.spoken.MONTHS[value - 1]}`,
    quarter: (value) => `quarter ${value} of the year`,
    week: (value) => `week ${value} of the year (ISO 8601: Monday to Sunday)`,
    day: (value) => `day ${value} of the month`,
  };

  /** @param {{ text: string, is: string | null, value: string | number | null }} figure */
  function figureInWords({ text, is, value }) {
    const quoted = `“${text}”`;
    if (is === null) return `${quoted} must be there`;
    if (is === "factory") return `${quoted} is the factory ${value}`;
    const number = Object.prototype.hasOwnProperty.call(NUMBERS, is) ? NUMBERS[is] : null;
    return number && typeof value === "number"
      ? `${quoted} is ${number(value)}`
      : `${quoted} is a number that gives no date`;
  }

  /** @param {KeyPart} part */
  function partInWords(part) {
    if (typeof part.text === "string") return `“${part.text}”`;
    const count = part.digits || part.letters || 0;
    const sort = (part.digits ? "figure" : "letter") + (count === 1 ? "" : "s");
    const meanings = { "year-of-century": "year of the century", "year-of-decade": "year of the decade" };
    const meaning = Object.entries(meanings).find(([is]) => is === part.is);
    return `${count} ${sort} for the ${meaning ? meaning[1] : part.is === "serial" ? "serial number" : part.is}`;
  }

  /**
   * Says what codes a key takes.
   * @param {CodeKey} key
   */
  function takes(key) {
    const forms = key.forms.slice(0, MOST_FORMS).map((form) => {
      const parts = form.slice(0, MOST_PARTS).map(partInWords).join(", ");
      return form.length > MOST_PARTS ? parts + " …" : parts;
    });
    const more = key.forms.length - MOST_FORMS;
    return `${forms.join(", or ")}${more > 0 ? `, or one of ${more} more forms` : ""}`;
  }

  /** @param {CodeKey} key */
  function yearsOf(key) {
    return `${dating.spoken.begin(key.not_before)} to ${dating.spoken.end(key.not_after)}`;
  }

  /**
   * Says why a key reads nothing from a code.
   * @param {CodeKey} key
   * @param {string} code
   */
  function whyNot(key, code) {
    const wide = dating.prepareKey({ ...key, not_before: "1850-01-01", not_after: "2030-12-31" });
    if (wide === null) return "This page is older than the key and does not know one of its parts.";
    const reading = dating.readBy(wide, code);
    if (reading !== null) {
      const dates = dating.datesInWords(reading.dates);
      return `“${cut(code)}” would mean ${dates}, which is outside the years of this key, ${yearsOf(key)}.`;
    }
    const strange = Array.from(code).find((one) => !/^[0-9A-Za-z \t./\u00a0\u2000-\u2015\u2212-]$/.test(one));
    const hint = strange
      ? ` “${strange}” is neither a figure 0 to 9 nor a letter A to Z; it may only look like one.`
      : "";
    return `No form of this key takes “${cut(code)}”.${hint} A code is ${takes(key)}.`;
  }

  /**
   * What a key reads from a code: the dates and the reason for each, or why it reads nothing.
   * @param {CodeKey} key
   * @param {string} code
   * @returns {SaidOfCode}
   */
  function said(key, code) {
    const prepared = dating.prepareKey(key);
    const reading = prepared === null ? null : dating.readBy(prepared, code);
    if (reading === null) return { dates: "", factory: null, years: [], reasons: [], problem: whyNot(key, code) };
    const reasons = reading.forms.slice(0, MOST_FORMS).map((/** @type {any} */ form) => {
      const figures = form.figures.slice(0, MOST_PARTS).map(figureInWords).join("; ");
      return `${figures}: ${dating.datesInWords(form.dates)}.`;
    });
    const { years, factory } = reading;
    return { dates: dating.datesInWords(reading.dates), factory, years, reasons, problem: "" };
  }

  window.bartackCodeWords = { said, takes };
})();
