// Lays rules.json out for answering, and turns readings into the probability of every variant in every year.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { Unreadable, worded, own, production, isBounded, order, prepareLandmark, prepareKey, asNumber, softFactors } =
    dating;
  const FEATURE_KINDS = ["state", "count", "measure", "number", "code"];
  // More than any calendar of garments needs, and few enough to be laid out.
  const MOST_YEARS = 10000;
  const SHRINKAGE = 0.1;
  const EQUAL_PROBABILITY = 1e-12;

  // The rules, laid out for answering.

  function expand(runs, step) {
    const values = [];
    for (let at = 0; at < runs.length; at += step) {
      const value = step === 2 ? runs[at + 1] : runs.slice(at + 1, at + step);
      if (!(values.length + runs[at] <= MOST_YEARS))
        throw new Unreadable("a table of the rules has more years than the rules");
      for (let count = 0; count < runs[at]; count += 1) values.push(value);
    }
    return values;
  }

  function prepare(rules) {
    const years = [];
    const { first, last } = rules.years;
    if (!Number.isInteger(first) || !Number.isInteger(last) || !(first <= last && last - first < MOST_YEARS))
      throw new Unreadable(`the rules are for the years from ${first} to ${last}`);
    for (let year = first; year <= last; year += 1) years.push(year);
    const features = new Map();
    for (const feature of rules.vocabulary.features) {
      if (FEATURE_KINDS.includes(feature.kind)) features.set(feature.id, feature);
    }
    const models = new Map(rules.models.map((model) => [model.id, { ...model, tables: new Map() }]));
    const prepared = { rules, years, features, models, variants: [], landmarks: [], keys: [] };
    prepared.variants = prepareVariants(prepared);
    prepared.landmarks = rules.landmarks
      .map((landmark) => prepareLandmark(landmark, features))
      .filter((landmark) => landmark !== null)
      .sort((one, other) => order(one.id, other.id));
    prepared.keys = (rules.keys || [])
      .map(prepareKey)
      .filter((key) => key !== null)
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

  function table(variant, feature) {
    const cells = own(variant.source.cells, feature);
    const holder = cells ? variant : variant.model;
    if (!holder.tables.has(feature)) {
      const runs = cells || own(variant.model.cells, feature);
      if (!runs) return null;
      holder.tables.set(
        feature,
        runs.map((column) => expand(column, 2)),
      );
    }
    return holder.tables.get(feature);
  }

  // Variants and years.

  function inQuestion(prepared, garment, readings) {
    const named = ["maker", "model", "line", "wearer", "variant"].filter((key) => garment[key]);
    if (named.length > 0) {
      return prepared.variants.filter((variant) =>
        named.every((key) => (key === "variant" ? variant.id : variant.source[key]) === garment[key]),
      );
    }
    const examined = [...readings.keys()].map((id) => prepared.features.get(id));
    return prepared.variants.filter(
      (variant) => variant.model.counted && examined.every((feature) => applies(feature, variant.model.garment)),
    );
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

  // The readings of the garment with a likelihood for every variant in question.
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
    const tables = own(model.measures, id) || [];
    return tables.find((one) =>
      Object.entries(one.where).every(([other, wanted]) => {
        const feature = prepared.features.get(other);
        return feature && stratum(feature, readings.get(other)) === wanted;
      }),
    );
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
    const runs = own(measure.variants, variant.id);
    if (!runs)
      return prepared.years.map(() => Math.log2(density(measure, measure.centre, measure.spread, reading.number)));
    return expand(runs, 3).map(([centre, spread]) => Math.log2(density(measure, centre, spread, reading.number)));
  }

  // `codes` is what the codes that are used multiply each year by, or null.
  function weigh(prepared, members, readings, bounded, codes) {
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
      const left = before[number].map((weight, at) => (codes ? weight * codes[at] : weight));
      return sums[number].map((sum, at) => prior * left[at] * Math.pow(2, temper * (sum - greatest)));
    });
    const total = joint.reduce((sum, one) => sum + add(one), 0);
    const shares = joint.map((one) => one.map((probability) => (total > 0 ? probability / total : 0)));
    const variants = shares.map(add);
    const ranked = members.map((_, number) => number);
    ranked.sort(
      (one, other) =>
        rounded(variants[other], EQUAL_PROBABILITY) - rounded(variants[one], EQUAL_PROBABILITY) || one - other,
    );
    return { used, temper, before, joint: shares, variants, order: ranked };
  }

  function add(values) {
    return values.reduce((sum, value) => sum + value, 0);
  }

  function rounded(value, step) {
    return Math.round(value / step);
  }

  Object.assign(dating, {
    prepare: worded(prepare),
    table,
    inQuestion,
    applies,
    logs,
    weigh,
    add,
    rounded,
    EQUAL_PROBABILITY,
  });
})(globalThis);
