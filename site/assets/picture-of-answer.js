// The content of a picture of the answer about a garment in hand: the same sentences, shares and
// drawings as the answer.
(function () {
  "use strict";

  const dating = window.bartackDating;
  const { shapes } = window.bartackPictureShapes;
  const { sort } = window.bartackAddress;
  const { system, inBoth } = window.bartackMeasures;
  // A variant less likely than this is not named on the page.
  const WORTHWHILE = 0.005;
  const DRAWINGS = 3;

  /** @param {{ rules: Rules, prepared: Prepared }} known */
  function pictureOfAnswer({ rules, prepared }) {
    /** @param {string} id @param {string} value */
    function seen(id, value) {
      const feature = prepared.features.get(id);
      if (!feature) return null;
      const isMeasured = feature.kind === "measure" && dating.asNumber(value) !== null;
      const words = isMeasured ? inBoth(feature, String(value), system([...prepared.features.values()])) : null;
      return { name: feature.name, values: [words || dating.reading(feature, value)] };
    }

    // The variants that the page lists, with their shares.
    function likely(/** @type {any} */ found, /** @type {Record<string, any>} */ garment) {
      if (Object.keys(garment.features || {}).length === 0) return [];
      const listed = found.variants.filter((/** @type {any} */ one) => one.probability >= WORTHWHILE).slice(0, 8);
      const values = listed.map(
        (/** @type {any} */ { id, probability }) => `${dating.percent(probability)} % ${dating.nameOf(rules, id)}`,
      );
      const isKnown = ["maker", "model", "line", "variant"].some((key) => garment[key]);
      const name = isKnown ? "Variants" : "Variants: nearest among the recorded ones; it may be none of them";
      return values.length > 0 ? [{ name, values }] : [];
    }

    function doubt(/** @type {any} */ { unlike }) {
      const values = ["Its features do not go together in any variant in question."];
      return unlike.fires ? [{ name: "It is unlike anything recorded", values }] : [];
    }

    function bounds(/** @type {any} */ { hard, contradiction }) {
      if (contradiction) return [];
      const values = [
        hard.not_before && `Not made before ${dating.spoken.before(hard.not_before)}, ${dating.ORIGINAL}`,
        hard.not_after && `Not made after ${dating.spoken.by(hard.not_after)}, ${dating.ORIGINAL}`,
      ].filter(Boolean);
      return values.length > 0 ? [{ name: "What no opinion can move", values }] : [];
    }

    function title(/** @type {Record<string, any>} */ garment) {
      const { variant, line, model, maker } = garment;
      const name = (/** @type {Named[]} */ list, /** @type {string} */ id) =>
        (list.find((one) => one.id === id) || { name: "" }).name;
      const known = [
        variant ? dating.nameOf(rules, variant) : "",
        variant ? "" : [name(rules.makers, maker), name(rules.models, model), name(rules.lines, line)],
      ];
      const words = known.flat().filter(Boolean).join(", ");
      return words ? `Garment in hand: ${words}` : "Garment in hand";
    }

    /** @param {any} found @param {Record<string, any>} garment @param {GarmentState} state @returns {PictureContent} */
    function content(found, garment, state) {
      const looked = [...state.features].map(([id, value]) => seen(id, value)).filter((one) => one !== null);
      return {
        title: title(garment),
        lead: dating.card(rules, garment, found).join(" "),
        caution: dating.CAUTION,
        counts: [...doubt(found), ...likely(found, garment), ...bounds(found), ...looked],
        drawings: window.bartackDrawing
          .whole(sort(state, rules), state.features)
          .slice(0, DRAWINGS)
          .map(({ drawing, caption }) => ({ ...shapes(drawing), caption })),
        name: rules.title,
        version: rules.knowledge_base,
      };
    }

    return content;
  }

  window.bartackPictureOfAnswer = pictureOfAnswer;
})();
