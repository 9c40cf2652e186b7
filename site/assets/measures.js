// Measures as people write and read them: in centimetres or inches, with decimals or fractions.
//
// What a page keeps stays in the unit of the vocabulary. The choice between centimetres and inches is kept in this
// browser for every page, where the browser keeps anything.
(function () {
  "use strict";

  const { own } = window.bartackElements;
  const { wrongValue } = window.bartackAddress;
  const NAME = "bartack measures";
  // The quantity of a unit, and its size in the first unit of its kind. An inch is 25.4 mm and a
  // yard 0.9144 m exactly (international yard and pound agreement, 1959); an avoirdupois ounce is
  // 28.349523125 g exactly.
  /** @type {Record<string, [string, number]>} */
  const UNITS = {
    mm: ["length", 1],
    cm: ["length", 10],
    in: ["length", 25.4],
    "g/m2": ["weight", 1],
    "oz/yd2": ["weight", 28.349523125 / (0.9144 * 0.9144)],
    "1/cm": ["density", 0.1],
    "1/in": ["density", 1 / 25.4],
  };
  /** @type {[RegExp, string][]} */
  const WORDS = [
    [/^(inch|inches|"|″|”|'')$/, "in"],
    [/^(centimetres?|centimeters?)$/, "cm"],
    [/^(millimetres?|millimeters?)$/, "mm"],
  ];
  /** @type {Record<string, string>} */
  const FRACTIONS = {
    ...{ "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3" },
  };
  const SIGNS = Object.keys(FRACTIONS).join("");
  const UNIT_AT_END = new RegExp(
    `^(.*[\\d${SIGNS}.])\\s*(${Object.keys(UNITS).slice(3).join("|")}|[^\\d\\s.,/⁄${SIGNS}-]+)\\.?$`,
    "iu",
  );
  const HOW = "Write a number, such as 8.25, 8,25 or 8 1/4";
  // A tape shows sixteenths of an inch; what is nearer to one than a thousandth is one.
  const PARTS = 16;
  const NEAR = 0.001;

  let chosen = kept();

  function kept() {
    try {
      const value = localStorage.getItem(NAME);
      return value === "cm" || value === "in" ? value : "";
    } catch (error) {
      return "";
    }
  }

  /** @param {Feature[]} features */
  function lengths(features) {
    return features.filter((one) => one.kind === "measure" && own(UNITS, one.unit || "")?.[0] === "length");
  }

  /**
   * The choice: what somebody chose, else what most lengths of the vocabulary are in.
   * @param {Feature[]} features
   */
  function system(features) {
    if (chosen) return chosen;
    const all = lengths(features);
    return 2 * all.filter((one) => one.unit === "in").length > all.length ? "in" : "cm";
  }

  /** @param {string} value */
  function choose(value) {
    chosen = value;
    try {
      localStorage.setItem(NAME, value);
    } catch (error) {
      // The page works without; the choice goes when it is closed.
    }
  }

  /**
   * Calls a page when another page of this browser changes the choice.
   * @param {() => void} act
   */
  function onChange(act) {
    window.addEventListener("storage", ({ key }) => {
      if (key !== NAME || kept() === chosen) return;
      chosen = kept();
      act();
    });
  }

  /**
   * The unit in which a measure is asked and shown.
   * @param {Feature} feature
   * @param {string} of
   */
  function unitOf(feature, of) {
    const unit = feature.unit || "";
    if (own(UNITS, unit)?.[0] !== "length") return unit;
    if (of === "in") return "in";
    return unit === "in" ? "cm" : unit;
  }

  /**
   * A value in another unit, without the noise of binary fractions; null where they measure different things.
   * @param {number} value
   * @param {string} from
   * @param {string} to
   */
  function convert(value, from, to) {
    if (from === to) return value;
    const [one, other] = [own(UNITS, from), own(UNITS, to)];
    if (!one || !other || one[0] !== other[0]) return null;
    return Number(((value * one[1]) / other[1]).toPrecision(12));
  }

  /**
   * A number as it is read on a tape: inches in fractions where they are some, all else in decimals.
   * @param {number} value
   * @param {string} unit
   */
  function worded(value, unit) {
    const parts = Math.round(value * PARTS);
    if (unit !== "in" || parts <= 0 || Math.abs(value * PARTS - parts) > NEAR * PARTS) return decimal(value);
    const [whole, rest] = [Math.floor(parts / PARTS), parts % PARTS];
    if (rest === 0) return String(whole);
    const by = [8, 4, 2].find((one) => rest % one === 0) || 1;
    return `${whole === 0 ? "" : `${whole} `}${rest / by}/${PARTS / by}`;
  }

  /** @param {number} value */
  function decimal(value) {
    return String(Number(value.toFixed(2)));
  }

  /**
   * A kept value in the unit in use, as it stands in a field.
   * @param {Feature} feature
   * @param {string} value
   * @param {string} of
   */
  function text(feature, value, of) {
    const unit = unitOf(feature, of);
    const number = Number(value);
    if (feature.kind !== "measure" || value.trim() === "" || !Number.isFinite(number)) return value;
    if (unit === feature.unit && unit !== "in") return value;
    const there = convert(number, feature.unit || "", unit);
    return there === null ? value : worded(there, unit);
  }

  /**
   * A kept value with the unit in use.
   * @param {Feature} feature
   * @param {string} value
   * @param {string} of
   */
  function shown(feature, value, of) {
    return `${text(feature, value, of)} ${unitOf(feature, of)}`;
  }

  /**
   * A kept value in the unit in use, then in the other one: `8 1/2 in (21.5 cm)`.
   * @param {Feature} feature
   * @param {string} value
   * @param {string} of
   */
  function inBoth(feature, value, of) {
    const { measure, rounded } = window.bartackDating.spoken;
    const home = feature.unit || "";
    if (unitOf(feature, of) === home) return measure(Number(value), home);
    return `${shown(feature, value, of)} (${rounded(Number(value), 2)} ${home})`;
  }

  /**
   * Reads `8.25`, `8,25`, `8 1/4`, `8-1/4`, `8¼` and `1/4`, as `bartack` does.
   * @param {string} written
   * @returns {{ number: number, problem: string }}
   */
  function number(written) {
    const plain = [...written].map((one) => (own(FRACTIONS, one) ? ` ${FRACTIONS[one]}` : one)).join("");
    const match = /^(?:(-?[\d.,]+)(?:\s+|-))?(\d+)\s*[/⁄]\s*(\d+)$/.exec(plain.trim());
    const whole = match ? match[1] || "0" : plain.trim();
    const doubtful = /^(-?\d+),(\d{3})$/.exec(whole);
    if (doubtful) {
      const [, before, after] = doubtful;
      const says = `This may be ${before}.${after} or ${before}${after}: write it without the comma.`;
      return { number: NaN, problem: says };
    }
    if (!/^-?\d+([.,]\d*)?$/.test(whole)) return { number: NaN, problem: HOW };
    const value = Number(whole.replace(",", "."));
    if (!match) return { number: value, problem: "" };
    const [above, below] = [Number(match[2]), Number(match[3])];
    const isFraction = above < below && Number.isInteger(value);
    return isFraction ? { number: value + above / below, problem: "" } : { number: NaN, problem: HOW };
  }

  /** @param {string} written */
  function named(written) {
    const word = written.toLowerCase();
    const found = WORDS.find(([like]) => like.test(word));
    return found ? found[1] : own(UNITS, word) ? word : "";
  }

  /**
   * What was written of a feature to the value that is kept, with what was understood where that is not plain.
   * @param {Feature} feature
   * @param {string} written
   * @param {string} of
   * @returns {{ value: string, problem: string, reading: string }}
   */
  function read(feature, written, of) {
    const trimmed = written.trim();
    const wrong = (/** @type {string} */ problem) => ({ value: "", problem, reading: "" });
    if (trimmed === "") return wrong("");
    if (feature.kind === "code") return { value: trimmed, problem: "", reading: "" };
    if (feature.kind === "measure") return measured(feature, trimmed, of);
    const { number: value, problem } = number(trimmed);
    if (problem) return wrong(problem === HOW ? wrongValue(feature, "x") : problem);
    const kept = String(value);
    const reading = kept === trimmed ? "" : `Read as ${kept}.`;
    return { value: kept, problem: wrongValue(feature, kept), reading };
  }

  /**
   * @param {Feature} feature
   * @param {string} trimmed
   * @param {string} of
   */
  function measured(feature, trimmed, of) {
    const [home, use] = [feature.unit || "", unitOf(feature, of)];
    const wrong = (/** @type {string} */ problem) => ({ value: "", problem, reading: "" });
    const [, digits, word] = UNIT_AT_END.exec(trimmed) || [trimmed, trimmed, ""];
    const unit = word ? named(word) : use;
    const { number: value, problem } = number(digits);
    const kept = unit ? convert(value, unit, home) : null;
    if (problem === HOW || kept === null) return wrong(`${HOW}, in ${alike(home)}.`);
    if (problem) return wrong(problem);
    const outside = beyond(feature, kept, unit);
    if (outside) return wrong(outside + hint(feature, { value, isNamed: word !== "", unit }));
    const isPlain = unit === home && String(value) === trimmed;
    const also = unit === home ? "" : `, which is ${Number(kept.toFixed(3))} ${home}`;
    return {
      value: String(kept),
      problem: "",
      reading: isPlain ? "" : `Read as ${thousandths(value)} ${unit}${also}.`,
    };
  }

  /** @param {number} value */
  function thousandths(value) {
    return Number(value.toFixed(3));
  }

  /** @param {string} unit */
  function alike(unit) {
    const all = Object.keys(UNITS).filter((one) => UNITS[one][0] === own(UNITS, unit)?.[0]);
    return all.length > 1 ? `${all.slice(0, -1).join(", ")} or ${all[all.length - 1]}` : unit;
  }

  /**
   * Says the range in the unit in use, rounded so that both ends lie in it.
   * @param {Feature} feature
   * @param {number} value
   * @param {string} unit
   */
  function beyond({ range, unit: home = "" }, value, unit) {
    if (!range || (value >= range[0] && value <= range[1])) return "";
    const [low, high] = range.map((one) => convert(one, home, unit) ?? one);
    const least = unit === home ? low : Math.ceil(low * 100 - 1e-6) / 100;
    const most = unit === home ? high : Math.floor(high * 100 + 1e-6) / 100;
    return `It must be between ${least} and ${most} ${unit}.`;
  }

  /**
   * A number that would fit in the other unit was most likely measured in it.
   * @param {Feature} feature
   * @param {{ value: number, isNamed: boolean, unit: string }} typed
   */
  function hint(feature, { value, isNamed, unit }) {
    const home = feature.unit || "";
    if (isNamed || own(UNITS, home)?.[0] !== "length") return "";
    const [other, name] = unit === "in" ? ["cm", "centimetres"] : ["in", "inches"];
    const there = convert(value, other, home);
    return there === null || beyond(feature, there, home)
      ? ""
      : ` If you measured it in ${name}, choose ${name} above.`;
  }

  window.bartackMeasures = {
    lengths,
    system,
    choose,
    onChange,
    unitOf,
    convert,
    worded,
    text,
    shown,
    inBoth,
    number,
    read,
  };
})();
