// Turns readings into the bounds that landmarks give: hard ones rule years out, soft ones divide them.
//
// A landmark of a kind or force that is not known here is skipped whole.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { parseDay } = dating;

  // The order of ids.
  function order(one, other) {
    return one < other ? -1 : one > other ? 1 : 0;
  }

  // Landmarks.

  function prepareLandmark(landmark, features) {
    if (!isKnownCondition(landmark.condition) || !["hard", "soft"].includes(landmark.force)) return null;
    const named = featuresOf(landmark.condition);
    const first = features.get(named[0]);
    return {
      ...landmark,
      features: named,
      zone: first && first.zone !== undefined ? first.zone : null,
      notBefore: parseDay(landmark.not_before),
      notAfter: parseDay(landmark.not_after),
    };
  }

  function isKnownCondition(condition) {
    if (condition.kind === "any" || condition.kind === "all") return condition.of.every(isKnownCondition);
    return condition.kind === "state" || condition.kind === "range";
  }

  function featuresOf(condition) {
    return condition.of ? condition.of.flatMap(featuresOf) : [condition.feature];
  }

  function isMet(condition, features, readings) {
    if (condition.kind === "any") return condition.of.some((part) => isMet(part, features, readings));
    if (condition.kind === "all") return condition.of.every((part) => isMet(part, features, readings));
    if (!readings.has(condition.feature)) return false;
    const value = readings.get(condition.feature);
    if (condition.kind === "state") return hasState(value, condition.state, features.get(condition.feature));
    const number = asNumber(value);
    return (
      number !== null &&
      (condition.from === null || condition.from === undefined || condition.from <= number) &&
      (condition.to === null || condition.to === undefined || number <= condition.to)
    );
  }

  function hasState(value, state, feature) {
    if (feature.kind === "number" || feature.kind === "measure") {
      const number = asNumber(value);
      return number === null ? String(value) === state : Number(state) === number;
    }
    return String(value) === state;
  }

  function asNumber(value) {
    const number = typeof value === "number" ? value : String(value).trim() === "" ? NaN : Number(value);
    return Number.isFinite(number) ? number : null;
  }

  function isHard(landmark, market) {
    return (
      landmark.force === "hard" &&
      (landmark.market === null || landmark.market === undefined || landmark.market === market)
    );
  }

  function softOdds(landmark, market) {
    const other = landmark.market && market && landmark.market !== market;
    return other || isHard(landmark, market) ? null : landmark.odds;
  }

  function fits(year, notBefore, notAfter) {
    const inverted = notBefore && notAfter && notBefore.number > notAfter.number;
    return !inverted && !(notBefore && notBefore.year > year) && !(notAfter && notAfter.year < year);
  }

  function later(one, other) {
    return !one || (other && other.number > one.number) ? other || one : one;
  }

  function earlier(one, other) {
    return !one || (other && other.number < one.number) ? other || one : one;
  }

  function bound(prepared, readings, market) {
    const speaking = prepared.landmarks.filter((landmark) => isMet(landmark.condition, prepared.features, readings));
    const hard = speaking.filter((landmark) => isHard(landmark, market));
    const notBefore = hard.reduce((day, landmark) => later(day, landmark.notBefore), null);
    const notAfter = hard.reduce((day, landmark) => earlier(day, landmark.notAfter), null);
    const by = (key, day) =>
      day
        ? hard.filter((landmark) => landmark[key] && landmark[key].number === day.number).map((landmark) => landmark.id)
        : [];
    const inverted = Boolean(notBefore && notAfter && notBefore.number > notAfter.number);
    const { first, last } = prepared.rules.years;
    const outside = !inverted && Boolean((notBefore && notBefore.year > last) || (notAfter && notAfter.year < first));
    const left = prepared.years.map((year) => outside || fits(year, notBefore, notAfter));
    return {
      notBefore,
      notAfter,
      outside,
      left,
      soft: (outside ? [] : speaking)
        .map((landmark) => ({ landmark, odds: softOdds(landmark, market) }))
        .filter((soft) => soft.odds !== null),
      contradiction: inverted || !left.includes(true),
      hard: {
        not_before: notBefore ? notBefore.text : null,
        not_before_by: by("notBefore", notBefore),
        not_after: notAfter ? notAfter.text : null,
        not_after_by: by("notAfter", notAfter),
      },
    };
  }

  function softFactors(prepared, bounded, model) {
    const zones = new Map();
    for (const { landmark, odds } of bounded.soft) {
      if (landmark.features.some((feature) => model.examined.includes(feature))) continue;
      if (!zones.has(landmark.zone))
        zones.set(
          landmark.zone,
          prepared.years.map(() => 1),
        );
      const divisors = zones.get(landmark.zone);
      prepared.years.forEach((year, at) => {
        if (!fits(year, landmark.notBefore, landmark.notAfter)) divisors[at] = Math.max(divisors[at], odds);
      });
    }
    return prepared.years.map((_, at) => [...zones.values()].reduce((factor, divisors) => factor / divisors[at], 1));
  }

  // The single states that would meet a condition by themselves.
  function statesOf(condition) {
    if (condition.kind === "any") return condition.of.flatMap(statesOf);
    return condition.kind === "state" ? [condition] : [];
  }

  Object.assign(dating, {
    order,
    prepareLandmark,
    asNumber,
    isHard,
    fits,
    later,
    earlier,
    bound,
    softFactors,
    statesOf,
  });
})(globalThis);
