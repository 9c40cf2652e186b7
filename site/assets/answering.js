// The parts of the answer about a garment in hand: an answer of window.bartackDating turned into elements.
//
// It works nothing out: every number in it was answered.
(function () {
  "use strict";

  const { element, drawn, button, copier, words } = window.bartackElements;
  const dating = window.bartackDating;
  const measures = window.bartackMeasures;
  const WORTHWHILE = 0.005;
  // How wide the chart of years is, in its own units; it is shown as wide as its column.
  const CHART_WIDTH = 400;

  function answering({ rules, prepared, site, lookAt, spoken }) {
    function nameOfFeature(id) {
      const feature = prepared.features.get(id);
      return feature ? feature.name : words(id);
    }

    function nameOfState(id, state) {
      const feature = prepared.features.get(id);
      if (!feature || feature.kind !== "measure" || dating.asNumber(state) === null)
        return feature ? dating.reading(feature, state) : words(state);
      return measures.inBoth(feature, String(state), measures.system([...prepared.features.values()]));
    }

    // The years and the variant, as everywhere else.
    function card(found, garment) {
      const said = dating.card(rules, garment, found).map((one) => element("p", {}, one));
      return element("div", { class: "card", key: "card" }, ...said);
    }

    function bounds(found) {
      const cited = (ids) =>
        ids.map((id) => {
          const landmark = rules.landmarks.find((one) => one.id === id);
          const source = landmark.sources[0];
          return element(
            "li",
            {},
            link(landmark.title, `landmarks.html#landmark-${id}`),
            source
              ? element("span", { class: "detail" }, " " + [source.citation, source.locator].filter(Boolean).join(", "))
              : null,
          );
        });
      const side = (says, day, ids) =>
        day
          ? [
              element("p", {}, says + " ", element("b", { class: "day" }, day), ", " + dating.ORIGINAL),
              element("ul", {}, ...cited(ids)),
            ]
          : [];
      const { hard } = found;
      const parts = [
        ...side("Not made before", hard.not_before && dating.spoken.before(hard.not_before), hard.not_before_by),
        ...side("Not made after", hard.not_after && dating.spoken.by(hard.not_after), hard.not_after_by),
      ];
      return part(
        "Limits that no opinion can move",
        parts.length > 0 ? parts : [element("p", {}, "No landmark limits its date.")],
      );
    }

    function link(text, path) {
      return site === "none" ? element("span", {}, text) : element("a", { href: site + path }, text);
    }

    function part(title, children, attributes = {}) {
      const id = "part-" + title.toLowerCase().replace(/[^a-z]+/g, "-");
      return element(
        "section",
        { key: id, "aria-labelledby": id, ...attributes },
        element("h3", { id }, title),
        ...children,
      );
    }

    function chart({ years, contradiction }) {
      if (contradiction) return null;
      if (!years)
        return part("Years", [
          element(
            "p",
            {},
            "Nothing recorded limits the years of these variants, so the answer is about variants only.",
          ),
        ]);
      const shown = years.span95.flatMap(([first, last]) =>
        Array.from({ length: last - first + 1 }, (_, at) => first + at),
      );
      const [first, last] = [Math.min(...shown), Math.max(...shown)];
      const of = new Map(years.probability);
      const greatest = Math.max(...shown.map((year) => of.get(year) || 0));
      const wide = Math.max(last - first + 1, 8);
      // The drawing is as wide for many years as for few, so that the years below it stay readable.
      const bar = CHART_WIDTH / wide;
      const marks = [];
      for (let year = first; year <= last; year += 1) {
        const height = (90 * (of.get(year) || 0)) / greatest;
        const inHalf = years.span50.some(([from, to]) => from <= year && year <= to);
        marks.push(
          drawn("rect", {
            x: (year - first) * bar + bar / 10,
            y: 95 - height,
            width: bar * 0.8,
            height,
            class: inHalf ? "half" : "most",
          }),
        );
        const step = wide > 60 ? 20 : wide > 24 ? 10 : wide > 12 ? 5 : 2;
        if (year % step === 0) {
          const x = (year - first + 0.5) * bar;
          const anchor = x < 16 ? "start" : x > CHART_WIDTH - 16 ? "end" : "middle";
          marks.push(drawn("line", { x1: x, x2: x, y1: 95, y2: 100 }));
          marks.push(drawn("text", { x, y: 115, "text-anchor": anchor }, String(year)));
        }
      }
      marks.push(drawn("line", { x1: 0, x2: CHART_WIDTH, y1: 95, y2: 95 }));
      const says = dating.yearsInWords(years);
      const viewBox = `0 0 ${CHART_WIDTH} 120`;
      const figure = drawn("svg", { viewBox, class: "years", role: "img", "aria-label": says }, marks);
      return part("Years", [
        element("div", { class: "wide", tabindex: "0", role: "group", "aria-label": "Chart of years" }, figure),
        element("p", { class: "detail" }, "Full bars cover 50 %; hollow bars extend this to 95 %."),
      ]);
    }

    function candidates(found, isKnown) {
      if (found.variants.length === 0)
        return part("Variants", [
          element("p", {}, found.contradiction ? "None, unless one of its details is wrong." : "None fits."),
        ]);
      const worthwhile = found.variants.filter((one) => one.probability >= WORTHWHILE).slice(0, 8);
      const beside = worthwhile.slice(0, 4).map(({ id }) => `thing=${encodeURIComponent(id)}`);
      const rows = worthwhile.map(({ id, probability }) =>
        element(
          "li",
          {},
          element("b", { class: "share" }, `${dating.percent(probability)} %`),
          " ",
          link(dating.nameOf(rules, id), `makers/${id}.html`),
        ),
      );
      return part("Variants", [
        isKnown ? null : element("p", { class: "detail" }, "nearest of the recorded variants; it may be none of them"),
        element("ol", { class: "candidates" }, ...rows),
        beside.length > 1
          ? element(
              "p",
              { class: "detail" },
              link("Put the likeliest side by side", `compare.html#${beside.join("&")}`),
            )
          : null,
      ]);
    }

    // A bar as long as a reason weighs; four bits fill it.
    function weight(bits) {
      const width = Math.round(Math.min(Math.abs(bits) / 4, 1) * 40);
      const shape = { x: bits > 0 ? 40 : 40 - width, y: 1, width, height: 8 };
      const middle = drawn("line", { x1: 40, x2: 40, y1: 0, y2: 10 });
      return drawn("svg", { viewBox: "0 0 80 10", class: "weight", "aria-hidden": "true" }, [
        drawn("rect", shape),
        middle,
      ]);
    }

    function reasons(found) {
      const rows = found.features
        .filter((one) => one.bits !== null)
        .sort((one, other) => Math.abs(other.bits) - Math.abs(one.bits));
      if (rows.length === 0) return null;
      const line = ({ feature, state, bits }) =>
        element(
          "tr",
          {},
          element("th", { scope: "row" }, nameOfFeature(feature)),
          element("td", {}, nameOfState(feature, state)),
          element("td", {}, weight(bits), dating.timesInWords(bits)),
        );
      return part("Why the first rather than the next", [
        element(
          "table",
          {},
          element(
            "thead",
            {},
            element(
              "tr",
              {},
              element("th", { scope: "col" }, "feature"),
              element("th", { scope: "col" }, "seen"),
              element("th", { scope: "col" }, "how likely"),
            ),
          ),
          element("tbody", {}, ...rows.map(line)),
        ),
      ]);
    }

    function changes(found, garment) {
      const rows = spoken(found, garment).map((one) => element("li", {}, one));
      return rows.length > 0 ? part("Changes that support these years", [element("ul", {}, ...rows)]) : null;
    }

    // It comes after the rest of an answer; until then the page says so, or keeps the advice before it.
    function lookNext(looks, isBusy) {
      if (looks && looks.length === 0) return [];
      const rows = (looks || []).map(({ feature, look }) =>
        element("li", {}, jump(feature), element("p", { class: "look" }, look)),
      );
      const shown = looks
        ? element("ol", {}, ...rows)
        : element("p", { class: "detail" }, "The page is still working this out.");
      return [part("Look next", [shown], { "aria-busy": isBusy && "true" })];
    }

    function marksToLookFor(found) {
      const marks = found.would_bound
        .filter((one) => one.rules_out >= WORTHWHILE)
        .map(({ feature, state, landmark, rules_out }) => {
          const title = rules.landmarks.find((one) => one.id === landmark).title;
          return element(
            "li",
            {},
            jump(feature),
            `: ${nameOfState(feature, state)} would rule out ${dating.ruledOut(rules_out)} of what is likely (`,
            link(title, `landmarks.html#landmark-${landmark}`),
            ")",
          );
        });
      return marks.length > 0 ? part("Marks to look for", [element("ul", {}, ...marks)]) : null;
    }

    function jump(feature) {
      return button(nameOfFeature(feature), () => lookAt(feature), { class: "jump", key: feature });
    }

    function doubt(found) {
      if (!found.contradiction) return null;
      const rows = found.doubt.map((one) =>
        element(
          "li",
          {},
          element("b", {}, "Without " + one.features.map(nameOfFeature).join(" and ") + ": "),
          dating.boundsInWords(rules, one.hard).join(" "),
          one.years ? " " + dating.yearsInWords(one.years) : "",
        ),
      );
      const text =
        rows.length > 0
          ? "Its details contradict one another. They would not if one of these were replaced or misread:"
          : "Its details contradict one another; more than two of them would have to be wrong.";
      return part("What contradicts", [element("p", { class: "notice" }, text), element("ul", {}, ...rows)]);
    }

    function unlike(found) {
      if (found.unlike.fires)
        return element(
          "p",
          { class: "notice" },
          "It is unlike anything recorded: its features do not occur together in any of these variants.",
        );
      return found.unlike.z === null
        ? null
        : element("p", { class: "detail" }, "With few garments recorded, an unremarkable result proves little.");
    }

    function quote({ paragraph }) {
      const label = "Paragraph for a listing";
      return element(
        "details",
        { class: "quote" },
        element("summary", {}, label),
        element("textarea", { id: "quote", readonly: true, rows: "7", "aria-label": label, value: paragraph }),
        element("p", {}, copier("Copy the paragraph", "quote", paragraph)),
      );
    }

    function inOneLine(found, garment) {
      const { hard } = found;
      const parts = [];
      if (hard.not_before) parts.push("not before " + dating.spoken.before(hard.not_before));
      if (hard.not_after) parts.push("not after " + dating.spoken.by(hard.not_after));
      const bounds =
        parts.length > 0 && !found.contradiction ? ` By its marks ${parts.join(", ")}, ${dating.ORIGINAL}.` : "";
      return dating.card(rules, garment, found).join(" ") + bounds;
    }

    // All parts, in the order of how sure they are. Without a maker or more known, the variants are only the nearest.
    function parts(found, garment, isKnown, next) {
      return [
        card(found, garment),
        bounds(found),
        doubt(found),
        chart(found),
        garment.features && Object.keys(garment.features).length > 0 ? candidates(found, isKnown) : null,
        unlike(found),
        reasons(found),
        changes(found, garment),
        // A page fills it on its own, by `lookNext`.
        element("div", { id: "look-next", key: "look-next" }, next),
        marksToLookFor(found),
        quote(found),
        element("p", { class: "caution" }, dating.CAUTION),
      ];
    }

    return { parts, lookNext, inOneLine };
  }

  window.bartackAnswering = answering;
})();
