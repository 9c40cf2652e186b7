// Finds names and years in the index that `search.js` holds. Needs no page, so that Node can hold it to its word.
//
// A word finds what begins with it; where nothing does, what is one edit away (four letters or more) or two (eight or
// more), an edit being a letter added, left out, changed, or swapped with its neighbour. Four digits are also a year;
// "1960s", "60s" and "sixties" are a decade, of the twentieth century where no century is written.
(function (root) {
  "use strict";

  const SHOWN = 12;
  const DECADES = ["twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"];
  /** The years of a decade that "early", "mid" and "late" stand for, as where dates in words are read. */
  const PARTS = { early: [0, 3], mid: [3, 7], middle: [3, 7], late: [6, 9] };
  const VARIANT = 3,
    EXACT = 4,
    BEGINS = 3,
    HOLDS = 2,
    MISSPELT = 1;

  function fold(text) {
    return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase().replace(/['’]/g, "");
  }

  function split(text) {
    return fold(text)
      .split(/[^\p{Alphabetic}\p{N}]+/u)
      .filter((word) => word !== "");
  }

  // Folded words are in the order of code units again, and those that fold to one word stand beside each other.
  function prepare(data) {
    const places = data.words.map((_, place) => place);
    const words = data.words.map(fold);
    if (!words.every((word, place) => place === 0 || words[place - 1] <= word)) {
      places.sort((one, other) => (words[one] < words[other] ? -1 : words[one] > words[other] ? 1 : one - other));
    }
    return { data, words: places.map((place) => words[place]), posts: places.map((place) => data.posts[place]) };
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

  /** The years that a word names, `[first, last]`, or null. */
  function spanOf(word) {
    if (/^[12][0-9]{3}$/.test(word)) return [Number(word), Number(word)];
    const named = DECADES.indexOf(word),
      written = /^(1[0-9]|20|)([0-9])0s$/.exec(word);
    if (named < 0 && !written) return null;
    const first = named >= 0 ? 1920 + 10 * named : Number(`${written[1] || "19"}${written[2]}0`);
    return [first, first + 9];
  }

  // "late", "sixties" are one word of time, and name fewer years.
  function asked(text) {
    const words = [...new Set(split(text))].slice(0, 8),
      found = [];
    for (const word of words) {
      const part = PARTS[found.at(-1)?.word],
        span = spanOf(word);
      if (part && span && span[0] < span[1]) found.pop();
      found.push({ word, span: part && span ? [span[0] + part[0], span[0] + part[1]] : span });
    }
    return found;
  }

  function years(index, span, hits) {
    const { from, to } = index.data;
    for (let at = 0; at < from.length; at++) {
      if (from[at] !== 0 && from[at] <= span[1] && span[0] <= to[at]) hits[at] = Math.max(hits[at], HOLDS);
    }
    index.work += from.length;
  }

  function hitsOf(index, { word, span }) {
    const { words, data } = index,
      hits = new Uint8Array(data.sort.length);
    const start = startOf(words, word),
      end = endOf(words, word, start);
    if (span) years(index, span, hits);
    grade(index, [start, end], hits, BEGINS);
    let same = start;
    while (same < end && words[same] === word) same++;
    grade(index, [start, same], hits, EXACT);
    const letters = [...word].length,
      edits = letters >= 8 ? 2 : letters >= 4 ? 1 : 0;
    if (start === end && edits > 0 && !span && !/[0-9]/.test(word)) {
      misspelt(index, word, edits, (range) => grade(index, range, hits, MISSPELT));
    }
    return hits;
  }

  // What belongs to something is found by its words too: variants and what they belong to always, so that a model's
  // name lists its variants after it; all else, such as garments, only if at least one word is its own.
  function scores(index, words) {
    const up = index.data.up,
      total = new Float64Array(up.length),
      own = new Uint8Array(up.length);
    words.forEach((word) => {
      const hits = hitsOf(index, word),
        reach = new Uint8Array(up.length);
      for (let at = 0; at < up.length; at++) {
        reach[at] = hits[at] || (up[at] ? reach[at - up[at]] : 0);
        if (hits[at]) own[at] = 1;
        total[at] = reach[at] && total[at] >= 0 ? total[at] + reach[at] + (hits[at] ? 4 : 0) : -1;
      }
      index.work += up.length;
    });
    return total.map((score, at) => (own[at] || index.data.sort[at] <= VARIANT ? score : -1));
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

  function find(index, text) {
    const words = asked(text);
    index.work = 0;
    if (words.length === 0) return { count: 0, found: [], work: 0 };
    const score = scores(index, words),
      best = [];
    let count = 0;
    for (let at = 0; at < score.length; at++) {
      if (score[at] <= 0) continue;
      count++;
      let place = best.length;
      while (place > 0 && before(index, score, at, best[place - 1]) < 0) place--;
      if (place < SHOWN) best.splice(place, 0, at);
      if (best.length > SHOWN) best.pop();
    }
    return { count, found: best.map((at) => shown(index.data, at)), work: index.work };
  }

  root.bartackFind = { prepare, find };
})(globalThis);
