// Reads what was typed into the field of search as terms: words, years, decades, counts; and where one name ends and
// another begins. Looks nothing up, and needs no page.
(function (root) {
  "use strict";

  const MOST = 8;
  const ALWAYS = [1, 9999];
  const DECADES = ["twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"];
  /** The years of a decade that "early", "mid" and "late" stand for, as where dates in words are read. */
  const PARTS = { early: [0, 3], mid: [3, 7], middle: [3, 7], late: [6, 9] };
  const NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split(" ");
  const UNTIL = new Set(["to", "until", "through", "-", "–", "—"]);
  const BETWEEN = new Set(["and", "or", "vs", "versus", "against", "compared", "beside", "/", "&", "+"]);
  const SMALL = new Set("a about an around at by circa dated during for from in made of on the to with".split(" "));

  /** The years that a word leaves open on one side: those before, up to, from, or after what follows it. */
  const SIDES = {
    before: (/** @type {number[]} */ [first]) => [ALWAYS[0], first - 1],
    until: (/** @type {number[]} */ [, last]) => [ALWAYS[0], last],
    since: (/** @type {number[]} */ [first]) => [first, ALWAYS[1]],
    after: (/** @type {number[]} */ [, last]) => [last + 1, ALWAYS[1]],
  };

  function fold(text) {
    return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase().replace(/['’]/g, "");
  }

  /** The years that a word names, `[first, last]`, or null. */
  function spanOf(word) {
    if (/^[12][0-9]{3}$/.test(word)) return [Number(word), Number(word)];
    const named = DECADES.indexOf(word),
      written = /^(1[0-9]|20|)([0-9])0s$/.exec(word);
    if (named < 0 && !written) return null;
    const first = named >= 0 ? 1920 + 10 * named : Number(`${written[1] || "19"}${written[2]}0`);
    return [first, first + 9];
  }

  function own(table, word) {
    return Object.hasOwn(table, word) ? table[word] : null;
  }

  // Years at a place: a year, a decade, or a part of one ("late 70s", "mid-60s").
  function yearsAt(tokens, at) {
    const part = own(PARTS, tokens[at]);
    if (part === null) {
      const span = spanOf(tokens[at] || "");
      return span && { span, words: [tokens[at]], next: at + 1 };
    }
    const of = tokens[at + 1] === "-" ? at + 2 : at + 1,
      span = spanOf(tokens[of] || "");
    if (!span || span[0] === span[1]) return null;
    return { span: [span[0] + part[0], span[0] + part[1]], words: [tokens[at], tokens[of]], next: of + 1 };
  }

  // Years from one to another: "1960-65" is not read, since 65 alone is no year.
  function rangeAt(tokens, at) {
    const opens = ["between", "from"].includes(tokens[at]);
    const first = yearsAt(tokens, opens ? at + 1 : at);
    if (!first) return null;
    const joins = UNTIL.has(tokens[first.next]) || (tokens[at] === "between" && tokens[first.next] === "and");
    const last = joins ? yearsAt(tokens, first.next + 1) : null;
    if (last && first.span[0] <= last.span[1]) {
      return { span: [first.span[0], last.span[1]], words: [...first.words, ...last.words], next: last.next };
    }
    return opens ? null : first;
  }

  function sideAt(tokens, at) {
    const side = own(SIDES, tokens[at]),
      of = side && yearsAt(tokens, at + 1);
    return of && { span: side(of.span), words: [tokens[at], ...of.words], next: of.next };
  }

  /** What else a word may mean: the figure of a number, or one thing of many. */
  function othersOf(word) {
    const number = NUMBERS.indexOf(word);
    if (number > 0) return [String(number)];
    return /^[a-z]{2,}[^s\W\d]s$/.test(word) ? [word.slice(0, -1)] : [];
  }

  /**
   * What was typed as terms, at most eight. A term is met by what has all its `words`, one of its `others`, or years
   * that overlap its `span`. Nothing has to meet a small one; one that `divides` may stand between two names.
   */
  function terms(text) {
    const tokens = fold(text).match(/[\p{Alphabetic}\p{N}]+|[-–—/&+]/gu) || [],
      found = [],
      known = new Set();
    for (let at = 0; at < tokens.length && found.length < MOST;) {
      const years = sideAt(tokens, at) || rangeAt(tokens, at),
        word = tokens[at],
        next = years ? years.next : at + 1;
      const divides = !years && BETWEEN.has(word),
        isSign = !/[\p{Alphabetic}\p{N}]/u.test(word),
        words = years ? years.words : isSign ? [] : [word];
      const text = tokens.slice(at, next).join(" ");
      at = next;
      if ((isSign && !divides) || (known.has(text) && !divides)) continue;
      if (divides) known.clear();
      known.add(text);
      const isSmall = divides || (!years && SMALL.has(word));
      found.push({
        text,
        words,
        others: years ? [] : othersOf(word),
        span: years ? years.span : null,
        isSmall,
        divides,
      });
    }
    return found;
  }

  root.bartackTerms = { fold, terms };
})(globalThis);
