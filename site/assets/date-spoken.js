// A date string to the words that people use for it; the same as `date/spoken.rs` of the program.
(function () {
  "use strict";

  const { ymd, daysInMonth, padded, members, span, isUncertain, isApproximate } = window.bartackDateNotation;
  const MONTHS = [
    ...["January", "February", "March", "April", "May", "June", "July"],
    ...["August", "September", "October", "November", "December"],
  ];

  const name = (/** @type {number} */ month) => MONTHS[month - 1];
  const beginsMonth = (/** @type {number} */ number) => ymd(number).day === 1;
  const beginsYear = (/** @type {number} */ number) => beginsMonth(number) && ymd(number).month === 1;

  /** @param {number} number */
  function endsMonth(number) {
    const { year, month, day } = ymd(number);
    return day === daysInMonth(year, month);
  }

  /** @param {number} number */
  function endsYear(number) {
    return endsMonth(number) && ymd(number).month === 12;
  }

  /** @param {number} number */
  function day(number) {
    return `${ymd(number).day} ${month(number)}`;
  }

  /** @param {number} number */
  function month(number) {
    return `${name(ymd(number).month)} ${ymd(number).year}`;
  }

  /** @param {number} number @param {boolean} isYear @param {boolean} isMonth */
  function edge(number, isYear, isMonth) {
    if (isYear) return String(ymd(number).year);
    return isMonth ? month(number) : day(number);
  }

  const begin = (/** @type {number} */ number) => edge(number, beginsYear(number), beginsMonth(number));
  const end = (/** @type {number} */ number) => edge(number, endsYear(number), endsMonth(number));

  /** Says a span of days; null where it is open on both sides. @param {DaySpan} span */
  function days({ first, last }) {
    if (first === null) return last === null ? null : `${end(last)} or earlier`;
    return last === null ? `${begin(first)} or later` : between(first, last);
  }

  /** @param {number} first @param {number} last */
  function between(first, last) {
    const [from, to] = [ymd(first), ymd(last)];
    if (first === last) return day(first);
    if (beginsYear(first) && endsYear(last)) return years(from.year, to.year);
    if (!beginsMonth(first) || !endsMonth(last)) return `${day(first)} to ${day(last)}`;
    if (from.year !== to.year) return `${month(first)} to ${month(last)}`;
    return from.month === to.month ? month(first) : `${name(from.month)}–${month(last)}`;
  }

  /** @param {number} first @param {number} last */
  function years(first, last) {
    if (first === last) return String(first);
    if (first % 10 === 0 && first % 100 !== 0 && last === first + 9) return `${first}s`;
    const isSameCentury = Math.floor(first / 100) === Math.floor(last / 100);
    return `${first}–${isSameCentury ? padded(last % 100, 2) : last}`;
  }

  /** Says when something happened that happened within a span: `in 1977`. @param {DaySpan} span */
  function within({ first, last }) {
    if (first === null && last === null) return "at some time";
    if (last === null) return beginsMonth(first) ? `in or after ${begin(first)}` : `on or after ${day(first)}`;
    if (first === null) return endsMonth(last) ? `in or before ${end(last)}` : `on or before ${day(last)}`;
    return first === last ? `on ${day(first)}` : fromTo(first, last);
  }

  /** @param {number} first @param {number} last */
  function fromTo(first, last) {
    const [from, to] = [ymd(first), ymd(last)];
    if (beginsYear(first) && endsYear(last))
      return from.year === to.year ? `in ${from.year}` : `from ${from.year} to ${to.year}`;
    if (!beginsMonth(first) || !endsMonth(last)) return `from ${day(first)} to ${day(last)}`;
    if (from.year !== to.year) return `from ${month(first)} to ${month(last)}`;
    return from.month === to.month ? `in ${month(first)}` : `from ${name(from.month)} to ${month(last)}`;
  }

  /**
   * Says what an entry with this date would claim: `some time from 1976 to 1979`.
   * @param {DateNotation} read
   * @param {number} circa
   */
  function claim(read, circa) {
    const found = span(read, circa);
    const parts = members(read).map(days);
    if (found.first === null && found.last === null) return "at a time that nobody knows";
    const isChoice = read.kind === "set" && !isApproximate(read) && !parts.includes(null);
    const isDay = found.first === found.last;
    const listed = [parts.slice(0, -1).join(", "), parts[parts.length - 1]].filter(Boolean).join(" or ");
    const when = isChoice ? listed : `${isDay ? "" : "some time "}${within(found)}`;
    const about = isApproximate(read) ? " (“about” included)" : "";
    return `${isUncertain(read) ? "perhaps " : ""}${when}${about}`;
  }

  window.bartackDateSpoken = { days, within, claim };
})();
