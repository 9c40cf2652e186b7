// The content of a picture, placed on a sheet of a size: lines of measured text, drawings and
// rules.
//
// Nothing is drawn here. The picture states how much did not fit.
(function () {
  "use strict";

  const FONT = 'Georgia, "Times New Roman", "DejaVu Serif", serif';
  const MARGIN = 44;
  const LINE = 1.3;
  const INK = "#221e18";
  const FAINT = "#5f574a";
  const SECOND = "#7a2f1b";
  const PAPER = "#fdfaf2";

  const SIZES = [
    { name: "landscape", says: "Landscape", width: 1200, height: 630 },
    { name: "upright", says: "Upright", width: 1080, height: 1350 },
  ];

  const measuring = /** @type {CanvasRenderingContext2D} */ (document.createElement("canvas").getContext("2d"));

  /** @param {PictureFont} font */
  function fontOf({ size, bold, italic }) {
    return `${italic ? "italic " : ""}${bold ? "bold " : ""}${size}px ${FONT}`;
  }

  /** @param {string} text @param {PictureFont} font */
  function widthOf(text, font) {
    measuring.font = fontOf(font);
    return measuring.measureText(text).width;
  }

  /** The part of a word that fits. @param {string} word @param {PictureFont} font @param {number} width */
  function fitting(word, font, width) {
    const letters = [...word];
    let count = letters.length;
    while (count > 1 && widthOf(letters.slice(0, count).join(""), font) > width) count -= 1;
    return letters.slice(0, count).join("");
  }

  /** @param {string} text @param {PictureFont} font @param {number} width */
  function wrapped(text, font, width) {
    const words = text.split(/\s+/).filter(Boolean);
    const lines = [];
    let line = "";
    while (words.length > 0) {
      const word = /** @type {string} */ (words.shift());
      const longer = line ? `${line} ${word}` : word;
      if (widthOf(longer, font) <= width) {
        line = longer;
      } else if (line) {
        lines.push(line);
        line = "";
        words.unshift(word);
      } else {
        // A word wider than the line is broken.
        const part = fitting(word, font, width);
        lines.push(part);
        if (part.length < word.length) words.unshift(word.slice(part.length));
      }
    }
    return line ? [...lines, line] : lines;
  }

  /**
   * Text in the largest size in which it has at most so many lines; of what is longer still, the beginning.
   * @param {string} text
   * @param {{ width: number, most: number, sizes: number[], bold?: boolean, italic?: boolean, colour?: string }} wanted
   */
  function block(text, { width, most, sizes, bold = false, italic = false, colour = INK }) {
    /** @type {string[]} */
    let lines = [];
    let font = { size: sizes[0], bold, italic };
    for (const size of sizes) {
      font = { size, bold, italic };
      lines = wrapped(text, font, width);
      if (lines.length <= most) break;
    }
    if (lines.length > most) {
      let last = lines[most - 1];
      while (widthOf(`${last}…`, font) > width) last = [...last].slice(0, -1).join("");
      lines = [...lines.slice(0, most - 1), `${last}…`];
    }
    return { lines, font, colour, width, height: lines.length * font.size * LINE };
  }

  /** @param {ReturnType<typeof block>} made @param {number} x @param {number} top @returns {PictureItem[]} */
  function texts(made, x, top) {
    const high = made.font.size * LINE;
    return made.lines.map((text, at) => ({
      kind: /** @type {const} */ ("text"),
      text,
      ...made.font,
      colour: made.colour,
      x,
      y: top + at * high + made.font.size,
      width: widthOf(text, made.font),
      box: [x, top + at * high, made.width, high],
    }));
  }

  /** @param {PictureDrawing[]} drawings @param {PictureBox} box @returns {PictureItem[]} */
  function drawn(drawings, box) {
    const caption = 17;
    const best = [1, 2, 3, 4]
      .filter((columns) => columns <= drawings.length)
      .map((columns) => {
        const rows = Math.ceil(drawings.length / columns);
        const [wide, high] = [(box.width - 18 * (columns - 1)) / columns, (box.height - 14 * (rows - 1)) / rows];
        const scales = drawings.map((one) => Math.min(wide / one.width, (high - 2 * caption * LINE) / one.height));
        return { columns, wide, high, scale: Math.min(...scales) };
      })
      .reduce((most, one) => (one.scale > most.scale ? one : most));
    return drawings.flatMap((drawing, at) => {
      const left = box.x + (at % best.columns) * (best.wide + 18);
      const top = box.y + Math.floor(at / best.columns) * (best.high + 14);
      const scale = Math.min(best.wide / drawing.width, (best.high - 2 * caption * LINE) / drawing.height);
      const said = block(drawing.caption || "", {
        width: best.wide,
        most: 2,
        sizes: [caption, 15],
        italic: true,
        colour: FAINT,
      });
      const x = left + (best.wide - drawing.width * scale) / 2;
      return [
        { kind: /** @type {const} */ ("drawing"), drawing, x, y: top, scale },
        ...texts(said, left, top + drawing.height * scale + 2),
      ];
    });
  }

  /** @param {PictureContent["counts"][0]} count @param {number} width @param {number} size */
  function row(count, width, size) {
    const name = block(count.name, { width, most: 2, sizes: [size], bold: true });
    const values = count.values.map((value) => block(value, { width: width - 16, most: 6, sizes: [size] }));
    return { name, values, height: name.height + values.reduce((sum, one) => sum + one.height, 0) + size * 0.45 };
  }

  /** The counts in the largest size in which all of them fit; else as many as fit, and how many do not. */
  /** @param {PictureContent["counts"]} counts @param {PictureBox} box @returns {PictureItem[]} */
  function counted(counts, box) {
    if (counts.length === 0) return [];
    const sizes = [24, 21, 18, 16];
    const size =
      sizes.find((one) => counts.reduce((sum, count) => sum + row(count, box.width, one).height, 0) <= box.height) ||
      sizes[sizes.length - 1];
    const more = size * LINE;
    const made = counts.map((count) => row(count, box.width, size));
    const whole = made.reduce((sum, one) => sum + one.height, 0) <= box.height;
    /** @type {PictureItem[]} */
    const items = [];
    let [top, shown] = [box.y, 0];
    for (const one of made) {
      if (top + one.height > box.y + box.height - (whole ? 0 : more)) break;
      items.push(...texts(one.name, box.x, top));
      let below = top + one.name.height;
      for (const value of one.values) {
        items.push(...texts(value, box.x + 16, below));
        below += value.height;
      }
      top += one.height;
      shown += 1;
    }
    const left = counts.length - shown;
    if (left === 0) return items;
    const says = block(`and ${left} more on the page`, {
      width: box.width,
      most: 1,
      sizes: [size],
      italic: true,
      colour: FAINT,
    });
    return [...items, ...texts(says, box.x, top)];
  }

  /**
   * @param {PictureContent} content
   * @param {{ width: number, height: number }} size
   * @returns {PictureScene}
   */
  function scene(content, { width, height }) {
    const inner = width - 2 * MARGIN;
    const isWide = width > height;
    const title = block(content.title, { width: inner, most: 2, sizes: [46, 40, 34, 28, 24], colour: INK });
    const lead = block(content.lead, { width: inner, most: isWide ? 3 : 4, sizes: [28, 25, 22, 19], italic: true });
    const caution = block(content.caution, {
      width: inner,
      most: 5,
      sizes: [isWide ? 17 : 19, 15],
      italic: true,
      colour: FAINT,
    });
    const from = block(`${content.name}, version ${content.version}`, {
      width: inner,
      most: 2,
      sizes: [18, 15],
      colour: SECOND,
    });
    const foot = height - 30 - from.height - caution.height - 6;
    const top = 36 + title.height + 6 + lead.height + 16;
    const body = { x: MARGIN, y: top + 12, width: inner, height: foot - top - 26 };
    const [left, right] = split(body, content, isWide);
    return {
      width,
      height,
      title: content.title,
      caution: content.caution,
      items: [
        { kind: "rect", x: 0, y: 0, width, height, colour: PAPER },
        ...texts(title, MARGIN, 36),
        ...texts(lead, MARGIN, 36 + title.height + 6),
        { kind: "rect", x: MARGIN, y: top, width: inner, height: 2, colour: SECOND },
        ...(content.drawings.length > 0 ? drawn(content.drawings, left) : []),
        ...counted(content.counts, right),
        { kind: "rect", x: MARGIN, y: foot - 8, width: inner, height: 1, colour: FAINT },
        ...texts(caution, MARGIN, foot),
        ...texts(from, MARGIN, foot + caution.height + 6),
      ],
    };
  }

  /** Where the drawings and the counts stand. @param {PictureBox} body @param {PictureContent} content @param {boolean} isWide */
  function split(body, content, isWide) {
    if (content.drawings.length === 0) return [body, body];
    if (isWide) {
      const wide = body.width * 0.44;
      return [
        { ...body, width: wide },
        { ...body, x: body.x + wide + 32, width: body.width - wide - 32 },
      ];
    }
    const wanted = content.counts.reduce((sum, count) => sum + row(count, body.width, 21).height, 0);
    const high = Math.min(Math.max(body.height - wanted - 16, body.height * 0.4), body.height * 0.66);
    return [
      { ...body, height: high },
      { ...body, y: body.y + high + 16, height: body.height - high - 16 },
    ];
  }

  window.bartackPictureLayout = { SIZES, FONT, fontOf, scene };
})();
