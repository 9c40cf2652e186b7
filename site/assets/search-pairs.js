// Where two names are compared: "standing gate and underlode" leads to the pages of variants that bear them, and two
// that have no page of their own lead to the page that puts any two side by side.
(function (root) {
  "use strict";

  const LISTED = 6;
  const ALL_PAIRS = 12;
  const VARIANT = 3;

  /** The bits of the terms on each side of a place, small words left out. */
  function sides(terms, at, from) {
    const bits = (low, high) =>
      terms.reduce((all, term, place) => (place >= low && place < high && !term.isSmall ? all | (1 << place) : all), 0);
    return { left: bits(0, at), right: bits(from, terms.length) };
  }

  // A word that divides says where; without one, every place between two words is tried.
  function divisions(terms) {
    const marked = terms.findIndex((term) => term.divides);
    const places =
      marked >= 0 ? [sides(terms, marked, marked + 1)] : terms.slice(1).map((_, at) => sides(terms, at + 1, at + 1));
    return { isMarked: marked >= 0, divided: places.filter(({ left, right }) => left !== 0 && right !== 0) };
  }

  function has(bits, reach, at) {
    return reach.every((each, place) => !(bits & (1 << place)) || each[at] > 0);
  }

  function score(bits, reach, at) {
    return reach.reduce((sum, each, place) => (bits & (1 << place) ? sum + each[at] : sum), 0);
  }

  /** The bits of the terms that are words of a name and not years. */
  function inNames(bits, terms) {
    return terms.reduce((all, term, place) => (term.span === null ? all : all & ~(1 << place)), bits);
  }

  /** The variants of each model that have the terms of a side, at least one in their own name. */
  function variants(index, bits, { reach, own, terms }) {
    const { sort, up } = index.data,
      names = inNames(bits, terms),
      found = new Map();
    index.work += index.comparable.length;
    for (const at of index.comparable) {
      if (sort[at] !== VARIANT || !(own[at] & names) || !has(bits, reach, at)) continue;
      const model = at - up[at];
      found.set(model, [...(found.get(model) || []), { at, score: score(bits, reach, at) }]);
    }
    return found;
  }

  // Every two variants of a model have a page where it has at most twelve (`ALL_PAIRS` of src/comparison/pairs.rs); of
  // more, neighbours in time alone have one, so all are put side by side.
  function haveAPage(index, model) {
    const { sort, up } = index.data;
    return index.comparable.filter((at) => sort[at] === VARIANT && at - up[at] === model).length <= ALL_PAIRS;
  }

  function pathOf(one, other) {
    const ids = [one, other].map((path) => path.replace(/^makers\/|\.html$/g, ""));
    const [a, b] = ids[0] < ids[1] ? ids : [ids[1], ids[0]];
    return `compare/${a}.${b.replace(/^.*\//, "")}.html`;
  }

  function pair(one, other, rest) {
    return { name: `${one.name} and ${other.name}`, span: null, ...rest };
  }

  function inOneModel(index, { left, right }, reached, show) {
    const lefts = variants(index, left, reached),
      rights = variants(index, right, reached),
      found = new Map();
    for (const [model, ones] of lefts) {
      if (!haveAPage(index, model)) continue;
      // A pair of two long lists is not a pair of names.
      for (const one of ones.slice(0, 2 * LISTED)) {
        for (const other of (rights.get(model) || []).slice(0, 2 * LISTED)) {
          index.work++;
          if (one.at === other.at) continue;
          const key = [one.at, other.at].sort((a, b) => a - b).join();
          const score = one.score + other.score;
          if (!found.has(key) || found.get(key).score < score) found.set(key, { one, other, score });
        }
      }
    }
    const best = [...found.values()].sort((a, b) => b.score - a.score).slice(0, LISTED);
    return best.map(({ one, other }) => {
      const [a, b] = [show(one.at), show(other.at)];
      return pair(a, b, { sort: "comparison", within: a.within, path: pathOf(a.path, b.path) });
    });
  }

  function idOf(path) {
    return path.replace(/^lines\/([^/]*)\//, "$1/line:").replace(/^makers\/|\.html$/g, "");
  }

  /** The line, model or variant that a side names best. */
  function named(index, bits, { reach, own, terms }) {
    const { sort } = index.data,
      names = inNames(bits, terms);
    let best = null;
    for (const at of index.comparable) {
      if (!(own[at] & names) || !has(bits, reach, at)) continue;
      const worth = score(bits, reach, at);
      if (best === null || worth > best.worth || (worth === best.worth && sort[at] < sort[best.at]))
        best = { at, worth };
    }
    index.work += index.comparable.length;
    return best && best.at;
  }

  function sideBySide(index, { left, right }, reached, show) {
    const [one, other] = [named(index, left, reached), named(index, right, reached)];
    if (one === null || other === null || one === other) return [];
    const [a, b] = [show(one), show(other)];
    const path = "compare.html#" + [a, b].map(({ path }) => `thing=${encodeURIComponent(idOf(path))}`).join("&");
    const within = [a, b].map((one) => one.within).filter(Boolean);
    return [pair(a, b, { sort: "side by side", within: [...new Set(within)].join("; "), path })];
  }

  /**
   * Pages that compare two names that were typed: none where no two are named, and none where something has all words
   * and no word divides them.
   */
  function pairs(index, terms, { reach, own }, { isAll, show }) {
    const reached = { reach, own, terms };
    const { isMarked, divided } = divisions(terms);
    if (isAll && !isMarked) return [];
    const found = divided.flatMap((sides) => inOneModel(index, sides, reached, show)).slice(0, LISTED);
    if (found.length > 0 || !isMarked) return found;
    return divided.flatMap((sides) => sideBySide(index, sides, reached, show));
  }

  root.bartackPairs = pairs;
})(globalThis);
