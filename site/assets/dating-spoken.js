// Days and measures in words, the same as `date/spoken.rs` and `vocabulary/measure.rs` of the program: a day by the month
// or year that it opens or closes, a measure in its own unit and in the one that other readers measure in.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { daysInMonth, padded, own } = dating;
  const MONTHS = [
    ...["January", "February", "March", "April", "May", "June", "July"],
    ...["August", "September", "October", "November", "December"],
  ];
  // Millimetres in an inch, and grams a square metre in an ounce a square yard (international yard and pound agreement,
  // 1959: an avoirdupois ounce is 28.349523125 g, a yard 0.9144 m exactly).
  const INCH = 25.4;
  const OUNCE_PER_YARD = 28.349523125 / (0.9144 * 0.9144);

  // Days: year, month and day, or text such as 1962-11-28.

  function parts(day) {
    return typeof day === "string" ? day.split("-").map(Number) : day;
  }

  function month([year, number]) {
    return `${MONTHS[number - 1]} ${year}`;
  }

  function day(given) {
    const date = parts(given);
    return `${date[2]} ${month(date)}`;
  }

  function closesMonth([year, month, day]) {
    return day === daysInMonth(year, month);
  }

  // The year or month that a day opens.
  function opened(date) {
    return date[1] === 1 ? String(date[0]) : month(date);
  }

  // The year or month that a day closes.
  function closed(date) {
    return date[1] === 12 ? String(date[0]) : month(date);
  }

  // A day for use after “not before”: 1962 means its first day.
  function before(given) {
    const date = parts(given);
    return date[2] === 1 ? opened(date) : by(date);
  }

  // A day for use after “not after”: the end of 1961.
  function by(given) {
    const date = parts(given);
    if (closesMonth(date)) return `the end of ${closed(date)}`;
    return date[2] === 1 ? `the beginning of ${opened(date)}` : day(date);
  }

  // The longest period that a day opens, then that it closes: a year, a month, or the day itself.
  function begin(given) {
    const date = parts(given);
    return date[2] === 1 ? opened(date) : day(date);
  }

  function end(given) {
    const date = parts(given);
    return closesMonth(date) ? closed(date) : day(date);
  }

  // A run of years, the last without its century where the first has the same: 1976–79.
  function years(first, last) {
    const isOneCentury = Math.floor(first / 100) === Math.floor(last / 100);
    return first === last ? String(first) : `${first}–${isOneCentury ? padded(last % 100, 2) : last}`;
  }

  // Measures.

  // At most so many decimals; a half goes to the even digit, as it is in the binary number itself.
  function rounded(number, places) {
    let text = Math.abs(number).toFixed(places);
    const isHalf = new RegExp(`\\.\\d{${places}}50*$`).test(Math.abs(number).toFixed(60));
    if (isHalf && Number(text[text.length - 1]) % 2 === 1)
      text = (Number(text) - Math.pow(10, -places)).toFixed(places);
    if (places > 0) text = text.replace(/\.?0+$/, "");
    return number < 0 && text !== "0" ? "-" + text : text;
  }

  // The nearest fraction of an inch on a tape divided into so many parts; nothing where that is none.
  function fraction(inches, of) {
    const nearest = Math.round(Math.abs(inches) * of);
    if (nearest === 0) return "0";
    const [whole, rest] = [Math.floor(nearest / of), nearest % of];
    const common = [8, 4, 2].find((one) => rest % one === 0) || 1;
    const said = [whole > 0 ? whole : "", rest > 0 ? `${rest / common}/${of / common}` : ""].filter(Boolean).join(" ");
    return inches < 0 ? "−" + said : said;
  }

  const OTHERS = {
    in: (value) => [rounded((value * INCH) / 10, 1), "cm"],
    cm: (value) => [fraction((value * 10) / INCH, 8), "in"],
    mm: (value) => [fraction(value / INCH, 16), "in"],
    "g/m2": (value) => [rounded(value / OUNCE_PER_YARD, 1), "oz/yd2"],
    "oz/yd2": (value) => [rounded(value * OUNCE_PER_YARD, 0), "g/m2"],
    "1/in": (value) => [rounded((value * 10) / INCH, 1), "1/cm"],
    "1/cm": (value) => [rounded((value * INCH) / 10, 1), "1/in"],
  };

  // The same measure in the other unit; nothing where it would be said to be nothing.
  function other(value, unit) {
    const convert = own(OTHERS, unit);
    const [number, word] = convert ? convert(value) : ["0", ""];
    return number === "0" ? "" : `${number} ${word}`;
  }

  // A measure with its unit, then the same in the other unit: 21.5 cm (8 1/2 in).
  function measure(value, unit) {
    const there = other(value, unit);
    return `${rounded(value, 2)} ${unit}${there ? ` (${there})` : ""}`;
  }

  dating.spoken = { MONTHS, month, day, closesMonth, before, by, begin, end, years, rounded, other, measure };
})(globalThis);
