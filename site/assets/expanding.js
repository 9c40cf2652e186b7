// Expands the rules that garment.html carries to those of rules.json, digit for digit: centres and spreads of measures are
// worked out from the readings they are made of, each when it is first asked for.
//
// `near` of a model lists what garments count in each year; `readings` of a variant are flat: a place in that list, how
// many garments count so, and the sum of what was measured on them.
(function () {
  "use strict";

  /**
   * Runs as `near` writes them: the years in which a value holds, then the value.
   * @param {number[]} runs
   */
  function everyYear(runs) {
    const years = [];
    for (let at = 0; at < runs.length; at += 2) for (let left = runs[at]; left > 0; left -= 1) years.push(runs[at + 1]);
    return years;
  }

  /** @param {number} number */
  function twelveDigits(number) {
    return Number(number.toExponential(11));
  }

  /**
   * Runs of centres and spreads, as rules.json has them.
   * @param {number[][]} nears
   * @param {{ centre: number, scale: number }} measure
   * @param {number[]} readings
   */
  function expanded(nears, { centre: general, scale }, readings) {
    /** @type {number[]} */
    const runs = [];
    const [weights, sums] = [new Float64Array(nears[0].length), new Float64Array(nears[0].length)];
    for (let at = 0; at < readings.length; at += 3) {
      const [near, garments, sum] = [nears[readings[at]], readings[at + 1], readings[at + 2]];
      for (let year = 0; year < near.length; year += 1) {
        weights[year] += garments * near[year];
        sums[year] += near[year] * sum;
      }
    }
    for (let year = 0; year < weights.length; year += 1) {
      if (year > 0 && weights[year] === weights[year - 1] && sums[year] === sums[year - 1]) {
        runs[runs.length - 3] += 1;
        continue;
      }
      const centre = twelveDigits((general + sums[year]) / (1 + weights[year]));
      const spread = twelveDigits(scale * Math.sqrt(1 + 1 / (1 + weights[year])));
      if (year > 0 && centre === runs[runs.length - 2] && spread === runs[runs.length - 1]) runs[runs.length - 3] += 1;
      else runs.push(1, centre, spread);
    }
    return runs;
  }

  /**
   * Gives an object a value that is worked out when it is first read.
   * @param {object} holder
   * @param {string} key
   * @param {() => unknown} work
   */
  function later(holder, key, work) {
    const own = { configurable: true, enumerable: true };
    const get = () => {
      const value = work();
      Object.defineProperty(holder, key, { ...own, value });
      return value;
    };
    Object.defineProperty(holder, key, { ...own, get });
  }

  /**
   * Expands rules in place.
   * @param {Rules} rules
   */
  function expand(rules) {
    for (const model of /** @type {CompactModel[]} */ (/** @type {any} */ (rules.models))) {
      const near = model.near || [];
      /** @type {number[][]} */
      let known = [];
      const nears = () => (known = known.length > 0 ? known : near.map(everyYear));
      for (const measure of Object.values(model.measures).flat()) {
        const { readings = {}, centre, scale = 0 } = measure;
        for (const variant of Object.keys(readings))
          later(measure.variants, variant, () => expanded(nears(), { centre, scale }, readings[variant]));
        delete measure.readings;
        delete measure.scale;
      }
      delete model.near;
    }
  }

  window.bartackExpanding = { expand };
})();
