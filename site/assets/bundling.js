// Files to one file that holds them all: a ZIP archive whose members are stored as they are (PKWARE APPNOTE 6.3.10; the
// parts of it that ISO/IEC 21320-1 allows). Same files, same bytes: it carries no times.
(function () {
  "use strict";

  const LOCAL = 0x04034b50;
  const CENTRAL = 0x02014b50;
  const END = 0x06054b50;
  const VERSION = 10;
  // Names are UTF-8.
  const FLAGS = 0x0800;
  // The first of January 1980, the earliest day that the format can say.
  const DAY = 0x0021;
  // The polynomial of CRC-32, its bits in reverse (ITU-T V.42, 8.1.1.6.2).
  const POLYNOMIAL = 0xedb88320;

  const TABLE = Array.from({ length: 256 }, (_, byte) => {
    let rest = byte;
    for (let bit = 0; bit < 8; bit += 1) rest = rest & 1 ? (rest >>> 1) ^ POLYNOMIAL : rest >>> 1;
    return rest >>> 0;
  });

  /** @param {Bytes} bytes */
  function checksum(bytes) {
    let rest = 0xffffffff;
    for (const byte of bytes) rest = TABLE[(rest ^ byte) & 0xff] ^ (rest >>> 8);
    return (rest ^ 0xffffffff) >>> 0;
  }

  /**
   * Numbers of 2 or 4 bytes, the lowest byte first.
   * @param {[number, 2 | 4][]} fields
   */
  function written(fields) {
    const bytes = new Uint8Array(fields.reduce((sum, [, width]) => sum + width, 0));
    const view = new DataView(bytes.buffer);
    let at = 0;
    for (const [value, width] of fields) {
      if (width === 2) view.setUint16(at, value, true);
      else view.setUint32(at, value, true);
      at += width;
    }
    return bytes;
  }

  /**
   * @param {{ name: string, bytes: Bytes }[]} files
   * @returns {Blob}
   */
  function bundle(files) {
    /** @type {Bytes[]} */
    const members = [];
    /** @type {Bytes[]} */
    const listing = [];
    const length = (/** @type {Bytes[]} */ parts) => parts.reduce((sum, part) => sum + part.length, 0);
    for (const { name, bytes } of files) {
      const title = new TextEncoder().encode(name);
      /** @type {[number, 2 | 4][]} */
      const common = [
        ...[VERSION, FLAGS, 0, 0, DAY].map((value) => /** @type {[number, 2]} */ ([value, 2])),
        ...[checksum(bytes), bytes.length, bytes.length].map((value) => /** @type {[number, 4]} */ ([value, 4])),
        [title.length, 2],
        [0, 2],
      ];
      const at = length(members);
      members.push(written([[LOCAL, 4], ...common]), title, bytes);
      /** @type {[number, 2 | 4][]} */
      const rest = [
        [0, 2],
        [0, 2],
        [0, 2],
        [0, 4],
        [at, 4],
      ];
      listing.push(written([[CENTRAL, 4], [VERSION, 2], ...common, ...rest]), title);
    }
    const counted = /** @type {[number, 2]} */ ([files.length, 2]);
    const end = written([
      [END, 4],
      [0, 2],
      [0, 2],
      counted,
      counted,
      [length(listing), 4],
      [length(members), 4],
      [0, 2],
    ]);
    return new Blob([...members, ...listing, end], { type: "application/zip" });
  }

  window.bartackBundling = { bundle };
})();
