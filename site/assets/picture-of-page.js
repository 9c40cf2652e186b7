// What a picture of a comparison, a variant or a line says: read from the page, so that both say the same.
//
// The name and the version of the knowledge base come from rules/rules.js, loaded when a picture is first asked for: pages
// name no version, since each would then change with every record.
(function () {
  "use strict";

  // So many drawings stand in a picture.
  const DRAWINGS = 3;

  /** @param {Element | null} element */
  function said(element) {
    return element ? (element.textContent || "").replace(/\s+/g, " ").trim() : "";
  }

  /** @param {ParentNode} place @param {string} selector */
  function all(place, selector) {
    return [...place.querySelectorAll(selector)];
  }

  /** @param {Element} row */
  function nameOf(row) {
    return said(row.querySelector("h3"));
  }

  // The features in which the two differ, with the counts of both.
  function compared() {
    return all(document, ".facing .group:not(.quiet) .beside").map((row) => ({
      name: nameOf(row),
      values: [...all(row, ".side").map(sideOf), said(row.querySelector(".finding"))],
    }));
  }

  /** @param {Element} side */
  function sideOf(side) {
    const states = all(side, ".state").map(said).join("; ");
    return `${said(side.querySelector(".of"))}: ${states || "not counted"}`;
  }

  function comparedOverModels() {
    return all(document, ".facing .group:not(.quiet) .over-models").map((row) => ({
      name: nameOf(row),
      values: [said(row.querySelector(".finding"))],
    }));
  }

  // The counts under each bar of the chart.
  function charted() {
    const rows = all(document, ".chart .strips > li");
    return rows.map((row) => ({
      name: said(row.querySelector(".who > a")),
      values: [said(row.querySelector(".who .detail"))],
    }));
  }

  // The description of each drawing of a variant, in words.
  function described() {
    return all(document, ".plates > figure").map((figure) => ({
      name: said(figure.querySelector("figcaption")),
      values: [said(figure.querySelector("svg > desc"))],
    }));
  }

  function changed() {
    return all(document, ".changing").map((row) => ({
      name: nameOf(row),
      values: [said(row.querySelector("h3 + p"))],
    }));
  }

  function counts() {
    const beside = [...compared(), ...comparedOverModels()];
    return (beside.length > 0 ? beside : [...charted(), ...described(), ...changed()]).filter((one) => one.name);
  }

  function drawings() {
    return all(document, ".plates > figure")
      .flatMap((figure) => {
        const caption = said(figure.querySelector("figcaption"));
        return all(figure, ".drawn > div").map((side) => {
          const whose = said(side.querySelector(".whose"));
          return { side, caption: whose ? `${whose}: ${caption}` : caption };
        });
      })
      .slice(0, document.querySelector(".plates.pairs") ? 2 : DRAWINGS)
      .map(({ side, caption }) => ({
        ...window.bartackPictureShapes.shapes(/** @type {Element} */ (side.querySelector("svg"))),
        caption,
      }));
  }

  function title() {
    const trail = all(document, ".trail li").map(said);
    const heading = said(document.querySelector("h1"));
    const above = trail[trail.length - 1];
    return above && !heading.includes(above) ? `${above}: ${heading}` : heading;
  }

  function content() {
    const { title: name, knowledge_base: version } = window.bartackRules;
    return {
      title: title(),
      lead: said(
        document.querySelector(".advice") || document.querySelector(".answer") || document.querySelector(".lead"),
      ),
      caution: said(document.querySelector(".caution .printed")),
      counts: counts(),
      drawings: drawings(),
      name,
      version,
    };
  }

  const button = document.getElementById("make-picture");
  const place = button && button.parentElement;
  if (!button || !place) return;
  const told = /** @type {HTMLElement} */ (place.querySelector("[role=status]"));

  function offer() {
    told.textContent = "";
    window.bartackPicture.offer(content());
  }

  button.addEventListener("click", () => {
    if (window.bartackRules) return offer();
    const script = document.createElement("script");
    script.src = `${place.dataset.root}rules/rules.js`;
    script.addEventListener("load", offer);
    script.addEventListener("error", () => {
      told.textContent = "No picture: the file rules/rules.js, which names the version, is missing beside these pages.";
      script.remove();
    });
    return document.head.append(script);
  });
  place.hidden = false;
})();
