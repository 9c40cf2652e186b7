// Turns the content of rules.json and what a garment shows into the answer of `bartack date --format json`.
//
// Classic scripts without any request, so that they work in a page opened from a folder; the same files run under Node,
// in the order of scripts.json. Only known fields are read, the rest is skipped; where the rules require more, the answer is
// that it cannot be told.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const {
    Unreadable,
    worded,
    own,
    order,
    isHard,
    fits,
    later,
    earlier,
    bound,
    statesOf,
    prepare,
    parseDay,
    table,
    inQuestion,
    codesOf,
    applies,
    logs,
    weigh,
    add,
    rounded,
    EQUAL_PROBABILITY,
    paragraph,
  } = dating;
  const UNDERSTOOD = [];
  const UNLIKE = 2.33;
  const VARIES = 1e-9;
  const EQUAL_SHARE = 1e-9;
  const REPLACEABLE = ["no", "sometimes", "often"];

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
    const ranked = years
      .map((_, at) => at)
      .sort(
        (one, other) =>
          rounded(probability[other], EQUAL_PROBABILITY) - rounded(probability[one], EQUAL_PROBABILITY) || one - other,
      );
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
      const averaged = table(member, reading.id).map(
        (cells) =>
          member.weights.reduce((sum, weight, at) => sum + weight * Math.pow(2, cells[at] / 20), 0) / member.total,
      );
      // Rounded cells do not total 1, and what they miss would pass for surprise.
      const total = add(averaged);
      const shares = averaged.map((share) => share / total);
      const mean = add(shares.map((share) => -share * Math.log2(share)));
      surprise += -Math.log2(shares[reading.column]) - mean;
      variance += add(shares.map((share) => share * Math.pow(-Math.log2(share) - mean, 2)));
    }
    const z = variance > VARIES ? surprise / Math.sqrt(variance) : null;
    return { z, fires: z !== null && z > UNLIKE };
  }

  // It takes the longest of all, so it rests after each feature.
  function* lookNext(prepared, members, readings, weighed) {
    const held = [];
    let share = 0;
    for (const number of weighed.order) {
      if (share >= 0.99 - EQUAL_PROBABILITY) break;
      share += weighed.variants[number];
      held.push(number);
    }
    if (share <= 0) return [];
    const open = [...prepared.features.values()].filter(
      (feature) =>
        (feature.kind === "state" || feature.kind === "count") &&
        !feature.defining &&
        !readings.has(feature.id) &&
        members.some((member) => applies(feature, member.model.garment)),
    );
    const all = [];
    for (const feature of open) {
      const tables = held.map((number) => [weighed.joint[number], table(members[number], feature.id)]);
      all.push({ feature, drop: entropyDrop(tables, weighed.temper, share) });
      yield;
    }
    const drops = all.filter(({ drop }) => drop > EQUAL_SHARE);
    drops.sort(
      (one, other) =>
        Number(one.feature.replaceable === "often") - Number(other.feature.replaceable === "often") ||
        rounded(other.drop, EQUAL_SHARE) - rounded(one.drop, EQUAL_SHARE) ||
        order(one.feature.id, other.feature.id),
    );
    return drops
      .slice(0, 3)
      .map(({ feature, drop }) => ({ feature: feature.id, entropy_drop: drop, look: feature.look }));
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
        previous.states.forEach((state, column) => {
          overall[column] = (overall[column] || 0) + probability * state;
        });
        known += probability * previous.bits;
      }
    }
    const unknown = add(overall.map((state) => (state > 0 ? state * Math.log2(state) : 0)));
    return Math.max(known - unknown, 0);
  }

  function wouldBound(prepared, members, readings, bounded, years, garment) {
    const left = bounded.left.filter(Boolean).length;
    const weights = years
      ? prepared.years.map((year) => (years.probability.find(([one]) => one === year) || [0, 0])[1])
      : bounded.left.map((isLeft) => (isLeft ? 1 / Math.max(left, 1) : 0));
    const inHand = garment.in_hand ? parseDay(garment.in_hand).year : Infinity;
    const marks = [];
    for (const landmark of prepared.landmarks.filter((one) => isHard(one, garment.market))) {
      const notBefore = later(bounded.notBefore, landmark.notBefore);
      const notAfter = earlier(bounded.notAfter, landmark.notAfter);
      const isLeft = prepared.years.map((year) => fits(year, notBefore, notAfter));
      const part = (wanted, last) =>
        add(weights.map((weight, at) => (isLeft[at] === wanted && prepared.years[at] <= last ? weight : 0)));
      // A mark that rules out none of the possible years, or all of them, gives no bound.
      if (part(false, inHand) <= EQUAL_SHARE || part(true, inHand) <= EQUAL_SHARE) continue;
      const ruledOut = part(false, Infinity);
      for (const { feature, state } of statesOf(landmark.condition)) {
        const known = prepared.features.get(feature);
        const isApplied =
          known && (members.length === 0 || members.some((member) => applies(known, member.model.garment)));
        if (isApplied && !readings.has(feature))
          marks.push({ feature, state, landmark: landmark.id, rules_out: ruledOut });
      }
    }
    marks.sort(
      (one, other) =>
        rounded(other.rules_out, EQUAL_SHARE) - rounded(one.rules_out, EQUAL_SHARE) ||
        order(one.feature, other.feature) ||
        order(one.state, other.state) ||
        order(one.landmark, other.landmark),
    );
    return marks.slice(0, 5);
  }

  function doubts(prepared, members, readings, garment) {
    const given = [...readings.keys()].sort(order);
    const singles = given.map((one) => [one]);
    const pairs = given.flatMap((one, at) => given.slice(at + 1).map((other) => [one, other]));
    for (const sets of [singles, pairs]) {
      const found = sets.map((set) => without(prepared, members, readings, garment, set)).filter(Boolean);
      if (found.length > 0) return found.sort((one, other) => compareDoubts(prepared, one, other));
    }
    return [];
  }

  function without(prepared, members, readings, garment, set) {
    const rest = new Map([...readings].filter(([id]) => !set.includes(id)));
    const bounded = bound(prepared, rest, garment.market);
    if (bounded.contradiction) return null;
    const { factors } = codesOf(prepared, garment, rest);
    const { variants, years } = told(prepared, members, bounded, weigh(prepared, members, rest, bounded, factors));
    return { features: set, hard: bounded.hard, variants, years };
  }

  function compareDoubts(prepared, one, other) {
    const count = (doubt, wanted) =>
      doubt.features.filter((id) => prepared.features.get(id).replaceable === REPLACEABLE[wanted]).length;
    return (
      count(one, 0) - count(other, 0) ||
      count(one, 1) - count(other, 1) ||
      order(one.features[0], other.features[0]) ||
      order(one.features[1] || "", other.features[1] || "")
    );
  }

  // The garment with the ids of now for the earlier ids of its maker, model, variant, or the maker of its line.
  function renamed(rules, garment) {
    const aliases = rules.ids && rules.ids.aliases;
    const current = (id) => own(aliases, id) || id;
    const known = {};
    for (const key of ["maker", "model", "variant"]) {
      if (garment[key]) known[key] = current(garment[key]);
    }
    if (garment.line) known.line = String(garment.line).replace(/^[^/]+/, current);
    return { ...garment, ...known };
  }

  // Answers for one garment: { maker, model, line, wearer, variant, market, in_hand, id, features: { feature: text or
  // number } }, in_hand being a day on which it was there, as 2026-11-28.
  function answer(rules, asked) {
    const { found, look } = inParts(rules, asked);
    if (found.cannot_tell) return found;
    for (found.look_next = null; found.look_next === null;) found.look_next = look();
    return found;
  }

  // The answer without its advice on where to look next, and a function that works a part of this out at each call: it
  // gives null until the last.
  function inParts(rules, asked) {
    const prepared = rules.rules ? rules : prepare(rules);
    const id = asked.id === undefined ? null : asked.id;
    const missing = (prepared.rules.requires || []).filter((word) => !UNDERSTOOD.includes(word));
    if (missing.length > 0)
      return { found: { format: "bartack-date", version: 1, id, cannot_tell: missing }, look: () => [] };
    const garment = renamed(prepared.rules, asked);
    const given = Object.entries(garment.features || {});
    const readings = new Map(given.filter(([feature]) => prepared.features.has(feature)));
    const ignored = given
      .map(([feature]) => feature)
      .filter((feature) => !readings.has(feature))
      .sort(order);
    const members = inQuestion(prepared, garment, readings);
    const bounded = bound(prepared, readings, garment.market);
    const codes = codesOf(prepared, garment, readings);
    const weighed = weigh(prepared, members, readings, bounded, codes.factors);
    const { variants, years } = told(prepared, members, bounded, weighed);
    const isTold = variants.length > 0;
    const found = {
      format: "bartack-date",
      version: 1,
      id,
      knowledge_base: prepared.rules.knowledge_base,
      hard: bounded.hard,
      contradiction: bounded.contradiction,
      temper: weighed.temper,
      variants,
      years,
      features: isTold ? weighedFeatures(prepared, members, weighed) : [],
      keys: codes.keys,
      look_next: [],
      would_bound:
        bounded.contradiction || bounded.outside
          ? []
          : wouldBound(prepared, members, readings, bounded, years, garment),
      unlike: isTold ? unlike(members, weighed) : { z: null, fires: false },
      doubt: bounded.contradiction ? doubts(prepared, members, readings, garment) : [],
      ignored,
    };
    checked(found);
    found.paragraph = paragraph(prepared.rules, garment, found);

    function* looking() {
      if (!isTold) return [];
      // The advice on what to look at next leaves out the codes.
      const unread = codes.factors ? weigh(prepared, members, readings, bounded, null) : weighed;
      return yield* lookNext(prepared, members, readings, unread);
    }

    const steps = looking();
    const look = () => {
      const { done, value } = steps.next();
      return done ? checked(value) : null;
    };
    return { found, look: worded(look) };
  }

  function checked(found) {
    if (!areNumbers(found)) throw new Unreadable("the rules hold numbers from which no probability follows");
    return found;
  }

  // Says whether every number of an answer is one, and every probability lies between 0 and 1.
  function areNumbers(found, key) {
    if (typeof found === "number")
      return Number.isFinite(found) && (key !== "probability" || (found >= 0 && found <= 1 + EQUAL_SHARE));
    return (
      found === null ||
      typeof found !== "object" ||
      Object.entries(found).every(([inner, one]) => areNumbers(one, inner))
    );
  }

  Object.assign(dating, { answer: worded(answer), inParts: worded(inParts) });
})(globalThis);
