// A placed picture as a self-contained SVG file, and on a canvas for a PNG file.
//
// The canvas is drawn shape by shape: a page may load no picture from `data:` or `blob:`, and need
// not.
(function () {
  "use strict";

  const layout = window.bartackPictureLayout;

  /** Text for XML, without what XML cannot hold. @param {string} text */
  function escaped(text) {
    return text
      .replace(
        /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g,
        "",
      )
      .replace(/&/g, "&amp;")
      .replace(/</g, "&lt;")
      .replace(/>/g, "&gt;")
      .replace(/"/g, "&quot;");
  }

  /** @param {number} one */
  function short(one) {
    return String(Math.round(one * 100) / 100);
  }

  /** @param {string} name @param {{ colour: string, opacity: number } | null | undefined} ink */
  function paint(name, ink) {
    if (!ink) return ` ${name}="none"`;
    return ` ${name}="${ink.colour}"` + (ink.opacity < 1 ? ` ${name}-opacity="${ink.opacity}"` : "");
  }

  /** @param {PictureFont} font */
  function fontAttributes({ size, bold, italic }) {
    return (
      ` font-family="${escaped(layout.FONT)}" font-size="${short(size)}"` +
      (bold ? ' font-weight="bold"' : "") +
      (italic ? ' font-style="italic"' : "")
    );
  }

  /** @param {PictureShape} shape */
  function shapeText(shape) {
    const transform = ` transform="matrix(${shape.matrix.join(" ")})"`;
    if (shape.text !== undefined)
      return (
        `<text x="${shape.x}" y="${shape.y}" text-anchor="${shape.anchor}"${fontAttributes(/** @type {any} */ (shape))}` +
        `${paint("fill", shape.fill)}${transform}>${escaped(shape.text)}</text>`
      );
    const pen = shape.stroke
      ? ` stroke-width="${shape.width}" stroke-linecap="${shape.cap}" stroke-linejoin="${shape.join}"` +
        (shape.dashes && shape.dashes.length > 0 ? ` stroke-dasharray="${shape.dashes.join(" ")}"` : "")
      : "";
    const rule = shape.evenOdd ? ' fill-rule="evenodd"' : "";
    return `<path d="${escaped(shape.d || "")}"${paint("fill", shape.fill)}${paint("stroke", shape.stroke)}${pen}${rule}${transform}/>`;
  }

  /** @param {PictureScene} scene */
  function svg(scene) {
    /** @type {Map<string, string>} */
    const clips = new Map();
    const clip = (/** @type {PictureClip} */ { d, matrix }) => {
      const path = `<path d="${escaped(d)}" transform="matrix(${matrix.join(" ")})"/>`;
      if (!clips.has(path)) clips.set(path, `clip-${clips.size + 1}`);
      return clips.get(path);
    };
    const within = (/** @type {PictureShape} */ shape) =>
      shape.clips.reduceRight((inside, one) => `<g clip-path="url(#${clip(one)})">${inside}</g>`, shapeText(shape));
    const item = (/** @type {PictureItem} */ one) => {
      if (one.kind === "rect")
        return (
          `<rect x="${short(one.x)}" y="${short(one.y)}" width="${short(one.width)}"` +
          ` height="${short(one.height)}" fill="${one.colour}"/>`
        );
      if (one.kind === "drawing") {
        const { drawing, x, y, scale } = one;
        const larger = `scale(${Math.round(scale * 10000) / 10000})`;
        const move = `translate(${short(x)} ${short(y)}) ${larger} translate(${-drawing.left} ${-drawing.top})`;
        return `<g transform="${move}">${drawing.shapes.map(within).join("")}</g>`;
      }
      // The length is the one that was measured, so that no other machine's letters run out of the box.
      return (
        `<text x="${short(one.x)}" y="${short(one.y)}" textLength="${short(one.width)}" lengthAdjust="spacingAndGlyphs"` +
        ` data-box="${one.box.map(short).join(" ")}"${fontAttributes(one)} fill="${one.colour}">${escaped(one.text)}</text>`
      );
    };
    const body = scene.items.map(item).join("\n");
    const kept = [...clips].map(([path, id]) => `<clipPath id="${id}">${path}</clipPath>`).join("");
    return (
      `<svg xmlns="http://www.w3.org/2000/svg" width="${scene.width}" height="${scene.height}"` +
      ` viewBox="0 0 ${scene.width} ${scene.height}" role="img" aria-labelledby="title caution">\n` +
      `<title id="title">${escaped(scene.title)}</title><desc id="caution">${escaped(scene.caution)}</desc>\n` +
      `${kept ? `<defs>${kept}</defs>\n` : ""}${body}\n</svg>\n`
    );
  }

  /** @param {CanvasRenderingContext2D} pen @param {{ colour: string, opacity: number }} ink @param {() => void} act */
  function inked(pen, ink, act) {
    pen.globalAlpha = ink.opacity;
    pen.fillStyle = ink.colour;
    pen.strokeStyle = ink.colour;
    act();
    pen.globalAlpha = 1;
  }

  /** @param {CanvasRenderingContext2D} pen @param {PictureShape} shape */
  function drawShape(pen, shape) {
    pen.save();
    for (const { d, matrix } of shape.clips) {
      const outline = new Path2D();
      outline.addPath(new Path2D(d), new DOMMatrix(matrix));
      pen.clip(outline);
    }
    pen.transform(.../** @type {[number, number, number, number, number, number]} */ (shape.matrix));
    if (shape.text !== undefined) {
      pen.font = layout.fontOf(/** @type {any} */ (shape));
      pen.textAlign = { middle: "center", end: "right" }[shape.anchor || ""] || "left";
      if (shape.fill) inked(pen, shape.fill, () => pen.fillText(shape.text || "", shape.x || 0, shape.y || 0));
    } else {
      const outline = new Path2D(shape.d);
      if (shape.fill) inked(pen, shape.fill, () => pen.fill(outline, shape.evenOdd ? "evenodd" : "nonzero"));
      if (shape.stroke) {
        pen.lineWidth = shape.width || 1;
        pen.lineCap = /** @type {CanvasLineCap} */ (shape.cap);
        pen.lineJoin = /** @type {CanvasLineJoin} */ (shape.join);
        pen.setLineDash(shape.dashes || []);
        inked(pen, shape.stroke, () => pen.stroke(outline));
      }
    }
    pen.restore();
  }

  /** @param {PictureScene} scene */
  function canvas(scene) {
    const sheet = document.createElement("canvas");
    [sheet.width, sheet.height] = [scene.width, scene.height];
    const pen = /** @type {CanvasRenderingContext2D} */ (sheet.getContext("2d"));
    for (const one of scene.items) {
      pen.save();
      if (one.kind === "rect") {
        pen.fillStyle = one.colour;
        pen.fillRect(one.x, one.y, one.width, one.height);
      } else if (one.kind === "text") {
        pen.font = layout.fontOf(one);
        pen.fillStyle = one.colour;
        pen.fillText(one.text, one.x, one.y);
      } else {
        pen.translate(one.x, one.y);
        pen.scale(one.scale, one.scale);
        pen.translate(-one.drawing.left, -one.drawing.top);
        for (const shape of one.drawing.shapes) drawShape(pen, shape);
      }
      pen.restore();
    }
    return sheet;
  }

  window.bartackPictureDrawing = { svg, canvas };
})();
