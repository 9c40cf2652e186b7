// The changeovers that affect the years of a garment in hand: it shows the state before one, or the
// state after it.
//
// The terminal gives the same, from `explain::speaking`. The changeovers are in recording.js.
(function () {
  "use strict";

  const dating = window.bartackDating;

  function speaking({ rules, prepared, changes }) {
    const named = (list, id) => (list.find((one) => one.id === id) || { name: id }).name;

    function nameOfThing(id, variant) {
      if (id === variant.id) return dating.nameOf(rules, id);
      return `${named(rules.makers, variant.maker)}, ${named(id === variant.model ? rules.models : rules.lines, id)}`;
    }

    function sentences(variant, feature, shown) {
      const things = [variant.id, variant.model, variant.line].filter((id) => (changes[id] || {})[feature.id]);
      if (things.length === 0) return [];
      const thing = nameOfThing(things[0], variant);
      const own = changes[things[0]][feature.id].filter((change) => change.slice(0, 2).includes(shown));
      return own.map(([from, to, years, isSure]) => {
        const [before, after] = [from, to].map((state) => dating.reading(feature, state));
        const side = shown === from ? "before" : "after";
        const perhaps = isSure ? "" : "perhaps ";
        return (
          `${feature.name}: ${perhaps}${years} ${before} gives way to ${after} (${thing}); ` +
          `this one shows the state usual ${side} it.`
        );
      });
    }

    // One sentence for each change of what the garment shows, of the variants that are named.
    return function (found, garment) {
      const hasMaker = ["maker", "model", "line", "variant"].some((key) => garment[key]);
      if (found.contradiction || !hasMaker) return [];
      const shown = Object.keys(garment.features || {}).sort(dating.order);
      const said = dating.named(found.variants).flatMap(({ id }) => {
        const variant = rules.variants.find((one) => one.id === id);
        return shown.flatMap((of) => {
          const feature = prepared.features.get(of);
          return feature ? sentences(variant, feature, String(garment.features[of])) : [];
        });
      });
      return [...new Set(said)];
    };
  }

  window.bartackSpeaking = speaking;
})();
