// A date in words to what it means: one date for certain, or the candidates among which a person has to choose.
//
// The same as `date/words.rs` of the program, function by function; `tests/recording/words.rs` holds both to
// `src/date/words.txt` and to each other. Knows English only.
(function () {
  "use strict";

  const { parse, isTooLong } = window.bartackDateNotation;
  const { trimmed, before, SPACE } = window.bartackDateNumerals;
  const { notation } = window.bartackDateNearest;
  const { readings } = window.bartackDatePhrase;

  /**
   * Says what words mean; a year of two digits is in the century that begins with `century`, or asked about.
   * @param {string} text
   * @param {Manner["century"]} [century]
   * @param {Manner["order"]} [order]
   * @returns {Meaning}
   */
  function meaning(text, century = "written", order = "unknown") {
    const whole = trimmed(text);
    if (parse(whole)) return { kind: "certain", dates: [whole] };
    if (isTooLong(whole)) return { kind: "unreadable", dates: [] };
    const words = plain(text);
    const certain = (/** @type {Manner["order"]} */ one) => {
      const sure = (/** @type {string} */ given) => reading(given, { century, order: one, guesses: false });
      return sure(words) ?? withDoubt(words, century, sure);
    };
    const date = certain(order);
    if (date !== null) return { kind: "certain", dates: [date] };
    const orders = [certain("day-first"), certain("month-first")];
    if (!orders.includes(null)) return { kind: "day-or-month", dates: orders };
    const guess = (/** @type {Manner["century"]} */ one) => reading(words, { century: one, order, guesses: true });
    const likeliest = guess(century);
    if (likeliest !== null) return { kind: "likeliest", dates: [likeliest] };
    const centuries = [guess("earlier"), guess("later")];
    if (!centuries.includes(null)) return { kind: "which-century", dates: centuries };
    return { kind: "unreadable", dates: [] };
  }

  // Reads `77?` where the century is known: one date with a mark behind it, which the notation has too.
  /** @param {string} words @param {Manner["century"]} century @param {(words: string) => string | null} read */
  function withDoubt(words, century, read) {
    const bare = century === "written" ? null : before(words, "?");
    const date = bare === null ? null : read(bare.replace(new RegExp(`[${SPACE}]+$`), ""));
    return date !== null && !/[/[.]/.test(date) && parse(`${date}?`) ? `${date}?` : null;
  }

  /** @param {string} words @param {Manner} manner */
  function reading(words, manner) {
    const spelling = manner.guesses ? notation(words) : null;
    if (spelling !== null && parse(spelling)) return spelling;
    return readings(words, manner).find((candidate) => parse(candidate)) ?? null;
  }

  // Brings different dashes, apostrophes, spaces and capitals to one.
  /** @param {string} text */
  function plain(text) {
    const spaced = text
      .replace(/[\u2010-\u2015\u2212]/g, "-")
      .replace(/[\u2018\u2019`´]/g, "'")
      .replace(/[()"]/g, "")
      .replace(new RegExp(`[${SPACE}]+`, "g"), " ");
    // Letter by letter: a whole text would have its last sigma another way.
    const small = Array.from(spaced, (letter) => letter.toLowerCase()).join("");
    return small.replace(/^ /, "").replace(/[ .,;]+$/, "");
  }

  /**
   * The dates among which somebody has to choose: where the century and the order are open, all of both.
   * @param {string} text
   * @returns {string[]}
   */
  function candidates(text) {
    const { kind, dates } = meaning(text);
    if (kind !== "which-century") return dates;
    const found = dates.flatMap((date) => {
      const within = meaning(text, Number(/[0-9]{2}/.exec(date)[0]) * 100);
      return within.kind === "day-or-month" ? within.dates : [date];
    });
    return [...new Set(found)];
  }

  window.bartackDateWords = { meaning, candidates };
})();
