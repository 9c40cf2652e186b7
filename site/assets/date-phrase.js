// Words around dates (about, before, to, or) to the date strings that they may mean, the likeliest first.
//
// The same as `date/phrase.rs` of the program, function by function. Knows English only.
(function () {
  "use strict";

  const { parse, members } = window.bartackDateNotation;
  const { dayText, ymd } = window.bartackDating;
  const numerals = window.bartackDateNumerals;
  const { trimmed, withoutStart, withoutEnd, after, before, halves, whole, isDigits } = numerals;
  const { mark } = window.bartackDateNearest;

  const ABOUT = [
    ...["circa ", "ca. ", "ca.", "ca ", "c. ", "c.", "c ", "about ", "around ", "roughly "],
    ...["approximately ", "approx. ", "approx ", "some time around ", "near "],
  ];
  const PERHAPS = ["probably ", "possibly ", "perhaps ", "maybe ", "likely "];

  // Date strings that the text may mean, the likeliest first; a set in brackets or with its ends turned is a guess.
  /** @param {string} plain @param {Manner} manner @returns {string[]} */
  function readings(plain, manner) {
    const found = [
      manner.guesses ? set(plain, manner) : null,
      winter(plain, manner),
      limit(plain, manner),
      either(plain, manner),
      ...intervals(plain, manner),
      operand(plain, manner),
      manner.guesses ? turned(plain, manner) : null,
    ];
    return found.filter((one) => one !== null);
  }

  // Reads one date, decade or part of a decade, with words and marks of doubt.
  /** @param {string} text @param {Manner} manner */
  function operand(text, manner) {
    const written = text.replaceAll("x", "X");
    if (parse(written)?.kind === "one") return written;
    const { rest, doubt } = manner.guesses ? withoutDoubt(text) : withoutAbout(text);
    const date = numerals.read(rest, manner);
    if (date === null || (!manner.guesses && doubt !== "" && date.includes("/"))) return null;
    return date
      .split("/")
      .map((end) => end + doubt)
      .join("/");
  }

  // Reads a date within a phrase; if its ends or marks make the whole doubtful, it is a guess.
  /** @param {string} text @param {Manner} manner */
  function part(text, manner) {
    const date = operand(text, manner);
    return date !== null && (manner.guesses || !/[/~?%]/.test(date)) ? date : null;
  }

  // Takes off a word that says "about" and gives the mark that says the same.
  /** @param {string} given */
  function withoutAbout(given) {
    const text = trimmed(given);
    const word = ABOUT.find((one) => text.startsWith(one));
    return word ? { rest: trimmed(text.slice(word.length)), doubt: "~" } : { rest: text, doubt: "" };
  }

  // Takes off words and marks of doubt and gives the mark that says the same.
  /** @param {string} text */
  function withoutDoubt(text) {
    let rest = trimmed(text);
    let [isApproximate, isUncertain] = [false, false];
    for (let last = null; last !== rest;) {
      last = rest;
      const about = ABOUT.find((one) => rest.startsWith(one));
      if (about) [rest, isApproximate] = [trimmed(rest.slice(about.length)), true];
      const perhaps = PERHAPS.find((one) => rest.startsWith(one));
      if (perhaps) [rest, isUncertain] = [trimmed(rest.slice(perhaps.length)), true];
      const ending = ["ish", " or so"].find((one) => rest.endsWith(one));
      if (ending) [rest, isApproximate] = [trimmed(withoutEnd(before(rest, ending), "-")), true];
      for (const one of ["?", "~", "%"]) {
        const shorter = trimmed(withoutEnd(withoutStart(rest, one), one));
        if (one !== "?") isApproximate ||= shorter.length < rest.length;
        if (one !== "~") isUncertain ||= shorter.length < rest.length;
        rest = shorter;
      }
    }
    return { rest, doubt: mark(isApproximate, isUncertain) };
  }

  // Reads `[…]`, mending its members.
  /** @param {string} plain @param {Manner} manner */
  function set(plain, manner) {
    if (!/^[[{]/.test(plain) || !/[\]}]$/.test(plain.slice(1))) return null;
    const all = plain
      .slice(1, -1)
      .split(",")
      .map((member) => ofSet(member, manner));
    return all.includes(null) ? null : `[${all.join(",")}]`;
  }

  /** @param {string} member @param {Manner} manner */
  function ofSet(member, manner) {
    const pair = halves(member, "..");
    if (!pair) return operand(member, manner);
    const [begin, end] = pair.map((one) => operand(one, manner));
    if (pair[1] === "") return begin === null ? null : `${begin}..`;
    if (pair[0] === "") return end === null ? null : `..${end}`;
    if (begin === null || end === null) return null;
    return parse(`${begin}/${end}`) ? `${begin}..${end}` : `${end}..${begin}`;
  }

  // Reads "1977 or 1978".
  /** @param {string} plain @param {Manner} manner */
  function either(plain, manner) {
    const pair = halves(after(plain, "either ") ?? plain, " or ");
    const one = pair && part(pair[0], manner);
    const two = one === null ? null : second(one, pair[1], manner);
    return two === null ? null : `[${one},${two}]`;
  }

  // Reads "winter 1971/72", which is one winter and no run of years.
  /** @param {string} plain @param {Manner} manner */
  function winter(plain, manner) {
    const years = after(plain, "winter ");
    for (const [begin, end] of years === null ? [] : sides(withoutStart(years, "of "))) {
      const first = part(begin, manner);
      const last = first === null ? null : second(first, end, manner);
      if (last !== null && isDigits(first) && isDigits(last) && Number(last) === Number(first) + 1)
        return `${first}-24`;
    }
    return null;
  }

  const PREFIXES = {
    ...{ "before ": "before", "prior to ": "before", "earlier than ": "before" },
    ...{ "by ": "up to", "until ": "up to", "till ": "up to", "up to ": "up to", "not after ": "up to" },
    ...{ "no later than ": "up to", "since ": "from", "from ": "from", "not before ": "from" },
    ...{ "no earlier than ": "from", "after ": "after", "later than ": "after" },
  };
  // Short forms that also stand for other things.
  const SHORT_PREFIXES = {
    ...{ "pre-": "before", "pre ": "before", "<": "before", "to ": "up to" },
    ...{ "post-": "after", "post ": "after", ">": "after" },
  };
  const SUFFIXES = {
    ...{ " or earlier": "up to", " or before": "up to", " and earlier": "up to", " and before": "up to" },
    ...{ " or later": "from", " or after": "from", " and later": "from", " and after": "from" },
    ...{ " onwards": "from", " onward": "from" },
  };

  /** The date that a word limits, and how. @param {string} plain @param {Manner} manner */
  function limited(plain, manner) {
    const prefixes = { ...PREFIXES, ...(manner.guesses ? SHORT_PREFIXES : {}) };
    for (const [word, how] of Object.entries(prefixes))
      if (plain.startsWith(word)) return { text: plain.slice(word.length), how };
    for (const [word, how] of Object.entries(SUFFIXES))
      if (plain.endsWith(word)) return { text: before(plain, word), how };
    return manner.guesses && plain.endsWith("+") ? { text: before(plain, "+"), how: "from" } : null;
  }

  // Reads "before 1975", "1975 or later" and the like.
  /** @param {string} plain @param {Manner} manner */
  function limit(plain, manner) {
    const found = limited(plain, manner);
    const date = found && part(found.text, manner);
    if (date === null) return null;
    const [first, last] = halves(date, "/") ?? [date, date];
    if (found.how === "up to") return `../${last}`;
    if (found.how === "from") return `${first}/..`;
    const next = found.how === "before" ? neighbour(first, "first", -1) : neighbour(last, "last", 1);
    if (next === null) return null;
    return found.how === "before" ? `../${next}` : `${next}/..`;
  }

  // The day, month or year next to a date, written as finely and marked as it is.
  /** @param {string} date @param {"first" | "last"} edge @param {number} step */
  function neighbour(date, edge, step) {
    const read = parse(date);
    const from = read?.kind === "one" ? members(read)[0][edge] : null;
    if (from === null) return null;
    const [year] = ymd(from + step);
    const bare = date.replace(/[?~%]+$/, "");
    if (year < 1 || year > 9999) return null;
    return dayText(from + step).slice(0, Math.min(bare.length, 10)) + date.slice(bare.length);
  }

  const SEPARATORS = [" to ", " until ", " till ", " through ", " thru ", " - ", "/", "..", "-"];

  // Reads "1977-78", "from 1977 to 1981", "between May and July 1977" (with a year on both sides) and the like.
  /** @param {string} plain @param {Manner} manner @returns {string[]} */
  function intervals(plain, manner) {
    if (isMonthAndShortYear(plain, manner)) return [];
    const found = [];
    for (const [begin, end] of sides(plain)) {
      const openEnd = (/** @type {string} */ text) => (manner.guesses ? open(text) : null);
      const first = part(begin, manner) ?? (begin === "" ? null : openEnd(begin));
      const last = first === null ? null : (second(first, end, manner) ?? openEnd(end));
      if (last !== null) found.push(`${first.split("/")[0]}/${last.split("/").pop()}`);
    }
    return found.filter((pair) => !isCode(plain, pair));
  }

  // Reads an interval written with its end first.
  /** @param {string} plain @param {Manner} manner */
  function turned(plain, manner) {
    for (const pair of sides(plain)) {
      const [begin, end] = pair.map((one) => operand(one, manner));
      if (begin !== null && end !== null) return `${end}/${begin}`;
    }
    return null;
  }

  /** @param {string} plain @returns {string[][]} */
  function sides(plain) {
    const between = after(plain, "between ");
    if (between !== null) return [halves(between, " and ")].filter(Boolean);
    const rest = after(plain, "from ") ?? plain;
    const found = [];
    for (const separator of SEPARATORS) {
      const { length } = separator;
      for (let at = rest.indexOf(separator); at >= 0; at = rest.indexOf(separator, at + length))
        found.push([rest.slice(0, at), rest.slice(at + length)]);
    }
    return found;
  }

  /** @param {string} side */
  function open(side) {
    return ["", "open", "present", "now", "today", ".."].includes(trimmed(side)) ? ".." : null;
  }

  // Reads the second date of two, which may leave out the century that the first has.
  /** @param {string} first @param {string} text @param {Manner} manner */
  function second(first, text, manner) {
    const bare = withoutStart(trimmed(text), "'");
    const digits = bare.replace(/[?~%]+$/, "");
    const year = first.replace(/[?~%]+$/, "");
    const isShort = manner.guesses && digits.length === 2 && isDigits(digits);
    return isShort && year.length === 4 ? year.slice(0, 2) + bare : part(text, manner);
  }

  // Says whether `1934-40` rather is a code of the notation for a part of a year than a run of years. A run of more than
  // 15 years from a code is unlikely; which of the two was meant is a guess.
  /** @param {string} plain @param {string} pair */
  function isCode(plain, pair) {
    const isWrittenSo = /^[ -~]{4}-[ -~]{2}$/.test(plain);
    const numbers = halves(pair, "/").map((one) => (/^[-+]?[0-9]+$/.test(one) ? Number(one) : null));
    if (!isWrittenSo || numbers.includes(null)) return false;
    const [one, two] = numbers;
    return two % 100 >= 25 && two % 100 <= 41 && two - one > 15;
  }

  // Says whether `12/77` rather is a month and a year than two years.
  /** @param {string} plain @param {Manner} manner */
  function isMonthAndShortYear(plain, manner) {
    const month = whole(withoutStart(plain.split(/[/-]/)[0], "'"), 255);
    return manner.century !== "written" && month !== null && month <= 12;
  }

  window.bartackDatePhrase = { readings };
})();
