// Days of the proleptic Gregorian calendar, counted from 1970-01-01: the number of a day, its date, its text. No clock and
// no time zone.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});

  // The number of a day.
  function dayNumber(year, month, day) {
    const shifted = month > 2 ? year : year - 1;
    const era = Math.floor(shifted / 400);
    const yearOfEra = shifted - era * 400;
    const dayOfYear = Math.floor((153 * (month > 2 ? month - 3 : month + 9) + 2) / 5) + day - 1;
    const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
    return era * 146097 + dayOfEra - 719468;
  }

  // Year, month and day of a number.
  function ymd(number) {
    const shifted = number + 719468;
    const era = Math.floor(shifted / 146097);
    const dayOfEra = shifted - era * 146097;
    const yearOfEra = Math.floor(
      (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) / 365,
    );
    const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
    const shiftedMonth = Math.floor((5 * dayOfYear + 2) / 153);
    const month = shiftedMonth < 10 ? shiftedMonth + 3 : shiftedMonth - 9;
    const day = dayOfYear - Math.floor((153 * shiftedMonth + 2) / 5) + 1;
    return [yearOfEra + era * 400 + (month <= 2 ? 1 : 0), month, day];
  }

  function daysInMonth(year, month) {
    if ([4, 6, 9, 11].includes(month)) return 30;
    const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
    return month === 2 ? (isLeap ? 29 : 28) : 31;
  }

  // The text of a number, such as 1962-11-28.
  function dayText(number) {
    const [year, month, day] = ymd(number);
    return [padded(year, 4), padded(month, 2), padded(day, 2)].join("-");
  }

  function padded(number, width) {
    return String(number).padStart(width, "0");
  }

  // A day of the rules, by its text.
  function parseDay(text) {
    if (typeof text !== "string") return null;
    const [year, month, day] = text.split("-").map(Number);
    return { text, year, number: dayNumber(year, month, day) };
  }

  Object.assign(dating, { dayNumber, ymd, daysInMonth, dayText, padded, parseDay });
})(globalThis);
