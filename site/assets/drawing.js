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
  // How much of the drawing is shown around the marks, in the drawing's own units (the built-in ones are 200 wide).
  const MARGIN = 16;
  const LEAST = 96;

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

  // The corners of a mark in the units of its drawing, whatever moves or turns it.
  function corners(copy, mark) {
    const box = mark.getBBox();
    if (box.width + box.height === 0) return [];
    const matrix = copy.getScreenCTM().inverse().multiply(mark.getScreenCTM());
    const at = (x, y) => new DOMPoint(x, y).matrixTransform(matrix);
    return [
      at(box.x, box.y),
      at(box.x + box.width, box.y),
      at(box.x, box.y + box.height),
      at(box.x + box.width, box.y + box.height),
    ];
  }

  // The part of the drawing that holds the marks of a feature; a drawing must be on the page to be measured.
  function around(copy, feature) {
    const [left, top, wide, high] = copy
      .getAttribute("viewBox")
      .split(/[\s,]+/)
      .map(Number);
    const points = [...copy.querySelectorAll("[data-feature]")]
      .filter((mark) => mark.dataset.feature === feature)
      .flatMap((mark) => corners(copy, mark));
    if (points.length === 0) return [left, top, wide, high];
    const side = (ends, low, long) => {
      const [from, to] = [Math.min(...ends), Math.max(...ends)];
      const length = Math.min(Math.max(to - from + 2 * MARGIN, LEAST), long);
      return [Math.min(Math.max((from + to - length) / 2, low), low + long - length), length];
    };
    const [x, width] = side(
      points.map((point) => point.x),
      left,
      wide,
    );
    const [y, height] = side(
      points.map((point) => point.y),
      top,
      high,
    );
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

  // The drawing of one feature on a garment of a sort, with what was seen of it and of the others: a Map of values.
  // What it shows as a text, and what makes it. Null where nobody drew the feature.
  function figure(feature, sort, seen) {
    const drawing = best(feature.id, sort);
    if (!drawing) return null;
    const shows = [drawing.name, ...[...drawing.marks.keys()].map((id) => `${id}=${seen.get(id)}`)].join(" ");
    return { shows, make: () => filled(drawing, feature, seen) };
  }

  function filled(drawing, feature, seen) {
    const copy = drawing.root.cloneNode(true);
    for (const mark of copy.querySelectorAll("[data-feature]")) {
      const id = mark.dataset.feature;
      const value = seen.get(id);
      if (!isShown(mark, value, drawing.marks.get(id))) mark.remove();
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

  window.bartackDrawing = { figure };
})();
