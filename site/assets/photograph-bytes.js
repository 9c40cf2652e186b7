// The bytes of a photograph: what kind it is, what is hidden in it, and the same without that.
//
// JPEG as ITU-T T.81 and Exif 2.32 have it, PNG as ISO/IEC 15948. A camera writes where it stood and whose it is into the
// file; nobody who looks at a hem needs that.
(function () {
  "use strict";

  const SOI = 0xd8;
  const SOS = 0xda;
  const EOI = 0xd9;
  const APP1 = 0xe1;
  const ICC = 0xe2;
  const ADOBE = 0xee;
  const COMMENT = 0xfe;
  const ORIENTATION = 0x0112;
  const PNG = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
  // Parts of a PNG that hold words, times, or what a camera wrote.
  const TELLING = ["eXIf", "tEXt", "zTXt", "iTXt", "tIME"];
  // Tags of Exif 2.32 with facts that a person may not want to give away.
  const TAGS = new Map([
    [0x8825, "where it was taken"],
    [0x010f, "the camera"],
    [0x0110, "the camera"],
    [0x0132, "when it was taken"],
    [0x013b, "who took it"],
    [0x8298, "who took it"],
    [0x8769, "how it was taken"],
  ]);

  /** @param {Bytes} bytes @param {number} from @param {number} length */
  function letters(bytes, from, length) {
    return String.fromCharCode(...bytes.subarray(from, from + length));
  }

  /**
   * What the first bytes say: a photograph that is taken, or why it is not.
   * @param {Bytes} bytes
   * @returns {{ ending: ".jpg" | ".png" | "", problem: string }}
   */
  function kind(bytes) {
    if (bytes[0] === 0xff && bytes[1] === SOI && bytes[2] === 0xff) return { ending: ".jpg", problem: "" };
    if (PNG.every((byte, place) => bytes[place] === byte)) return { ending: ".png", problem: "" };
    const advice = "Set the camera to take JPEG (some call it most compatible), or export the photograph as JPEG.";
    if (letters(bytes, 4, 4) === "ftyp") return { ending: "", problem: `is HEIC, AVIF or a film. ${advice}` };
    const isWebp = letters(bytes, 0, 4) === "RIFF" && letters(bytes, 8, 4) === "WEBP";
    return { ending: "", problem: isWebp ? "is WebP. Export it as JPEG or PNG." : "is no JPEG and no PNG." };
  }

  /**
   * The segments of a JPEG before its picture: their marks and where they begin and end.
   * @param {Bytes} bytes
   */
  function segments(bytes) {
    const found = [];
    let at = 2;
    while (at + 4 <= bytes.length && bytes[at] === 0xff && bytes[at + 1] !== SOS) {
      const end = at + 2 + bytes[at + 2] * 256 + bytes[at + 3];
      if (end > bytes.length || end < at + 4) break;
      found.push({ mark: bytes[at + 1], from: at, to: end });
      at = end;
    }
    return { found, rest: at };
  }

  /**
   * The first directory of an Exif block: tag to value, as far as it lies within the block.
   * @param {Bytes} block
   * @returns {Map<number, number>}
   */
  function tags(block) {
    const found = new Map();
    const order = letters(block, 0, 2);
    if (block.length < 14 || (order !== "II" && order !== "MM")) return found;
    const view = new DataView(block.buffer, block.byteOffset, block.byteLength);
    const isLittle = order === "II";
    const at = view.getUint32(4, isLittle);
    if (at + 2 > block.length) return found;
    const count = view.getUint16(at, isLittle);
    for (let number = 0; number < count && at + 2 + 12 * (number + 1) <= block.length; number += 1) {
      const entry = at + 2 + 12 * number;
      found.set(view.getUint16(entry, isLittle), view.getUint16(entry + 8, isLittle));
    }
    return found;
  }

  /**
   * Where the picture ends that begins at a place: some cameras put further pictures, or a film, behind it.
   * @param {Bytes} bytes
   * @param {number} from
   */
  function pictureEnd(bytes, from) {
    let at = from;
    while (at + 4 <= bytes.length && bytes[at] === 0xff && bytes[at + 1] !== EOI) {
      const isScan = bytes[at + 1] === SOS;
      at += 2 + bytes[at + 2] * 256 + bytes[at + 3];
      // Within a scan a zero follows each 255 that is no mark, and marks to start again belong to it.
      const isWithin = () => bytes[at] !== 0xff || bytes[at + 1] === 0 || (bytes[at + 1] & 0xf8) === 0xd0;
      while (isScan && at < bytes.length && isWithin()) at += 1;
    }
    return bytes[at] === 0xff && bytes[at + 1] === EOI ? at + 2 : bytes.length;
  }

  /** @param {Bytes} bytes @param {{ mark: number, from: number, to: number }} segment */
  function isExif(bytes, { mark, from }) {
    return mark === APP1 && letters(bytes, from + 4, 6) === "Exif\0\0";
  }

  /** @param {Bytes} bytes @param {{ mark: number, from: number, to: number }} segment */
  function exif(bytes, segment) {
    return tags(bytes.subarray(segment.from + 10, segment.to));
  }

  // Keep the parts needed to show the picture correctly: tables, its colour profile, the coding of
  // colours.
  /** @param {Bytes} bytes @param {{ mark: number, from: number, to: number }} segment */
  function isTelling(bytes, { mark, from }) {
    const isProfile = mark === ICC && letters(bytes, from + 4, 11) === "ICC_PROFILE";
    return mark === COMMENT || (mark >= APP1 && mark <= 0xef && !isProfile && mark !== ADOBE);
  }

  /**
   * The parts of a PNG.
   * @param {Bytes} bytes
   */
  function chunks(bytes) {
    const found = [];
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    let at = PNG.length;
    while (at + 12 <= bytes.length) {
      const end = at + 12 + view.getUint32(at);
      if (end > bytes.length) break;
      found.push({ name: letters(bytes, at + 4, 4), from: at, to: end });
      at = end;
    }
    return { found, rest: at };
  }

  /**
   * What is hidden in a photograph, in words.
   * @param {Bytes} bytes
   * @returns {string[]}
   */
  function hidden(bytes) {
    if (kind(bytes).ending === ".png") {
      return chunks(bytes).found.some(({ name }) => TELLING.includes(name)) ? ["notes of the camera or a program"] : [];
    }
    const told = new Set();
    for (const segment of segments(bytes).found.filter((one) => isTelling(bytes, one))) {
      if (!isExif(bytes, segment)) told.add("notes of the camera or a program");
      else for (const tag of exif(bytes, segment).keys()) if (TAGS.has(tag)) told.add(TAGS.get(tag));
    }
    return [...told];
  }

  // An Exif block that says nothing but how the picture is turned.
  /** @param {number} orientation */
  function turned(orientation) {
    const block = [0xff, APP1, 0, 34, 0x45, 0x78, 0x69, 0x66, 0, 0, 0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1];
    return new Uint8Array([...block, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0, 0, 0, 0, 0]);
  }

  /** @param {Bytes[]} parts */
  function joined(parts) {
    const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of parts) {
      bytes.set(part, at);
      at += part.length;
    }
    return bytes;
  }

  /**
   * The same picture, point for point, without what is hidden in it.
   * @param {Bytes} bytes
   */
  function bare(bytes) {
    const isPng = kind(bytes).ending === ".png";
    const { found, rest } = isPng ? chunks(bytes) : segments(bytes);
    const stays = isPng
      ? (/** @type {any} */ part) => !TELLING.includes(part.name)
      : (/** @type {any} */ part) => !isTelling(bytes, part);
    const parts = found.filter(stays).map(({ from, to }) => bytes.subarray(from, to));
    const orientation = isPng ? 1 : orientationOf(bytes);
    const turn = orientation >= 2 && orientation <= 8 ? [turned(orientation)] : [];
    const picture = isPng ? bytes.subarray(rest) : bytes.subarray(rest, pictureEnd(bytes, rest));
    return joined([bytes.subarray(0, isPng ? PNG.length : 2), ...turn, ...parts, picture]);
  }

  /** @param {Bytes} bytes */
  function orientationOf(bytes) {
    const block = segments(bytes).found.find((segment) => isExif(bytes, segment));
    return (block && exif(bytes, block).get(ORIENTATION)) || 1;
  }

  window.bartackPhotographBytes = { kind, hidden, bare };
})();
