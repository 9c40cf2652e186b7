// One date in numbers and names (`3/1976`, Fall 1976, late 1970s) to a date string; null where it is none.
//
// The same as `date/numeral.rs` of the program, function by function. Knows English only; where guesses are allowed, moves
// a day that does not exist to the nearest before it.
(function () {
  "use strict";

  const { parse } = window.bartackDateNotation;
  const { padded, spoken } = window.bartackDating;
  const MONTHS = spoken.MONTHS.map((name) => name.toLowerCase());
  const DECADES = ["twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"];
  // Unicode's White_Space, which is what the program takes for space; `\s` differs by two characters.
  const SPACE = "\\t-\\r \\u0085\\u00a0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
  const AROUND = new RegExp(`^[${SPACE}]+|[${SPACE}]+$`, "g");

  /** @param {string} text */
  function trimmed(text) {
    return text.replace(AROUND, "");
  }

  /** @param {string} text @param {string} prefix */
  function withoutStart(text, prefix) {
    let rest = text;
    while (rest.startsWith(prefix)) rest = rest.slice(prefix.length);
    return rest;
  }

  /** @param {string} text @param {string} suffix */
  function withoutEnd(text, suffix) {
    let rest = text;
    while (rest.endsWith(suffix)) rest = rest.slice(0, rest.length - suffix.length);
    return rest;
  }

  /** What follows a prefix; null where the text does not begin so. @param {string} text @param {string} prefix */
  function after(text, prefix) {
    return text.startsWith(prefix) ? text.slice(prefix.length) : null;
  }

  /** What comes before a suffix; null where the text does not end so. @param {string} text @param {string} suffix */
  function before(text, suffix) {
    return text.endsWith(suffix) ? text.slice(0, text.length - suffix.length) : null;
  }

  /** The parts on both sides of the first separator; null where there is none. @param {string} text @param {string} separator */
  function halves(text, separator) {
    const at = text.indexOf(separator);
    return at < 0 ? null : [text.slice(0, at), text.slice(at + separator.length)];
  }

  /** A whole number up to a greatest one, as the program reads it: a plus may stand before it. @param {string} text */
  function whole(text, most = 65535) {
    const number = /^\+?[0-9]+$/.test(text) ? Number(text) : null;
    return number !== null && number <= most ? number : null;
  }

  const isDigits = (/** @type {string} */ text) => /^[0-9]*$/.test(text);

  /** Reads one date; a part of a decade gives an interval of years. @param {string} given @param {Manner} manner */
  function read(given, manner) {
    const text = withoutStart(withoutStart(trimmed(given), "the "), "year ");
    const found = partOfDecade(text, manner);
    if (found !== null) return found;
    const ten = decade(text, manner);
    if (ten !== null) return `${ten}X`;
    const guessed = manner.guesses ? (wholeCentury(text) ?? letterYear(text)) : null;
    return guessed ?? tokens(text, manner);
  }

  /** @param {string} text @param {Manner} manner */
  function partOfDecade(text, manner) {
    const parts = [
      ["early", "0", "3"],
      ["mid", "3", "7"],
      ["middle", "3", "7"],
      ["late", "6", "9"],
    ];
    for (const [word, first, last] of parts) {
      const rest = after(text, word);
      if (rest === null || !/^[ -]/.test(rest)) continue;
      const ten = decade(withoutStart(withoutStart(rest.slice(1), "of "), "the "), manner);
      // "early 1900s" may speak of the century.
      if (ten !== null && !ten.includes("X")) return `${ten}${first}/${ten}${last}`;
    }
    return null;
  }

  // Reads "1970s", "70s", "seventies" to the first three digits; "1900s" may be the decade or the century.
  /** @param {string} text @param {Manner} manner */
  function decade(text, manner) {
    const place = DECADES.indexOf(text);
    if (place >= 0) return fullYear(20 + 10 * place, manner)?.slice(0, 3) ?? null;
    const bare = before(withoutStart(text, "'"), "s");
    const digits = bare === null ? null : before(withoutEnd(bare, "'"), "0");
    const number = digits === null ? null : whole(digits);
    if (number === null) return null;
    if (digits.length === 1) return fullYear(number * 10, manner)?.slice(0, 3) ?? null;
    if (digits.length !== 3) return null;
    if (number % 10 !== 0) return digits;
    return manner.guesses ? `${digits.slice(0, 2)}X` : null;
  }

  /** @param {string} text */
  function wholeCentury(text) {
    const pair = halves(text, " ");
    const number = pair && whole(withoutOrdinal(pair[0]));
    if (number === null || number < 1 || number > 99 || !["century", "c", "cent"].includes(pair[1])) return null;
    return `${padded(number - 1, 2)}XX`;
  }

  // Reads the notation's own `Y1985` and `1950S2` where a year of four digits says the same.
  /** @param {string} text */
  function letterYear(text) {
    if (text.startsWith("y")) return wholeYear(text.slice(1));
    const pair = halves(text, "s");
    const count = pair && whole(pair[1], Infinity);
    const year = pair && wholeYear(pair[0]);
    if (count === null || year === null || count < 1 || count > 4) return null;
    return year.slice(0, count) + "XXXX".slice(count);
  }

  /** @param {string} given @param {Manner} manner */
  function tokens(given, manner) {
    const bare = given.replace(/^[-+/]+/, "").replace(/[-+/]+$/, "");
    if (!manner.guesses && bare.length < given.length) return null;
    const text = given.replace(/^[-+]+/, "");
    const all = text.split(/[ .,/:-]/).filter((token) => !["", "of", "in", "the", "year"].includes(token));
    const year = (/** @type {string} */ token) => yearToken(token, manner);
    const [one, two, three] = all;
    if (all.length === 1) return year(one) ?? (manner.guesses ? runTogether(one, manner) : null);
    if (all.length === 2) {
      const [last, first] = [year(two), year(one)];
      const behind = last === null ? null : withinYear(last, one, manner);
      return behind ?? (first === null ? null : withinYear(first, two, manner));
    }
    if (all.length === 3) {
      const [first, last, day] = [year(one), year(three), small(one)];
      const ahead = first === null ? null : forward(first, two, three, manner);
      const back = last === null ? null : backward(last, one, two, withPoints(manner, text));
      // A number that may be a day is one if a year follows: `12 March 77`.
      return day !== null && day <= 31 ? (back ?? ahead) : (ahead ?? back);
    }
    if (all.length < 4 || !manner.guesses || !(three.includes("t") || text.includes(":"))) return null;
    return dayOrNull(year(one), small(two), small(withoutTime(three)), manner);
  }

  /** @param {string | null} year @param {number | null} month @param {number | null} day @param {Manner} manner */
  function dayOrNull(year, month, day, manner) {
    return year === null || month === null || day === null ? null : nearestDay(year, month, day, manner);
  }

  // Guesses that points between numbers put the day first.
  /** @param {Manner} manner @param {string} text @returns {Manner} */
  function withPoints(manner, text) {
    const isGuess = manner.guesses && manner.order === "unknown" && text.includes(".");
    return isGuess ? { ...manner, order: "day-first" } : manner;
  }

  // Reads month and day behind a year.
  /** @param {string} year @param {string} two @param {string} three @param {Manner} manner */
  function forward(year, two, three, manner) {
    const part = manner.guesses ? season(year, two) : null;
    if (part !== null) return part;
    const number = manner.guesses ? small(two) : null;
    return dayOrNull(year, month(two) ?? number, small(withoutTime(three)), manner);
  }

  // Reads day and month in front of a year; where they may be either, both, if guesses are allowed.
  /** @param {string} year @param {string} first @param {string} second @param {Manner} manner */
  function backward(year, first, second, manner) {
    for (const [name, number] of [
      [first, second],
      [second, first],
    ]) {
      const [named, day] = [month(name), small(number)];
      if (named !== null && day !== null) return nearestDay(year, named, day, manner);
    }
    const [one, two] = [small(first), small(second)];
    if (one === null || two === null) return null;
    const dayFirst = () => nearestDay(year, two, one, manner);
    const monthFirst = () => nearestDay(year, one, two, manner);
    if (manner.order === "day-first") return dayFirst();
    if (manner.order === "month-first") return monthFirst();
    if (one <= 12 && two <= 12 && one !== two) {
      const both = manner.guesses ? [monthFirst(), dayFirst()] : [null];
      return both.includes(null) ? null : `[${both.join(",")}]`;
    }
    return two <= 12 ? dayFirst() : monthFirst();
  }

  // Reads a season, a month or the notation's codes for other parts of a year.
  /** @param {string} year @param {string} token @param {Manner} manner */
  function withinYear(year, token, manner) {
    // A number alone may also be a year that leaves out its century.
    const isName = /^[a-z]*$/i.test(token) && small(token) === null;
    if (!isName && !manner.guesses) return null;
    const part = season(year, token);
    if (part !== null) return part;
    const code = month(token) ?? small(token);
    if (code === null) return null;
    if (code === 0) return `${year}-XX`;
    if (code >= 25 && code <= 41) return grouping(year, code);
    // Past the twelfth there is no such month, and nothing says which was read.
    return code <= 12 ? `${year}-${padded(code, 2)}` : year;
  }

  /** @param {string} year @param {string} token */
  function season(year, token) {
    const seasons = [["spring"], ["summer"], ["fall", "autumn"], ["winter"]];
    const place = seasons.findIndex((names, at) => names.includes(token) || token === String(21 + at));
    return place < 0 ? null : `${year}-${21 + place}`;
  }

  // Writes a code from 25 to 41 with seasons and months: seasons by hemisphere, quarters, thirds and halves.
  /** @param {string} year @param {number} code */
  function grouping(year, code) {
    if (code <= 28) return `${year}-${code - 4}`;
    // A southern spring is in the northern autumn.
    if (code <= 32) return `${year}-${21 + ((code - 29 + 2) % 4)}`;
    const [first, count] =
      code <= 36 ? [3 * (code - 33) + 1, 3] : code <= 39 ? [4 * (code - 37) + 1, 4] : [6 * (code - 40) + 1, 6];
    return `${year}-${padded(first, 2)}/${year}-${padded(first + count - 1, 2)}`;
  }

  // The day if it exists; if guesses are allowed, what is left of it without the part that cannot be, and 0 is
  // unspecified. Another day or month is never made up.
  /** @param {string} year @param {number} givenMonth @param {number} givenDay @param {Manner} manner */
  function nearestDay(year, givenMonth, givenDay, manner) {
    if (!manner.guesses) {
      const written = `${year}-${padded(givenMonth, 2)}-${padded(givenDay, 2)}`;
      return parse(written) ? written : null;
    }
    const isTurned = givenMonth > 12 && givenDay >= 1 && givenDay <= 12;
    const [month, day] = isTurned ? [givenDay, givenMonth] : [givenMonth, givenDay];
    if (month > 12) return year;
    const part = (/** @type {number} */ number) => (number === 0 ? "XX" : padded(number, 2));
    const all = `${year}-${part(month)}-${part(day)}`;
    return parse(all) ? all : `${year}-${part(month)}`;
  }

  /** @param {string} token @param {Manner} manner */
  function runTogether(token, manner) {
    const digits = withoutTime(token);
    if (!isDigits(digits)) return null;
    const year = digits.slice(0, 4);
    if (digits.length === 8) return dayOrNull(year, small(digits.slice(4, 6)), small(digits.slice(6)), manner);
    return digits.length === 6 ? withinYear(year, digits.slice(4), manner) : null;
  }

  /** @param {string} token */
  function withoutTime(token) {
    const pair = halves(token, "t");
    return pair && /^[0-9]/.test(pair[1]) ? pair[0] : token;
  }

  /** @param {string} token */
  function wholeYear(token) {
    return yearToken(token, { century: "written", order: "unknown", guesses: true });
  }

  /** @param {string} token @param {Manner} manner */
  function yearToken(token, manner) {
    const written = typeof manner.century === "number" ? withoutStart(token, "'") : token;
    if (!manner.guesses && !isDigits(written)) return null;
    const digits = withoutStart(token, "'").replace(/[xu]/g, "X");
    if (digits === "0000") return manner.guesses ? "XXXX" : null;
    if (digits.length === 4 && /^[0-9X]*$/.test(digits)) return digits;
    const two = digits.length === 2 ? whole(digits) : null;
    return two === null ? null : fullYear(two, manner);
  }

  // Adds a century to two digits. What is dated here is from 1830 to 2029.
  /** @param {number} twoDigits @param {Manner} manner */
  function fullYear(twoDigits, { century }) {
    const earlier = twoDigits < 30 ? 1900 : 1800;
    if (century === "written") return null;
    if (century === "earlier") return String(earlier + twoDigits);
    return String(century === "later" ? earlier + 100 + twoDigits : century + twoDigits);
  }

  // Reads a month's name or its first three or more letters.
  /** @param {string} token */
  function month(token) {
    const place = token.length < 3 ? -1 : MONTHS.findIndex((name) => name.startsWith(token));
    return place < 0 ? null : place + 1;
  }

  // Reads a number of one or two digits; if one of them is unspecified, the number counts as 0.
  /** @param {string} token */
  function small(token) {
    const bare = withoutOrdinal(token);
    if (/^[0-9]{1,2}$/.test(bare)) return Number(bare);
    return /^[0-9xu]{2}$/.test(bare) ? 0 : null;
  }

  /** @param {string} token */
  function withoutOrdinal(token) {
    const suffix = ["th", "st", "nd", "rd"].find((one) => token.endsWith(one));
    return suffix ? token.slice(0, -2) : token;
  }

  window.bartackDateNumerals = {
    read,
    trimmed,
    withoutStart,
    withoutEnd,
    after,
    before,
    halves,
    whole,
    isDigits,
    SPACE,
  };
})();
