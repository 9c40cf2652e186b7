// Turns the content of rules.json and what a garment shows into the answer of `bartack date --format json`.
//
// A classic script without any request, so that it works in a page opened from a folder; the same file runs under Node.
// It reads only fields it knows and skips what it does not; where the rules require more, it answers that it cannot tell.
(function (root, build) {
  "use strict";
  if (typeof module === "object" && module.exports) module.exports = build();
  else root.bartackDating = build();
})(typeof self === "undefined" ? this : self, function () {
  "use strict";

  const UNDERSTOOD = [];
  const FEATURE_KINDS = ["state", "count", "measure", "number", "code"];
  const FLOOR = 0.05;
  const HALVING = 5;
  const UNLIKE = 2.33;
  const SHRINKAGE = 0.1;
  const EQUAL_PROBABILITY = 1e-12;
  const EQUAL_SHARE = 1e-9;
  const REPLACEABLE = ["no", "sometimes", "often"];
  const CAUTION = "This is an opinion drawn from what people recorded, not an authentication. Parts get replaced and " +
    "labels get moved to other garments. Tell a buyer what you measured yourself, and keep to the consumer law of the " +
    "place where you sell.";

  // Days of the proleptic Gregorian calendar, counted from 1970-01-01.

  function dayNumber(year, month, day) {
    const shifted = month > 2 ? year : year - 1;
    const era = Math.floor(shifted / 400);
    const yearOfEra = shifted - era * 400;
    const dayOfYear = Math.floor((153 * (month > 2 ? month - 3 : month + 9) + 2) / 5) + day - 1;
    const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
    return era * 146097 + dayOfEra - 719468;
  }

  function parseDay(text) {
    if (typeof text !== "string") return null;
    const [year, month, day] = text.split("-").map(Number);
    return { text, year, number: dayNumber(year, month, day) };
  }

  // Production weights.

  function halved(years) {
    return Math.pow(2, -Math.max(years, 0) / HALVING);
  }

  function begun(earliest, latest, day) {
    if (earliest && latest) {
      if (earliest.number === latest.number) return day >= latest.number ? 1 : 0;
      return clamp((day - earliest.number) / (latest.number - earliest.number));
    }
    const only = earliest || latest;
    return only ? halved((only.number - day) / 365.25) : 1;
  }

  function notEnded(earliest, latest, day) {
    if (earliest && latest) {
      if (earliest.number === latest.number) return day <= latest.number ? 1 : 0;
      return clamp((latest.number - day) / (latest.number - earliest.number));
    }
    if (earliest) return halved((day - earliest.number) / 365.25);
    if (latest) return day <= latest.number ? 1 : 0;
    return 1;
  }

  function clamp(share) {
    return Math.min(Math.max(share, 0), 1);
  }

  function production(era, years) {
    const [first, begin, end, last] = [era.begin.earliest, era.begin.latest, era.end.earliest, era.end.latest].map(parseDay);
    const shape = years.map((year) => {
      const day = dayNumber(year, 7, 1);
      return begun(first, begin, day) * notEnded(end, last, day);
    });
    const greatest = Math.max(...shape);
    return years.map((year, at) => {
      const before = first ? first.year - year : 0;
      const after = last ? year - last.year : 0;
      const distance = Math.max(before, after, 0);
      const scaled = greatest > 0 ? shape[at] / greatest : distance === 0 ? 1 : 0;
      return Math.max(scaled, FLOOR * halved(distance));
    });
  }

  function isBounded(era) {
    return [era.begin.earliest, era.begin.latest, era.end.earliest, era.end.latest].some((day) => day !== null && day !== undefined);
  }

  // The rules, laid out for answering.

  function expand(runs, step) {
    const values = [];
    for (let at = 0; at < runs.length; at += step) {
      const value = step === 2 ? runs[at + 1] : runs.slice(at + 1, at + step);
      for (let count = 0; count < runs[at]; count += 1) values.push(value);
    }
    return values;
  }

  function prepare(rules) {
    const years = [];
    for (let year = rules.years.first; year <= rules.years.last; year += 1) years.push(year);
    const features = new Map();
    for (const feature of rules.vocabulary.features) {
      if (FEATURE_KINDS.includes(feature.kind)) features.set(feature.id, feature);
    }
    const models = new Map(rules.models.map((model) => [model.id, { ...model, tables: new Map() }]));
    const prepared = { rules, years, features, models, variants: [], landmarks: [] };
    prepared.variants = prepareVariants(prepared);
    prepared.landmarks = rules.landmarks
      .map((landmark) => prepareLandmark(landmark, features))
      .filter((landmark) => landmark !== null)
      .sort((one, other) => order(one.id, other.id));
    return prepared;
  }

  function prepareVariants(prepared) {
    const { rules, years, models } = prepared;
    const weights = new Map();
    for (const variant of rules.variants) {
      if (isBounded(variant.era)) weights.set(variant.id, production(variant.era, years));
    }
    const variants = rules.variants.map((variant) => {
      const own = weights.get(variant.id) || meanWeights(rules, weights, variant) || production(variant.era, years);
      return {
        id: variant.id,
        source: variant,
        model: models.get(variant.model),
        isBounded: weights.has(variant.id),
        weights: own,
        total: own.reduce((sum, weight) => sum + weight, 0),
        tables: new Map(),
      };
    });
    return variants.sort((one, other) => order(one.id, other.id));
  }

  function meanWeights(rules, weights, variant) {
    const others = rules.variants.filter((other) => other.model === variant.model && weights.has(other.id));
    if (others.length === 0) return null;
    const all = others.map((other) => weights.get(other.id));
    return all[0].map((_, at) => all.reduce((sum, one) => sum + one[at], 0) / all.length);
  }

  function order(one, other) {
    return one < other ? -1 : one > other ? 1 : 0;
  }

  function table(variant, feature) {
    const own = variant.source.cells && variant.source.cells[feature];
    const holder = own ? variant : variant.model;
    if (!holder.tables.has(feature)) {
      const runs = own || (variant.model.cells && variant.model.cells[feature]);
      if (!runs) return null;
      holder.tables.set(feature, runs.map((column) => expand(column, 2)));
    }
    return holder.tables.get(feature);
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
    return number !== null &&
      (condition.from === null || condition.from === undefined || condition.from <= number) &&
      (condition.to === null || condition.to === undefined || number <= condition.to);
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
    return landmark.force === "hard" && (landmark.market === null || landmark.market === undefined || landmark.market === market);
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
    const by = (key, day) => day ? hard.filter((landmark) => landmark[key] && landmark[key].number === day.number).map((landmark) => landmark.id) : [];
    const inverted = Boolean(notBefore && notAfter && notBefore.number > notAfter.number);
    const { first, last } = prepared.rules.years;
    const outside = !inverted && Boolean((notBefore && notBefore.year > last) || (notAfter && notAfter.year < first));
    const left = prepared.years.map((year) => outside || fits(year, notBefore, notAfter));
    return {
      notBefore, notAfter, outside, left,
      soft: speaking.map((landmark) => ({ landmark, odds: softOdds(landmark, market) })).filter((soft) => soft.odds !== null),
      contradiction: inverted || !left.includes(true),
      hard: {
        not_before: notBefore ? notBefore.text : null, not_before_by: by("notBefore", notBefore),
        not_after: notAfter ? notAfter.text : null, not_after_by: by("notAfter", notAfter),
      },
    };
  }

  function softFactors(prepared, bounded, model) {
    const zones = new Map();
    for (const { landmark, odds } of bounded.soft) {
      if (landmark.features.some((feature) => model.examined.includes(feature))) continue;
      if (!zones.has(landmark.zone)) zones.set(landmark.zone, prepared.years.map(() => 1));
      const divisors = zones.get(landmark.zone);
      prepared.years.forEach((year, at) => {
        if (!fits(year, landmark.notBefore, landmark.notAfter)) divisors[at] = Math.max(divisors[at], odds);
      });
    }
    return prepared.years.map((_, at) => [...zones.values()].reduce((factor, divisors) => factor / divisors[at], 1));
  }

  // Variants and years.

  function inQuestion(prepared, garment, readings) {
    const named = ["maker", "model", "line", "wearer", "variant"].filter((key) => garment[key]);
    if (named.length > 0) {
      return prepared.variants.filter((variant) => named.every((key) => (key === "variant" ? variant.id : variant.source[key]) === garment[key]));
    }
    const examined = [...readings.keys()].map((id) => prepared.features.get(id));
    return prepared.variants.filter((variant) => variant.model.counted && examined.every((feature) => applies(feature, variant.model.garment)));
  }

  function applies(feature, garment) {
    return !feature.garments || feature.garments.length === 0 || feature.garments.includes(garment);
  }

  function stratum(feature, value) {
    if (value === undefined || value === "lost") return null;
    if (feature.kind !== "measure" && feature.kind !== "number") {
      return feature.columns.includes(String(value)) ? String(value) : "other";
    }
    const number = asNumber(value);
    return number === null ? null : "band " + (feature.bands || []).filter((cut) => cut <= number).length;
  }

  // What of the garment has a likelihood for every variant in question.
  function usable(prepared, members, readings) {
    const used = [];
    for (const id of [...readings.keys()].sort(order)) {
      const feature = prepared.features.get(id);
      const value = readings.get(id);
      if (value === "lost") continue;
      if (feature.kind === "state" || feature.kind === "count") {
        const column = feature.columns.indexOf(String(value));
        used.push({ id, value, column: column < 0 ? feature.columns.length - 1 : column });
      } else if (feature.kind === "measure" && asNumber(value) !== null) {
        const tables = new Map();
        for (const { model } of members) tables.set(model.id, measureTable(prepared, model, id, readings));
        if ([...tables.values()].every(Boolean)) used.push({ id, value, number: asNumber(value), tables });
      }
    }
    return used;
  }

  function measureTable(prepared, model, id, readings) {
    const tables = (model.measures && model.measures[id]) || [];
    return tables.find((one) => Object.entries(one.where).every(([other, wanted]) => {
      const feature = prepared.features.get(other);
      return feature && stratum(feature, readings.get(other)) === wanted;
    }));
  }

  function density(measure, centre, spread, reading) {
    const shrunk = measure.shrinks && reading < centre && reading > (1 - SHRINKAGE) * centre;
    const z = shrunk ? 0 : (reading - centre) / spread;
    const tail = Math.pow(1 + (z * z) / measure.degrees, -(measure.degrees + 1) / 2);
    return (1 - measure.slip) * (Math.pow(2, measure.log2_constant) / spread) * tail + measure.slip / measure.width;
  }

  // The base-2 logarithm of a reading's likelihood for a variant, by year.
  function logs(prepared, variant, reading) {
    if (reading.tables === undefined) return table(variant, reading.id)[reading.column].map((cell) => cell / 20);
    const measure = reading.tables.get(variant.model.id);
    const own = measure.variants[variant.id];
    if (!own) return prepared.years.map(() => Math.log2(density(measure, measure.centre, measure.spread, reading.number)));
    return expand(own, 3).map(([centre, spread]) => Math.log2(density(measure, centre, spread, reading.number)));
  }

  function weigh(prepared, members, readings, bounded) {
    const used = usable(prepared, members, readings);
    const temper = members.reduce((least, member) => Math.min(least, member.model.temper), 1);
    const sizes = new Map();
    for (const { model } of members) sizes.set(model.id, (sizes.get(model.id) || 0) + 1);
    const before = members.map((member) => {
      const soft = softFactors(prepared, bounded, member.model);
      return member.weights.map((weight, at) => (bounded.left[at] ? weight * soft[at] : 0));
    });
    const sums = members.map((member) => {
      const all = used.map((reading) => logs(prepared, member, reading));
      return prepared.years.map((_, at) => all.reduce((sum, one) => sum + one[at], 0));
    });
    const greatest = sums.reduce((most, one) => Math.max(most, ...one), -Infinity);
    const joint = members.map((member, number) => {
      const prior = 1 / (sizes.size * sizes.get(member.model.id) * member.total);
      return sums[number].map((sum, at) => prior * before[number][at] * Math.pow(2, temper * (sum - greatest)));
    });
    const total = joint.reduce((sum, one) => sum + add(one), 0);
    const shares = joint.map((one) => one.map((probability) => (total > 0 ? probability / total : 0)));
    const variants = shares.map(add);
    const ranked = members.map((_, number) => number);
    ranked.sort((one, other) => rounded(variants[other], EQUAL_PROBABILITY) - rounded(variants[one], EQUAL_PROBABILITY) || one - other);
    return { used, temper, before, joint: shares, variants, order: ranked };
  }

  function add(values) {
    return values.reduce((sum, value) => sum + value, 0);
  }

  function rounded(value, step) {
    return Math.round(value / step);
  }

  // The answer.

  function told(prepared, members, bounded, weighed) {
    if (bounded.contradiction || members.length === 0) return { variants: [], years: null };
    return {
      variants: weighed.order.map((number) => ({ id: members[number].id, probability: weighed.variants[number] })),
      years: spread(prepared, members, bounded, weighed),
    };
  }

  function spread(prepared, members, bounded, weighed) {
    if (bounded.outside || !members.some((member) => member.isBounded)) return null;
    const probability = prepared.years.map((_, at) => weighed.joint.reduce((sum, one) => sum + one[at], 0));
    return {
      probability: prepared.years.map((year, at) => [year, probability[at]]).filter(([, share]) => share > 0),
      span50: spans(prepared.years, probability, 0.5),
      span95: spans(prepared.years, probability, 0.95),
    };
  }

  function spans(years, probability, share) {
    const ranked = years.map((_, at) => at).sort((one, other) =>
      rounded(probability[other], EQUAL_PROBABILITY) - rounded(probability[one], EQUAL_PROBABILITY) || one - other);
    const taken = [];
    let sum = 0;
    for (const at of ranked) {
      if (sum >= share - EQUAL_PROBABILITY) break;
      sum += probability[at];
      taken.push(years[at]);
    }
    const runs = [];
    for (const year of taken.sort((one, other) => one - other)) {
      const last = runs[runs.length - 1];
      if (last && last[1] + 1 === year) last[1] = year;
      else runs.push([year, year]);
    }
    return runs;
  }

  function weighedFeatures(prepared, members, weighed) {
    const [top, next] = weighed.order;
    const seen = (number, reading) => {
      const before = weighed.before[number];
      const total = add(before);
      const own = logs(prepared, members[number], reading);
      return Math.log2(before.reduce((sum, weight, at) => sum + (weight / total) * Math.pow(2, own[at]), 0));
    };
    return weighed.used.map((reading) => ({
      feature: reading.id,
      state: String(reading.value),
      bits: next === undefined ? null : weighed.temper * (seen(top, reading) - seen(next, reading)),
    }));
  }

  function unlike(members, weighed) {
    const member = members[weighed.order[0]];
    let surprise = 0;
    let variance = 0;
    for (const reading of weighed.used) {
      if (reading.tables !== undefined) continue;
      const shares = table(member, reading.id).map((cells) =>
        member.weights.reduce((sum, weight, at) => sum + weight * Math.pow(2, cells[at] / 20), 0) / member.total);
      const mean = add(shares.map((share) => -share * Math.log2(share)));
      surprise += -Math.log2(shares[reading.column]) - mean;
      variance += add(shares.map((share) => share * Math.pow(-Math.log2(share) - mean, 2)));
    }
    const z = variance > 1e-12 ? surprise / Math.sqrt(variance) : null;
    return { z, fires: z !== null && z > UNLIKE };
  }

  function lookNext(prepared, members, readings, weighed) {
    const held = [];
    let share = 0;
    for (const number of weighed.order) {
      if (share >= 0.99 - EQUAL_PROBABILITY) break;
      share += weighed.variants[number];
      held.push(number);
    }
    if (share <= 0) return [];
    const open = [...prepared.features.values()].filter((feature) =>
      (feature.kind === "state" || feature.kind === "count") && !feature.defining && !readings.has(feature.id) &&
      members.some((member) => applies(feature, member.model.garment)));
    const drops = open.map((feature) => ({
      feature,
      drop: entropyDrop(held.map((number) => [weighed.joint[number], table(members[number], feature.id)]), weighed.temper, share),
    }));
    drops.sort((one, other) =>
      (one.feature.replaceable === "often") - (other.feature.replaceable === "often") ||
      rounded(other.drop, EQUAL_SHARE) - rounded(one.drop, EQUAL_SHARE) || order(one.feature.id, other.feature.id));
    return drops.slice(0, 3).map(({ feature, drop }) => ({ feature: feature.id, entropy_drop: drop, look: feature.look }));
  }

  function entropyDrop(tables, temper, share) {
    const overall = [];
    let known = 0;
    for (const [joint, columns] of tables) {
      let previous = null;
      for (let at = 0; at < joint.length; at += 1) {
        if (joint[at] === 0) continue;
        const key = columns.map((cells) => cells[at]);
        // Cells change in runs, so most shares are already known.
        if (previous === null || key.some((cell, column) => cell !== previous.key[column])) {
          const powers = key.map((cell) => Math.pow(2, (temper * cell) / 20));
          const total = add(powers);
          const states = powers.map((power) => power / total);
          previous = { key, states, bits: add(states.map((state) => state * Math.log2(state))) };
        }
        const probability = joint[at] / share;
        previous.states.forEach((state, column) => { overall[column] = (overall[column] || 0) + probability * state; });
        known += probability * previous.bits;
      }
    }
    const unknown = add(overall.map((state) => (state > 0 ? state * Math.log2(state) : 0)));
    return Math.max(known - unknown, 0);
  }

  function statesOf(condition) {
    if (condition.kind === "any") return condition.of.flatMap(statesOf);
    return condition.kind === "state" ? [condition] : [];
  }

  function wouldBound(prepared, members, readings, bounded, years, market) {
    const left = bounded.left.filter(Boolean).length;
    const weights = years
      ? prepared.years.map((year) => (years.probability.find(([one]) => one === year) || [0, 0])[1])
      : bounded.left.map((isLeft) => (isLeft ? 1 / Math.max(left, 1) : 0));
    const marks = [];
    for (const landmark of prepared.landmarks.filter((one) => isHard(one, market))) {
      const notBefore = later(bounded.notBefore, landmark.notBefore);
      const notAfter = earlier(bounded.notAfter, landmark.notAfter);
      const ruledOut = add(prepared.years.map((year, at) => (fits(year, notBefore, notAfter) ? 0 : weights[at])));
      for (const { feature, state } of statesOf(landmark.condition)) {
        const known = prepared.features.get(feature);
        const isApplied = known && (members.length === 0 || members.some((member) => applies(known, member.model.garment)));
        if (isApplied && !readings.has(feature)) marks.push({ feature, state, landmark: landmark.id, rules_out: ruledOut });
      }
    }
    marks.sort((one, other) => rounded(other.rules_out, EQUAL_SHARE) - rounded(one.rules_out, EQUAL_SHARE) ||
      order(one.feature, other.feature) || order(one.state, other.state) || order(one.landmark, other.landmark));
    return marks.slice(0, 5);
  }

  function doubts(prepared, members, readings, market) {
    const given = [...readings.keys()].sort(order);
    const singles = given.map((one) => [one]);
    const pairs = given.flatMap((one, at) => given.slice(at + 1).map((other) => [one, other]));
    for (const sets of [singles, pairs]) {
      const found = sets.map((set) => without(prepared, members, readings, market, set)).filter(Boolean);
      if (found.length > 0) return found.sort((one, other) => compareDoubts(prepared, one, other));
    }
    return [];
  }

  function without(prepared, members, readings, market, set) {
    const rest = new Map([...readings].filter(([id]) => !set.includes(id)));
    const bounded = bound(prepared, rest, market);
    if (bounded.contradiction) return null;
    const { variants, years } = told(prepared, members, bounded, weigh(prepared, members, rest, bounded));
    return { features: set, hard: bounded.hard, variants, years };
  }

  function compareDoubts(prepared, one, other) {
    const count = (doubt, wanted) => doubt.features.filter((id) => prepared.features.get(id).replaceable === REPLACEABLE[wanted]).length;
    return count(one, 0) - count(other, 0) || count(one, 1) - count(other, 1) ||
      order(one.features[0], other.features[0]) || order(one.features[1] || "", other.features[1] || "");
  }

  // Answers for one garment: { maker, model, line, wearer, variant, market, id, features: { feature: text or number } }.
  function answer(rules, garment) {
    const prepared = rules.rules ? rules : prepare(rules);
    const id = garment.id === undefined ? null : garment.id;
    const missing = (prepared.rules.requires || []).filter((word) => !UNDERSTOOD.includes(word));
    if (missing.length > 0) return { format: "bartack-date", version: 1, id, cannot_tell: missing };
    const given = Object.entries(garment.features || {});
    const readings = new Map(given.filter(([feature]) => prepared.features.has(feature)));
    const ignored = given.map(([feature]) => feature).filter((feature) => !readings.has(feature)).sort(order);
    const members = inQuestion(prepared, garment, readings);
    const bounded = bound(prepared, readings, garment.market);
    const weighed = weigh(prepared, members, readings, bounded);
    const { variants, years } = told(prepared, members, bounded, weighed);
    const isTold = variants.length > 0;
    const found = {
      format: "bartack-date", version: 1, id, knowledge_base: prepared.rules.knowledge_base,
      hard: bounded.hard, contradiction: bounded.contradiction, temper: weighed.temper, variants, years,
      features: isTold ? weighedFeatures(prepared, members, weighed) : [],
      look_next: isTold ? lookNext(prepared, members, readings, weighed) : [],
      would_bound: bounded.contradiction ? [] : wouldBound(prepared, members, readings, bounded, years, garment.market),
      unlike: isTold ? unlike(members, weighed) : { z: null, fires: false },
      doubt: bounded.contradiction ? doubts(prepared, members, readings, garment.market) : [],
      ignored,
    };
    found.paragraph = paragraph(prepared.rules, garment, found);
    return found;
  }

  // Words.

  function percent(probability) {
    return Math.floor(probability * 100 + 0.5);
  }

  function spansInWords(runs) {
    return runs.map(([first, last]) => (first === last ? `in ${first}` : `from ${first} to ${last}`)).join(" or ");
  }

  function yearsInWords(years) {
    return `Made ${spansInWords(years.span50)} with 50 %, ${spansInWords(years.span95)} with 95 %.`;
  }

  function boundsInWords(rules, hard) {
    const titles = (ids) => ids.map((id) => (rules.landmarks.find((landmark) => landmark.id === id) || { title: id }).title).join("; ");
    const sentences = [];
    if (hard.not_before) sentences.push(`Not made before ${hard.not_before}: ${titles(hard.not_before_by)}.`);
    if (hard.not_after) sentences.push(`Not made after ${hard.not_after}: ${titles(hard.not_after_by)}.`);
    return sentences.length > 0 ? sentences : ["No landmark bounds its date."];
  }

  function nameOf(rules, id) {
    const variant = rules.variants.find((one) => one.id === id);
    const maker = rules.makers.find((one) => one.id === variant.maker);
    const model = rules.models.find((one) => one.id === variant.model);
    return [maker, model, variant].filter(Boolean).map((one) => one.name).join(", ");
  }

  function likeness(rules, variants) {
    const said = ({ id, probability }) => `${nameOf(rules, id)} (${percent(probability)} %)`;
    const next = variants[1] && percent(variants[1].probability) > 0 ? `, then ${said(variants[1])}` : "";
    return `Of the recorded variants it is most like ${said(variants[0])}${next}.`;
  }

  function paragraph(rules, garment, found) {
    const sentences = [`Dated with ${rules.title}, version ${rules.knowledge_base}.`, ...boundsInWords(rules, found.hard)];
    if (found.contradiction) {
      sentences.push("What it shows cannot all be so; one of its parts may be replaced or misread.");
    } else if (["maker", "model", "line", "variant"].some((key) => garment[key])) {
      if (found.variants.length > 0) sentences.push(likeness(rules, found.variants));
      if (found.years) sentences.push(yearsInWords(found.years));
    } else {
      sentences.push("Its maker is not known, so no variant is named.");
    }
    if (found.unlike.fires) sentences.push("It is unlike anything recorded.");
    sentences.push(CAUTION);
    return sentences.join(" ");
  }

  return { answer, prepare, applies, percent, boundsInWords, spansInWords, yearsInWords, nameOf, CAUTION };
});
