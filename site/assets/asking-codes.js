// What the keys make of a code, said beside the field in which a page about a garment asks for it.
(function () {
  "use strict";

  const { element } = window.bartackElements;
  const { garment } = window.bartackAddress;
  const dating = window.bartackDating;

  /** @param {CodesAsked} page */
  function reader({ rules, prepared, state, site }) {
    /**
     * What the keys make of a code, which is empty where none is written.
     * @param {Feature} feature
     * @param {string} code
     */
    function readings(feature, code) {
      const keys = (rules.keys || []).filter((key) => key.feature === feature.id);
      if (keys.length === 0) return null;
      const place = { class: "code-said", id: `see-${feature.id}-reads`, role: "status" };
      return element("div", place, code === "" ? null : read(feature, code, keys));
    }

    /** @param {Feature} feature @param {string} code @param {CodeKey[]} keys */
    function read(feature, code, keys) {
      const now = state();
      const named = now.maker || now.model || now.line || now.variant || "";
      const maker = named.split("/")[0];
      const speaking = keys.filter(({ makers }) => !maker || makers.length === 0 || makers.includes(maker));
      const found = dating.codesOf(prepared, garment(now), new Map([[feature.id, code]])).keys;
      const isUsed = found.some((/** @type {{ used: boolean }} */ one) => one.used);
      const said = speaking.map((key) => ({ key, says: window.bartackCodeWords.said(key, code) }));
      const reading = said.filter(({ says }) => says.problem === "");
      return [
        element("p", {}, headline(reading.length, { isUsed, maker, speaking: speaking.length })),
        element(
          "ul",
          {},
          reading.map(({ key, says }) =>
            element("li", { key: key.id }, keyLink(key), ": ", readInWords(says), makersOf(key, maker)),
          ),
        ),
        reading.length === 0 && said.length === 1 && element("p", { class: "gloss" }, said[0].says.problem),
      ];
    }

    /** @param {number} count @param {{ isUsed: boolean, maker: string, speaking: number }} known */
    function headline(count, { isUsed, maker, speaking }) {
      if (count === 0 && speaking === 0)
        return "No key to the codes of this maker is known, so the code does not count.";
      if (count === 0)
        return maker ? "No key of this maker reads the code, so it does not count." : "No key reads the code.";
      if (!maker) return "Who made it? These keys could read the code; name the maker, and it counts.";
      return isUsed ? "The code counts toward the years:" : "Keys read the code differently, so neither counts:";
    }

    /** @param {CodeKey} key */
    function keyLink(key) {
      if (site === "none" || site === undefined) return element("b", {}, key.title);
      const page = key.id === "index" ? "index_" : key.id;
      return element("a", { href: `${site}keys/${page}.html` }, key.title);
    }

    /** @param {SaidOfCode} says */
    function readInWords({ dates, factory, reasons }) {
      return `${dates}${factory === null ? "" : `, factory ${factory}`}. ${reasons.join(" ")}`;
    }

    /** @param {CodeKey} key @param {string} maker */
    function makersOf(key, maker) {
      const names = rules.makers.filter((one) => key.makers.includes(one.id)).map((one) => one.name);
      return maker || names.length === 0 ? "" : ` Maker: ${names.join(", ")}.`;
    }

    return readings;
  }

  window.bartackAskingCodes = reader;
})();
