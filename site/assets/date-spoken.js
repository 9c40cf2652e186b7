// A date string to the words that people use for it; the same as `date/spoken.rs` of the program.
(function () {
  "use strict";

  const { members, span, isUncertain, isApproximate } = window.bartackDateNotation;
  const { ymd, spoken } = window.bartackDating;
  const { MONTHS, month, day, closesMonth, begin, end } = spoken;

  const opensMonth = (/** @type {Ymd} */ date) => date[2] === 1;
  const opensYear = (/** @type {Ymd} */ date) => opensMonth(date) && date[1] === 1;
  const closesYear = (/** @type {Ymd} */ date) => closesMonth(date) && date[1] === 12;

  /** Says a span of days; null where it is open on both sides. @param {DaySpan} span */
  function days({ first, last }) {
    if (first === null) return last === null ? null : `${end(ymd(last))} or earlier`;
    return last === null ? `${begin(ymd(first))} or later` : between(ymd(first), ymd(last), first === last);
  }

  /** @param {Ymd} from @param {Ymd} to @param {boolean} isDay */
  function between(from, to, isDay) {
    if (isDay) return day(from);
    if (opensYear(from) && closesYear(to)) return years(from[0], to[0]);
    if (!opensMonth(from) || !closesMonth(to)) return `${day(from)} to ${day(to)}`;
    if (from[0] !== to[0]) return `${month(from)} to ${month(to)}`;
    return from[1] === to[1] ? month(from) : `${MONTHS[from[1] - 1]}–${month(to)}`;
  }

  /** @param {number} first @param {number} last */
  function years(first, last) {
    const isDecade = first % 10 === 0 && first % 100 !== 0 && last === first + 9;
    return isDecade ? `${first}s` : spoken.years(first, last);
  }

  /** Says when something happened that happened within a span: `in 1977`. @param {DaySpan} span */
  function within({ first, last }) {
    const [from, to] = [first === null ? null : ymd(first), last === null ? null : ymd(last)];
    if (from === null && to === null) return "at some time";
    if (to === null) return opensMonth(from) ? `in or after ${begin(from)}` : `on or after ${day(from)}`;
    if (from === null) return closesMonth(to) ? `in or before ${end(to)}` : `on or before ${day(to)}`;
    return first === last ? `on ${day(from)}` : fromTo(from, to);
  }

  /** @param {Ymd} from @param {Ymd} to */
  function fromTo(from, to) {
    if (opensYear(from) && closesYear(to)) return from[0] === to[0] ? `in ${from[0]}` : `from ${from[0]} to ${to[0]}`;
    if (!opensMonth(from) || !closesMonth(to)) return `from ${day(from)} to ${day(to)}`;
    if (from[0] !== to[0]) return `from ${month(from)} to ${month(to)}`;
    return from[1] === to[1] ? `in ${month(from)}` : `from ${MONTHS[from[1] - 1]} to ${month(to)}`;
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
