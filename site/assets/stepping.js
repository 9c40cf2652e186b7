// The looks that tell the variants of a model apart, one after the other: what is tapped leads to the next look, and in the
// end to the variants that are left, each with its garments. The model's page *Step by step* holds the same to print.
//
// What is tapped is a reading of the garment like any other, so the questions and the answer follow it.
(function () {
  "use strict";

  const { element, button, own } = window.bartackElements;
  const dating = window.bartackDating;

  /**
   * Leads through the looks on behalf of a page; `taps` asks for a state of a feature, `lookAt` leads to its question.
   * @param {Stepped} page
   */
  function stepping({ rules, prepared, looks, state, site, taps, lookAt }) {
    // The looks as far as the garment's readings lead, each with the answer that was seen, if it leads on.
    /** @param {Looks} found */
    function walked({ steps }) {
      /** @type {{ feature: Feature, answers: LookAnswer[], seen: LookAnswer | undefined }[]} */
      const path = [];
      for (let at = /** @type {number | null} */ (0); at !== null && at < steps.length;) {
        const [id, answers] = steps[at];
        const feature = prepared.features.get(id);
        if (!feature) break;
        const value = state().features.get(id);
        const seen = answers.find(([one]) => one === value);
        path.push({ feature, answers, seen });
        at = seen ? seen[1] : null;
      }
      return path;
    }

    /** @param {string} model @param {LookAnswer} answer */
    function end(model, [, , named, count, isCut]) {
      const variants = named.map(([variant, garments], at) => {
        const id = `${model}/${variant}`;
        const { name } = rules.variants.find((one) => one.id === id) || { name: variant };
        const shown =
          site === "none" ? element("b", {}, name) : element("a", { href: `${site}makers/${id}.html` }, name);
        return [at > 0 && " or ", shown, ` ${garments} of ${count}`];
      });
      return [variants, isCut && " or others"];
    }

    /** @param {string} model @param {ReturnType<typeof walked>} path */
    function said(model, path) {
      const { feature, seen } = path[path.length - 1];
      if (seen) return end(model, seen);
      const value = state().features.get(feature.id);
      if (value === undefined) return `Next: ${feature.name}.`;
      return `${feature.name}: ${dating.reading(feature, value)} leads nowhere.`;
    }

    /** @param {{ feature: Feature, answers: LookAnswer[] }} step */
    function asked({ feature, answers }) {
      const states = answers.map(([one]) => one);
      return element(
        "li",
        { key: feature.id },
        button(feature.name, () => lookAt(feature.id), { class: "jump" }),
        element("p", { class: "look" }, feature.look),
        element(
          "div",
          { role: "radiogroup", "aria-label": feature.name },
          taps(feature, state().features.get(feature.id), { name: "step", states }),
        ),
      );
    }

    // The looks for the model that is known, closed until somebody opens them.
    return function () {
      const { model } = state();
      const found = model && own(looks, model);
      if (!found) return null;
      const path = walked(found);
      if (path.length === 0) return element("p", { class: "detail", key: "walk" }, found.lead);
      return element(
        "details",
        { class: "walk", key: "walk", id: "steps" },
        element("summary", {}, element("b", {}, "Step by step"), " ", element("span", { class: "detail" }, found.lead)),
        element("ol", {}, path.map(asked)),
        element("p", { class: "end", role: "status" }, said(model, path)),
        found.notes.map((note) => element("p", { class: "detail" }, note)),
      );
    };
  }

  window.bartackStepping = stepping;
})();
