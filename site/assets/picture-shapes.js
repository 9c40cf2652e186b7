// A drawing of a page to shapes that stand alone: outlines with their place and pen, as the style sheets draw them, in
// the colours of paper whatever the page's are.
//
// It draws nothing itself; `picture-layout.js` places the shapes and `picture-drawing.js` writes them.
(function () {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";
  const DEEPEST = 8;

  /** @param {Element} element @param {string} name */
  function number(element, name) {
    const length = /** @type {any} */ (element)[name];
    return length && length.baseVal ? length.baseVal.value : 0;
  }

  /** An ellipse as two arcs. @param {number} x @param {number} y @param {number} wide @param {number} high */
  function ellipse(x, y, wide, high) {
    return `M${x - wide} ${y}a${wide} ${high} 0 1 0 ${2 * wide} 0a${wide} ${high} 0 1 0 ${-2 * wide} 0Z`;
  }

  /** @param {Element} element */
  function rectangle(element) {
    const [x, y, wide, high] = ["x", "y", "width", "height"].map((name) => number(element, name));
    const round = Math.min(number(element, "rx") || number(element, "ry"), wide / 2, high / 2);
    if (round === 0) return `M${x} ${y}h${wide}v${high}h${-wide}Z`;
    const corner = (/** @type {number} */ right, /** @type {number} */ down) =>
      `a${round} ${round} 0 0 1 ${right} ${down}`;
    const [across, along] = [wide - 2 * round, high - 2 * round];
    return (
      `M${x + round} ${y}h${across}${corner(round, round)}v${along}${corner(-round, round)}` +
      `h${-across}${corner(-round, -round)}v${-along}${corner(round, -round)}Z`
    );
  }

  /** The outline of an element as a path; nothing for what is no outline. @param {Element} element */
  function outline(element) {
    const points = (element.getAttribute("points") || "").trim();
    switch (element.localName) {
      case "path":
        return element.getAttribute("d") || "";
      case "circle":
        return ellipse(number(element, "cx"), number(element, "cy"), number(element, "r"), number(element, "r"));
      case "ellipse":
        return ellipse(number(element, "cx"), number(element, "cy"), number(element, "rx"), number(element, "ry"));
      case "rect":
        return rectangle(element);
      case "line":
        return `M${number(element, "x1")} ${number(element, "y1")}L${number(element, "x2")} ${number(element, "y2")}`;
      case "polyline":
        return points && `M${points}`;
      case "polygon":
        return points && `M${points}Z`;
      default:
        return "";
    }
  }

  /**
   * What a drawing shows again of another comes to stand within it.
   * @param {Element} copy
   * @param {(id: string) => Element | null} named
   */
  function complete(copy, named) {
    for (let depth = 0; depth < DEEPEST; depth += 1) {
      const uses = [...copy.querySelectorAll("use")];
      if (uses.length === 0) return;
      for (const use of uses) {
        const meant = named((use.getAttribute("href") || "").replace(/^#/, ""));
        const group = document.createElementNS(SVG, "g");
        for (const { name, value } of [...use.attributes])
          if (!["href", "x", "y", "width", "height", "id"].includes(name)) group.setAttribute(name, value);
        const moved = `translate(${use.getAttribute("x") || 0} ${use.getAttribute("y") || 0})`;
        group.setAttribute("transform", `${use.getAttribute("transform") || ""} ${moved}`.trim());
        if (meant) group.append(meant.cloneNode(true));
        use.replaceWith(group);
      }
    }
  }

  /** @param {DOMMatrix} matrix */
  function rounded({ a, b, c, d, e, f }) {
    return [a, b, c, d, e, f].map((one) => Math.round(one * 10000) / 10000);
  }

  /** A length of a pen, in units of the drawing. @param {string} text */
  function lengths(text) {
    return text === "none" ? [] : text.split(/[\s,]+/).map((one) => Math.round(parseFloat(one) * 1000) / 1000);
  }

  /** @param {string} paint @param {number} opacity */
  function ink(paint, opacity) {
    const parts = (/^rgba?\(([^)]*)\)/.exec(paint) || ["", ""])[1].split(/[\s,/]+/).map(Number);
    if (parts.length < 3 || parts.some(Number.isNaN)) return null;
    const [red, green, blue, alpha = 1] = parts;
    if (alpha * opacity === 0) return null;
    return { colour: `rgb(${red}, ${green}, ${blue})`, opacity: Math.round(alpha * opacity * 1000) / 1000 };
  }

  /**
   * @param {SVGSVGElement} copy
   * @param {(id: string) => Element | null} named
   */
  function read(copy, named) {
    const screen = /** @type {DOMMatrix} */ (copy.getScreenCTM()).inverse();
    /** @type {PictureShape[]} */
    const shapes = [];
    const matrixOf = (/** @type {Element} */ element) =>
      screen.multiply(/** @type {DOMMatrix} */ (/** @type {SVGGraphicsElement} */ (element).getScreenCTM()));

    // The clips of an element, each an outline in the drawing's own units.
    const clipped = (/** @type {Element} */ element, /** @type {CSSStyleDeclaration} */ style) => {
      const id = (/url\(["']?#([^"')]*)/.exec(style.clipPath) || [])[1];
      const clip = id ? named(id) : null;
      if (!clip) return [];
      const d = [...clip.querySelectorAll("*")].map(outline).filter(Boolean).join("");
      return [{ d, matrix: rounded(matrixOf(element)) }];
    };

    const walk = (/** @type {Element} */ element, /** @type {number} */ above, /** @type {PictureClip[]} */ clips) => {
      if (
        ["defs", "clipPath", "title", "desc", "pattern", "linearGradient", "radialGradient"].includes(element.localName)
      )
        return;
      const style = getComputedStyle(element);
      if (style.display === "none" || style.visibility === "hidden") return;
      const opacity = above * Number(style.opacity);
      const within = [...clips, ...clipped(element, style)];
      if (element.localName === "text") shapes.push(written(element, style, opacity, within));
      else if (outline(element)) shapes.push(drawn(element, style, opacity, within));
      else for (const child of element.children) walk(child, opacity, within);
    };

    const written = (
      /** @type {Element} */ element,
      /** @type {CSSStyleDeclaration} */ style,
      /** @type {number} */ opacity,
      /** @type {PictureClip[]} */ clips,
    ) => ({
      text: (element.textContent || "").trim(),
      x: Number(element.getAttribute("x") || 0),
      y: Number(element.getAttribute("y") || 0),
      size: parseFloat(style.fontSize),
      bold: Number(style.fontWeight) >= 600,
      italic: style.fontStyle === "italic",
      anchor: style.textAnchor,
      matrix: rounded(matrixOf(element)),
      fill: ink(style.fill, opacity * Number(style.fillOpacity)),
      clips,
    });

    const drawn = (
      /** @type {Element} */ element,
      /** @type {CSSStyleDeclaration} */ style,
      /** @type {number} */ opacity,
      /** @type {PictureClip[]} */ clips,
    ) => ({
      d: outline(element),
      matrix: rounded(matrixOf(element)),
      fill: ink(style.fill, opacity * Number(style.fillOpacity)),
      stroke: ink(style.stroke, opacity * Number(style.strokeOpacity)),
      width: parseFloat(style.strokeWidth),
      dashes: lengths(style.strokeDasharray),
      cap: style.strokeLinecap,
      join: style.strokeLinejoin,
      evenOdd: style.fillRule === "evenodd",
      clips,
    });

    walk(copy, 1, []);
    return shapes.filter((shape) => shape.fill || shape.stroke);
  }

  /**
   * The shapes of a drawing with its width and height, in its own units.
   * @param {Element} svg
   * @returns {PictureDrawing}
   */
  function shapes(svg) {
    const copy = /** @type {SVGSVGElement} */ (svg.cloneNode(true));
    const within = (/** @type {string} */ id) => copy.querySelector(`[id="${CSS.escape(id)}"]`);
    const named = (/** @type {string} */ id) => (id ? within(id) || document.getElementById(id) : null);
    complete(copy, named);
    const posing = document.createElement("div");
    posing.className = "posing";
    posing.setAttribute("aria-hidden", "true");
    posing.append(copy);
    document.body.append(posing);
    const box = copy.viewBox.baseVal;
    const found = {
      left: box ? box.x : 0,
      top: box ? box.y : 0,
      width: box && box.width ? box.width : 200,
      height: box && box.height ? box.height : 200,
      shapes: read(copy, named),
    };
    posing.remove();
    return found;
  }

  window.bartackPictureShapes = { shapes };
})();
