// Finds names and years in the index that `search.js` holds. Needs no page, so that Node can hold it to its word.
//
// A word finds what begins with it; where nothing does, what is one edit away (four letters or more) or two (eight or
// more), an edit being a letter added, left out, changed, or swapped with its neighbour. `search-terms.js` reads years,
// counts and small words; `search-pairs.js` finds where two names are compared.
(function (root) {
  "use strict";

  const SHOWN = 12;
  const LINE = 1,
    VARIANT = 3,
    EXACT = 4,
    BEGINS = 3,
    HOLDS = 2,
    MISSPELT = 1;
  /** What is not asked for counts so much less that it only decides between equals. */
  const LITTLE = 64;
  const { fold, terms: read } = root.bartackTerms;

  // Folded words are sorted by code units again, so that words that fold to the same one are
  // neighbours.
  function prepare(data) {
    const places = data.words.map((_, place) => place);
    const words = data.words.map(fold);
    if (!words.every((word, place) => place === 0 || words[place - 1] <= word)) {
      places.sort((one, other) => (words[one] < words[other] ? -1 : words[one] > words[other] ? 1 : one - other));
    }
    const comparable = data.sort.flatMap((sort, at) => (sort >= LINE && sort <= VARIANT ? at : []));
    const inOrder = (/** @type {any[]} */ list) => places.map((place) => list[place]);
    return { data, comparable, words: inOrder(words), posts: inOrder(data.posts) };
  }

  // The first place in words[from..] whose word does not begin with the prefix; those before do or come before it.
  function endOf(words, prefix, from) {
    let low = from,
      high = words.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (words[middle].slice(0, prefix.length) <= prefix) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  function startOf(words, prefix) {
    let low = 0,
      high = words.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (words[middle] < prefix) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  function grade(index, range, hits, value) {
    for (let place = range[0]; place < range[1]; place++) {
      let at = 0;
      for (const step of index.posts[place]) {
        at += step;
        if (hits[at] < value) hits[at] = value;
        index.work++;
      }
    }
  }

  // Words in order share the rows of what they have in common, and no word is read further than a match can lie.
  function misspelt(index, query, edits, take) {
    const words = index.words,
      length = query.length,
      rows = [Array.from({ length: length + 1 }, (_, at) => at)];
    let place = 0,
      known = "";
    while (place < words.length) {
      const word = words[place];
      let depth = 0;
      while (depth < known.length && known[depth] === word[depth]) depth++;
      let skip = null;
      while (depth < word.length && skip === null) {
        const row = nextRow(rows, depth, word, query);
        depth++;
        index.work++;
        if (row[length] <= edits || Math.min(...row) > edits) skip = word.slice(0, depth);
        if (row[length] <= edits) take([place, endOf(words, skip, place)]);
      }
      known = word.slice(0, depth);
      place = skip === null ? place + 1 : endOf(words, skip, place);
    }
  }

  // Optimal string alignment: Levenshtein's distance with neighbours that change places.
  function nextRow(rows, depth, word, query) {
    const above = rows[depth],
      row = [depth + 1];
    for (let at = 1; at <= query.length; at++) {
      const same = word[depth] === query[at - 1] ? 0 : 1;
      let least = Math.min(above[at] + 1, row[at - 1] + 1, above[at - 1] + same);
      if (depth > 0 && at > 1 && word[depth] === query[at - 2] && word[depth - 1] === query[at - 1]) {
        least = Math.min(least, rows[depth - 1][at - 2] + 1);
      }
      row.push(least);
    }
    rows[depth + 1] = row;
    return row;
  }

  function years(index, span, hits) {
    const { from, to } = index.data;
    for (let at = 0; at < from.length; at++) {
      if (from[at] !== 0 && from[at] <= span[1] && span[0] <= to[at]) hits[at] = Math.max(hits[at], HOLDS);
    }
    index.work += from.length;
  }

  function hitsOfWord(index, word, isMeant) {
    const { words, data } = index,
      hits = new Uint8Array(data.sort.length);
    const start = startOf(words, word),
      end = endOf(words, word, start);
    grade(index, [start, end], hits, BEGINS);
    let same = start;
    while (same < end && words[same] === word) same++;
    grade(index, [start, same], hits, EXACT);
    const letters = [...word].length,
      edits = letters >= 8 ? 2 : letters >= 4 ? 1 : 0;
    if (start === end && edits > 0 && !isMeant && !/[0-9]/.test(word)) {
      misspelt(index, word, edits, (range) => grade(index, range, hits, MISSPELT));
    }
    return hits;
  }

  // The things with every word of a term, a word it may also mean, or years that overlap its years.
  function hitsOf(index, { words, others, span }) {
    const isMeant = span !== null || others.some((other) => index.words[startOf(index.words, other)] === other);
    const [hits = new Uint8Array(index.data.sort.length), ...rest] = words.map((word) =>
      hitsOfWord(index, word, isMeant),
    );
    for (const other of rest) hits.forEach((value, at) => (hits[at] = Math.min(value, other[at])));
    for (const other of others) {
      const start = startOf(index.words, other);
      if (index.words[start] === other) grade(index, [start, start + 1], hits, EXACT);
    }
    if (span) years(index, span, hits);
    return hits;
  }

  // How well each term is met by each thing, itself or by what it belongs to, and which terms are its own.
  function reaches(index, terms) {
    const up = index.data.up,
      own = new Uint8Array(up.length);
    const reach = terms.map((term, place) => {
      const hits = hitsOf(index, term),
        reach = new Uint8Array(up.length);
      for (let at = 0; at < up.length; at++) {
        reach[at] = hits[at] ? hits[at] + 4 : up[at] ? inherited(reach[at - up[at]]) : 0;
        if (hits[at]) own[at] |= 1 << place;
      }
      index.work += up.length;
      return reach;
    });
    return { reach, own };
  }

  /** A hit of its own counts 4 more than what is handed down. */
  function inherited(reach) {
    return reach > 4 ? reach - 4 : reach;
  }

  // What belongs to something is found by its words too: variants and what they belong to always, so that a model's
  // name lists its variants after it; all else, such as garments, only if at least one word is its own. What meets most
  // of the terms that are wanted is left.
  function scores(index, wanted, { reach, own }) {
    const score = new Float64Array(own.length),
      met = new Uint8Array(own.length);
    for (let at = 0; at < own.length; at++) {
      if (!(own[at] & wanted) && index.data.sort[at] > VARIANT) continue;
      reach.forEach((each, place) => {
        if (!each[at]) return;
        const isWanted = wanted & (1 << place);
        met[at] += isWanted ? 1 : 0;
        score[at] += isWanted ? each[at] : each[at] / LITTLE;
      });
    }
    index.work += own.length;
    const most = met.reduce((most, one) => Math.max(most, one), 0);
    return { score: score.map((one, at) => (most > 0 && met[at] === most ? one : -1)), most };
  }

  // Small words ("of", "and") raise what has them a little, and are asked of nothing. Where nothing meets all other terms, names
  // count and years do not: many things have the same years.
  function scored(index, terms, reached) {
    const bits = (is) => terms.reduce((all, term, place) => (is(term) ? all | (1 << place) : all), 0),
      large = bits((term) => !term.isSmall) || bits(() => true),
      names = bits((term) => !term.isSmall && term.span === null),
      all = terms.filter((_, place) => large & (1 << place)).length;
    const whole = scores(index, large, reached);
    if (whole.most === all) return { score: whole.score, isAll: true, missing: [] };
    const named = scores(index, names, reached);
    const missing = terms.filter((_, place) => large & (1 << place) && !reached.reach[place].some(Boolean));
    return { ...(named.most > 0 ? named : whole), isAll: false, missing: missing.map((term) => term.text) };
  }

  // Higher scores first, then the order of sorts, then the narrower years, then the order of the index.
  function before(index, score, one, other) {
    const { sort, from, to } = index.data;
    return (
      score[other] - score[one] ||
      sort[one] - sort[other] ||
      to[one] - from[one] - (to[other] - from[other]) ||
      one - other
    );
  }

  function path(data, at) {
    const own = data.paths[at];
    if (own !== "" && own[0] !== "/") return own;
    const parent = path(data, at - data.up[at]);
    return own === "" ? parent : parent.replace(/\.html$/, "") + own + ".html";
  }

  // A number is the place of another of the same name.
  function name(data, at) {
    const own = data.names[at];
    if (typeof own === "number") return name(data, own);
    return (
      own ||
      path(data, at)
        .replace(/^.*\/|\.html$/g, "")
        .replace(/-/g, " ")
    );
  }

  function shown(data, at) {
    const within = [];
    for (let up = at; data.up[up];) {
      up -= data.up[up];
      within.push(name(data, up));
    }
    const span = data.from[at] ? [data.from[at], data.to[at]] : null;
    return {
      name: name(data, at),
      sort: data.sorts[data.sort[at]],
      within: within.join(", "),
      path: path(data, at),
      span,
    };
  }

  /** The best of what has a score, in order, and how many have one. */
  function best(index, score) {
    const best = [];
    let count = 0;
    for (let at = 0; at < score.length; at++) {
      if (score[at] <= 0) continue;
      count++;
      let place = best.length;
      while (place > 0 && before(index, score, at, best[place - 1]) < 0) place--;
      if (place < SHOWN) best.splice(place, 0, at);
      if (best.length > SHOWN) best.pop();
    }
    return { count, best };
  }

  /** What is found: `isAll` is false where nothing meets all that was asked; `missing` is what nothing meets at all. */
  function find(index, text) {
    const terms = read(text);
    index.work = 0;
    if (terms.length === 0) return { count: 0, found: [], isAll: true, missing: [], work: 0 };
    const reached = reaches(index, terms),
      { score, isAll, missing } = scored(index, terms, reached);
    const { count, best: places } = best(index, score),
      things = places.map((at) => shown(index.data, at));
    const pairs = root.bartackPairs(index, terms, reached, { isAll, show: (at) => shown(index.data, at) });
    if (pairs.length === 0) return { count, found: things, isAll, missing, work: index.work };
    // Pages that compare the two come first, those of lines and wearers before those of variants.
    const others = isAll ? things : [],
      compared = others.filter((one) => one.sort === "comparison"),
      found = [...compared, ...pairs, ...others.filter((one) => one.sort !== "comparison")];
    const all = pairs.length + (isAll ? count : 0);
    return { count: all, found: found.slice(0, SHOWN), isAll: true, missing: [], work: index.work };
  }

  root.bartackFind = { prepare, find };
})(globalThis);
