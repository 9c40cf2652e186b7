// The drawing beside a question: where to look on a garment, and how the state that was tapped looks.
//
// Reads window.bartackDrawings (drawings.js): for each sort of garment the texts of its drawings, found harmless by the build.
// The page "Drawings" of the guide describes the marks.
(function () {
  "use strict";

  const { own } = window.bartackElements;
  const dating = window.bartackDating;
  const texts = window.bartackDrawings || {};
  const parser = new DOMParser();
  const read = new Map();
  // Room around what is shown, in the drawing's own units (the built-in ones are 200 wide), and the least that is shown.
  const MARGIN = 5;
  const LEAST = 60;
  const REACH = 30;
  // A lens is a circle of cloth at least so large; words stand below it, wider than it (src/figure/lens.rs).
  const LENS = 25;
  const AROUND_LENS = { beside: 16, above: 2, below: 12 };

  // The drawings of a sort, each with its marks by feature.
  function drawings(sort) {
    if (!read.has(sort))
      read.set(
        sort,
        (own(texts, sort) || []).map((text) => marked(parser.parseFromString(text, "image/svg+xml").documentElement)),
      );
    return read.get(sort);
  }

  function marked(root) {
    const marks = new Map();
    for (const mark of root.querySelectorAll("[data-feature]")) {
      const id = mark.dataset.feature;
      if (!marks.has(id)) marks.set(id, []);
      marks.get(id).push(mark);
    }
    return { root, marks, name: root.querySelector("title").textContent };
  }

  const chosen = new Map();

  // The drawing with most marks of a feature: of its sort of garment, of any garment, else of another sort that has it.
  function best(feature, sort) {
    const key = `${feature} ${sort || ""}`;
    if (!chosen.has(key)) {
      const sorts = sort ? [sort, "any"] : ["any", ...Object.keys(texts)];
      const count = (drawing) => (drawing.marks.get(feature) || []).length;
      const most = sorts
        .flatMap(drawings)
        .reduce((most, one) => (!most || count(one) > count(most) ? one : most), null);
      chosen.set(key, most && count(most) > 0 ? most : null);
    }
    return chosen.get(key);
  }

  const { features } = /** @type {any} */ (window.bartackRules || { vocabulary: { features: [] } }).vocabulary;
  const measured = new Set(features.filter(({ kind }) => kind === "measure").map(({ id }) => id));

  function isMeasured(feature) {
    return measured.has(feature);
  }

  function isShown(mark, value, all) {
    const { state, nth } = mark.dataset;
    if (state === undefined && nth === undefined) return value === undefined || !isTold(value, all);
    if (value === undefined) return false;
    if (state !== undefined && !state.split(/\s+/).includes(value)) return false;
    return nth === undefined || Number(value) >= Number(nth);
  }

  function isTold(value, all) {
    return (
      value === "absent" ||
      all.some((mark) => mark.dataset.nth !== undefined || (mark.dataset.state || "").split(/\s+/).includes(value))
    );
  }

  /**
   * The box of a mark in the units of its drawing, whatever moves or turns it; null where it has none.
   * @typedef {{ left: number, top: number, right: number, bottom: number }} Box
   * @returns {Box | null}
   */
  function boxOf(copy, mark) {
    const box = mark.getBBox();
    if (box.width + box.height === 0) return null;
    const matrix = copy.getScreenCTM().inverse().multiply(mark.getScreenCTM());
    const points = [box.x, box.x + box.width].flatMap((x) =>
      [box.y, box.y + box.height].map((y) => new DOMPoint(x, y).matrixTransform(matrix)),
    );
    const [across, down] = [points.map((point) => point.x), points.map((point) => point.y)];
    return {
      left: Math.min(...across),
      top: Math.min(...down),
      right: Math.max(...across),
      bottom: Math.max(...down),
    };
  }

  /** @param {Box[]} boxes @returns {Box} */
  function hull(boxes) {
    return {
      left: Math.min(...boxes.map((box) => box.left)),
      top: Math.min(...boxes.map((box) => box.top)),
      right: Math.max(...boxes.map((box) => box.right)),
      bottom: Math.max(...boxes.map((box) => box.bottom)),
    };
  }

  /** @param {Box} one @param {Box} other */
  function touches(one, other) {
    return one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
  }

  /** @param {Box} box @param {number} beside @returns {Box} */
  function grown(box, beside, above = beside, below = beside) {
    return {
      left: box.left - beside,
      top: box.top - above,
      right: box.right + beside,
      bottom: box.bottom + below,
    };
  }

  // The pieces of cloth of a drawing with room around them, those that touch joined: a whole garment, a label, a lens
  // with its words.
  function pieces(copy) {
    const shapes = [...copy.querySelectorAll(":is(.cloth, .cloth *):is(path, circle, ellipse, rect)")].filter(
      (shape) => !shape.closest("defs, clipPath"),
    );
    /** @type {{ box: Box, isLens: boolean }[]} */
    const joined = [];
    for (const shape of shapes) {
      const box = boxOf(copy, shape);
      if (!box) continue;
      let one = { box, isLens: shape.matches("circle") && box.right - box.left >= 2 * LENS };
      for (let at = joined.length - 1; at >= 0; at -= 1) {
        if (!touches(joined[at].box, one.box)) continue;
        one = { box: hull([one.box, joined[at].box]), isLens: one.isLens || joined[at].isLens };
        joined.splice(at, 1);
      }
      joined.push(one);
    }
    const { beside, above, below } = AROUND_LENS;
    return joined.map(({ box, isLens }) => (isLens ? grown(box, beside, above, below) : grown(box, MARGIN)));
  }

  // The piece that a mark is on: the one that holds its middle, else the nearest within reach, such as that of an arrow.
  function pieceOf(mark, all) {
    const [x, y] = [(mark.left + mark.right) / 2, (mark.top + mark.bottom) / 2];
    const away = (piece) =>
      Math.hypot(Math.max(piece.left - x, x - piece.right, 0), Math.max(piece.top - y, y - piece.bottom, 0));
    const nearest = all.reduce((best, piece) => (!best || away(piece) < away(best) ? piece : best), null);
    return nearest && away(nearest) <= REACH ? nearest : null;
  }

  // A mark and its piece; of a mark that a lens clips, the lens alone is seen.
  function withPiece(copy, mark, cloth) {
    const box = boxOf(copy, mark);
    if (!box) return [];
    const piece = pieceOf(box, cloth);
    if (!piece) return [grown(box, MARGIN)];
    return mark.closest("[clip-path]") ? [piece] : [box, piece];
  }

  // The part of the drawing with the marks of a feature and the whole of the cloth they are on, so
  // that nothing looks cut off; a drawing must be on the page to be measured.
  function around(copy, feature) {
    const [left, top, wide, high] = copy
      .getAttribute("viewBox")
      .split(/[\s,]+/)
      .map(Number);
    const cloth = pieces(copy);
    const parts = [...copy.querySelectorAll("[data-feature]")]
      .filter((mark) => mark.dataset.feature === feature)
      .flatMap((mark) => withPiece(copy, mark, cloth));
    if (parts.length === 0) return [left, top, wide, high];
    const all = hull(parts);
    const side = (from, to, low, long) => {
      const begin = Math.max(from, low);
      const length = Math.min(Math.max(Math.min(to, low + long) - begin, LEAST), long);
      return [Math.min(begin, low + long - length), length];
    };
    const [x, width] = side(all.left, all.right, left, wide);
    const [y, height] = side(all.top, all.bottom, top, high);
    return [x, y, width, height].map((one) => Math.round(one * 10) / 10);
  }

  // Copies of one drawing on a page keep their ids apart.
  let copies = 0;

  function scope(copy) {
    copies += 1;
    const own = (id) => `drawn-${copies}-${id}`;
    for (const part of copy.querySelectorAll("*")) {
      for (const { name, value } of [...part.attributes]) {
        if (name === "id") part.setAttribute(name, own(value));
        else if (name === "href" && value.startsWith("#")) part.setAttribute(name, "#" + own(value.slice(1)));
        else if (value.includes("url(#"))
          part.setAttribute(
            name,
            value.replace(/url\(#([^)]*)\)/g, (_, id) => `url(#${own(id)})`),
          );
      }
    }
  }

  const views = new Map();

  function view(drawing, feature) {
    const key = `${feature} ${drawing.name}`;
    if (!views.has(key)) {
      const copy = drawing.root.cloneNode(true);
      copy.setAttribute("class", "measured");
      document.body.append(copy);
      views.set(key, around(copy, feature).join(" "));
      copy.remove();
    }
    return views.get(key);
  }

  // The drawing of one feature on a garment of a sort, with its reading and those of other
  // features: a Map of values. Returns the description as a text and the function that makes it;
  // null if no drawing has the feature.
  function figure(feature, sort, seen) {
    const drawing = best(feature.id, sort);
    if (!drawing) return null;
    const shows = [drawing.name, ...[...drawing.marks.keys()].map((id) => `${id}=${seen.get(id)}`)].join(" ");
    const value = seen.get(feature.id);
    const drawn = value === undefined ? "" : `, ${feature.name.toLowerCase()}: ${dating.reading(feature, value)}`;
    return { shows, caption: drawing.name + drawn, make: () => filled(drawing, feature, seen) };
  }

  function filled(drawing, feature, seen) {
    const copy = drawing.root.cloneNode(true);
    for (const mark of copy.querySelectorAll("[data-feature]")) {
      const id = mark.dataset.feature;
      const value = seen.get(id);
      // The arrows of another measure would lie half outside the part that is shown.
      const isOther = id !== feature.id && isMeasured(id);
      if (isOther || !isShown(mark, value, drawing.marks.get(id))) mark.remove();
      else if (id === feature.id) mark.classList.add("meant");
      else if (value === undefined) mark.classList.add("unexamined");
    }
    copy.querySelector("title").remove();
    scope(copy);
    copy.setAttribute("viewBox", view(drawing, feature.id));
    copy.setAttribute("class", "figure");
    copy.setAttribute("role", "img");
    const value = seen.get(feature.id);
    copy.setAttribute(
      "aria-label",
      value === undefined
        ? `${drawing.name}: where to look for ${feature.name}`
        : `${drawing.name}: drawn with ${feature.name}, ${dating.reading(feature, value)}`,
    );
    return copy;
  }

  // The drawings of a sort of garment, and of parts that any has, that show something of what was seen.
  function whole(sort, seen) {
    const shows = ({ marks }) => [...marks.keys()].some((id) => seen.has(id));
    const sorts = sort ? [sort, "any"] : ["any"];
    return sorts
      .flatMap(drawings)
      .filter(shows)
      .map((drawing) => ({ drawing: asSeen(drawing, seen), caption: drawing.name }));
  }

  function asSeen(drawing, seen) {
    const copy = drawing.root.cloneNode(true);
    for (const mark of copy.querySelectorAll("[data-feature]")) {
      const id = mark.dataset.feature;
      const value = seen.get(id);
      if (!isShown(mark, value, drawing.marks.get(id))) mark.remove();
      else if (value === undefined) mark.classList.add("unexamined");
    }
    scope(copy);
    copy.setAttribute("class", "figure");
    return copy;
  }

  // The front of a sort of garment with nothing examined, for choosing among sorts. Null if there
  // is no drawing of it.
  function front(sort) {
    const all = drawings(sort);
    const drawing = all.find((one) => /^front\b/i.test(one.name)) || all[0];
    if (!drawing) return null;
    return { shows: drawing.name, make: () => bare(drawing) };
  }

  function bare(drawing) {
    const copy = drawing.root.cloneNode(true);
    for (const mark of copy.querySelectorAll("[data-feature]"))
      if (isMeasured(mark.dataset.feature) || !isShown(mark, undefined, drawing.marks.get(mark.dataset.feature)))
        mark.remove();
    copy.querySelector("title").remove();
    scope(copy);
    copy.setAttribute("class", "figure");
    copy.setAttribute("aria-hidden", "true");
    return copy;
  }

  window.bartackDrawing = { figure, front, whole };
})();
