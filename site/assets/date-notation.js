// A date string (EDTF; ISO 8601-2) to the days it can be: one date, an interval or a set; null where it is none.
//
// The same as `date/pattern.rs`, `written.rs`, `grammar.rs` and `edtf.rs` of the program, and held to them by
// `tests/recording/words.rs`. It does not say what is wrong with a string.
(function () {
  "use strict";

  // More bytes than this are not read: the longest useful set is far shorter.
  const LONGEST = 100;
  // The numbers of 0001-01-01 and 9999-12-31, between which things are dated here.
  const EARLIEST = -719162;
  const LATEST = 2932896;
  const MARKS = "?~%";
  const { dayNumber, ymd, daysInMonth, padded } = window.bartackDating;

  // ---- Days, counted from 1970-01-01.

  /** The number of a day; null where there is no such day. @param {number} year @param {number} month @param {number} day */
  function fromYmd(year, month, day) {
    if (month < 1 || month > 12 || day < 1 || day > daysInMonth(year, month)) return null;
    return dayNumber(year, month, day);
  }

  /** Moves by whole months, keeping the day or taking the last of that month. @param {number} number @param {number} months */
  function plusMonths(number, months) {
    const [year, month, day] = ymd(number);
    const count = year * 12 + month - 1 + months;
    const to = { year: Math.floor(count / 12), month: (((count % 12) + 12) % 12) + 1 };
    return fromYmd(to.year, to.month, Math.min(day, daysInMonth(to.year, to.month)));
  }

  // ---- Digits, some of them perhaps unspecified (`X`), and the numbers that fit them.

  /** @param {string} text @param {number} count */
  function isPattern(text, count) {
    return text.length === count && /^[0-9X]*$/.test(text);
  }

  /** @param {string} pattern @param {number} number */
  function fits(pattern, number) {
    const digits = padded(number, pattern.length);
    return digits.length === pattern.length && [...pattern].every((one, at) => one === "X" || one === digits[at]);
  }

  /** The number, where every digit is specified. @param {string} pattern */
  function numberOf(pattern) {
    return pattern.includes("X") ? null : Number(pattern);
  }

  /** The place of the last specified digit; null where all are unspecified. @param {string} pattern */
  function finestDigit(pattern) {
    const place = pattern.search(/[0-9]X*$/);
    return place < 0 ? null : place;
  }

  /** The numbers that fit, the least first. @param {string} pattern @param {number} least @param {number} greatest */
  function fitting(pattern, least, greatest) {
    const found = [];
    for (let number = least; number <= greatest; number += 1) if (fits(pattern, number)) found.push(number);
    return found;
  }

  // ---- One date as written: { year, season, month, day }, each but the year null where it is not written.

  /** What `found` gives for the first number for which it gives anything. @param {number[]} all @param {(one: number) => any} found */
  function first(all, found) {
    for (const one of all) {
      const day = found(one);
      if (day !== null) return day;
    }
    return null;
  }

  /** The first or the last existing day of a year that fits. @param {DateParts} parts @param {number} year @param {boolean} isLast */
  function edgeOf({ season, month, day }, year, isLast) {
    const turned = (/** @type {number[]} */ all) => (isLast ? all.reverse() : all);
    if (season) {
      const begin = fromYmd(year, 3 * season, 1);
      return isLast ? plusMonths(begin, 3) - 1 : begin;
    }
    if (!month) return isLast ? fromYmd(year, 12, 31) : fromYmd(year, 1, 1);
    return first(turned(fitting(month, 1, 12)), (one) => {
      if (!day) return fromYmd(year, one, isLast ? daysInMonth(year, one) : 1);
      return first(turned(fitting(day, 1, 31)), (date) => fromYmd(year, one, date));
    });
  }

  /** The first to the last existing day that fits; null where none does. @param {DateParts} parts @returns {DaySpan | null} */
  function daysOf(parts) {
    // A day that is in no leap year is in no year; asking first spares a walk through all years.
    if (edgeOf(parts, 2000, false) === null) return null;
    const [least, greatest] = ["0", "9"].map((digit) => Number(parts.year.replaceAll("X", digit)));
    const years = fitting(parts.year, Math.max(least, 1), greatest);
    const begin = first(years, (year) => edgeOf(parts, year, false));
    const end = first(years.reverse(), (year) => edgeOf(parts, year, true));
    if (begin === null || end === null) return null;
    if (finestDigit(parts.year) === null) return { first: null, last: null };
    return { first: begin, last: Math.min(end, LATEST) };
  }

  /** How fine each part is. @param {DateParts} parts */
  function units({ year, season, month, day }) {
    const digit = finestDigit(year);
    const ofYear = digit === null ? null : digit === 3 ? "year" : digit === 2 ? "decade" : "century";
    if (season) return [ofYear, "season", null];
    const has = (/** @type {string | null} */ part) => Boolean(part) && finestDigit(part) !== null;
    return [ofYear, has(month) ? "month" : null, has(day) ? "day" : null];
  }

  // The unit to move by: for each run of neighbouring approximate parts, the finest that is
  // specified.
  /** @param {WrittenDate} written */
  function approximations({ parts, approximate }) {
    const found = [];
    let finest = null;
    units(parts).forEach((unit, place) => {
      if (approximate[place]) finest = unit || finest;
      else {
        if (finest) found.push(finest);
        finest = null;
      }
    });
    if (finest) found.push(finest);
    return found;
  }

  /** Moves a day by what "about" means at this fineness. @param {string} unit @param {number} day @param {number} circa */
  function moved(unit, day, circa, sign) {
    if (unit === "day") return day + sign * 15;
    const years = { century: 25, decade: 5, year: Math.min(circa, 9999) };
    return plusMonths(day, sign * (unit in years ? 12 * years[unit] : 3));
  }

  /** The days it may be, both ends moved out by each approximation. @param {WrittenDate} written @param {number} circa */
  function widened(written, circa) {
    const by = written.isOpen ? [] : approximations(written);
    const edge = (/** @type {number | null} */ day, /** @type {number} */ sign) => {
      if (day === null) return null;
      const far = by.reduce((reached, unit) => moved(unit, reached, circa, sign), day);
      return Math.min(Math.max(far, EARLIEST), LATEST);
    };
    return { first: edge(written.days.first, -1), last: edge(written.days.last, 1) };
  }

  // ---- The notation.

  /** @param {string} text */
  function isTooLong(text) {
    return new TextEncoder().encode(text).length > LONGEST;
  }

  /** Reads a date string. @param {string} text @returns {DateNotation | null} */
  function parse(text) {
    if (text === "" || isTooLong(text)) return null;
    if (text.startsWith("{") && text.endsWith("}")) return null;
    if (text.length > 2 && text.startsWith("[") && text.endsWith("]")) return set(text.slice(1, -1));
    const at = text.indexOf("/");
    if (at >= 0) return interval(text.slice(0, at), text.slice(at + 1));
    const one = date(text);
    return one && { kind: "one", ends: [{ begin: one, end: one }] };
  }

  /** @param {string} begin @param {string} end @returns {DateNotation | null} */
  function interval(begin, end) {
    const pair = { begin: side(begin, ["", ".."]), end: side(end, ["", ".."]) };
    return isInOrder(pair) ? { kind: "interval", ends: [pair] } : null;
  }

  /** @param {string} inside @returns {DateNotation | null} */
  function set(inside) {
    const ends = inside.split(",").map(member);
    return ends.every(isInOrder) ? { kind: "set", ends } : null;
  }

  /** @param {string} text @returns {DateEnds} */
  function member(text) {
    const at = text.indexOf("..");
    if (at < 0) {
      const one = side(text, []);
      return { begin: one, end: one };
    }
    const [begin, end] = [text.slice(0, at), text.slice(at + 2)];
    const open = begin === "" && end === "" ? [] : [""];
    return { begin: side(begin, open), end: side(end, open) };
  }

  // Refuses what is no date, and what could not hold even if each side were as early or late as it may be.
  /** @param {DateEnds} pair */
  function isInOrder({ begin, end }) {
    if (begin === null || end === null) return false;
    const [from, to] = [begin.days.first, end.days.last];
    return from === null || to === null || from <= to;
  }

  /** One side: a date, what is open, or null. @param {string} text @param {string[]} open @returns {WrittenDate | null} */
  function side(text, open) {
    if (!open.includes(text)) return date(text);
    return { isOpen: true, parts: null, days: { first: null, last: null }, approximate: [], isUncertain: false };
  }

  /** @param {string} text @returns {WrittenDate | null} */
  function date(text) {
    const marks = { approximate: [false, false, false], isUncertain: false };
    const bare = text.split("-").map((part, place) => withoutMarks(part, place, marks));
    const [year, within, day] = bare;
    if (bare.length > 3 || bare.includes(null) || !isPattern(year, 4) || numberOf(year) === 0) return null;
    if (bare.length > 1 && !isPattern(within, 2)) return null;
    if (bare.length > 2 && !isPattern(day, 2)) return null;
    const parts = { year, season: null, month: null, day: null };
    const code = bare.length > 1 ? numberOf(within) : null;
    if (code >= 21 && code <= 24) parts.season = code - 20;
    else if (bare.length > 1) parts.month = within;
    if (bare.length > 2) parts.day = day;
    if (parts.season && parts.day) return null;
    const days = daysOf(parts);
    return days && { isOpen: false, parts, days, ...marks };
  }

  // Takes the mark off a part: one before it is about this part alone, one after it also about all before. Null for two.
  /** @param {string} part @param {number} place @param {{ approximate: boolean[], isUncertain: boolean }} marks */
  function withoutMarks(part, place, marks) {
    const bare = part.replace(/^[?~%]+/, "").replace(/[?~%]+$/, "");
    if (bare.length === part.length) return part;
    if (part.length - bare.length > 1) return null;
    const isBefore = MARKS.includes(part[0]);
    const mark = isBefore ? part[0] : part[part.length - 1];
    if (mark !== "~") marks.isUncertain = true;
    if (mark !== "?") for (let at = isBefore ? place : 0; at <= place; at += 1) marks.approximate[at] = true;
    return bare;
  }

  // ---- The days of a date string.

  /** @param {DateEnds} pair @param {(date: WrittenDate) => DaySpan} days @returns {DaySpan} */
  function between({ begin, end }, days) {
    return { first: days(begin).first, last: days(end).last };
  }

  // Joins the dates: a `~` moves only the end of the whole on which its own date stands.
  /** @param {DateNotation} read @param {(date: WrittenDate) => DaySpan} days @returns {DaySpan} */
  function hull({ ends }, days) {
    const spans = ends.map((pair) => between(pair, days));
    const [firsts, lasts] = [spans.map((span) => span.first), spans.map((span) => span.last)];
    return {
      first: firsts.includes(null) ? null : Math.min(...firsts),
      last: lasts.includes(null) ? null : Math.max(...lasts),
    };
  }

  /** The days it may be; `circa` is by how many years `~` widens a year. @param {DateNotation} read @param {number} circa */
  function span(read, circa) {
    return hull(read, (date) => widened(date, circa));
  }

  /** The days of each member, as if no `~` were there. @param {DateNotation} read */
  function members({ ends }) {
    return ends.map((pair) => between(pair, (date) => date.days));
  }

  /** @param {DateNotation} read */
  function isUncertain({ ends }) {
    return ends.some(({ begin, end }) => begin.isUncertain || end.isUncertain);
  }

  /** @param {DateNotation} read */
  function isApproximate({ ends }) {
    return ends.some(({ begin, end }) => begin.approximate.includes(true) || end.approximate.includes(true));
  }

  window.bartackDateNotation = {
    parse,
    isTooLong,
    span,
    members,
    isUncertain,
    isApproximate,
  };
})();
