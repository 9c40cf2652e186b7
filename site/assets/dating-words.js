// Turns an answer into the sentences that a seller may paste; the engine writes the same.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const CAUTION =
    "This is an opinion drawn from what people recorded, not an authentication. Parts get replaced and " +
    "labels get moved to other garments. Tell a buyer what you measured yourself, and keep to the consumer law of the " +
    "place where you sell.";
  const ORIGINAL = "if the label is original to the garment and no copy";

  function percent(probability) {
    return Math.floor(probability * 100 + 0.5);
  }

  function spansInWords(runs) {
    return runs.map(([first, last]) => (first === last ? `in ${first}` : `from ${first} to ${last}`)).join(" or ");
  }

  function yearsInWords(years) {
    return `Made ${spansInWords(years.span50)} with 50 %, ${spansInWords(years.span95)} with 95 %.`;
  }

  function boundsInWords(rules, hard) {
    const titles = (ids) =>
      ids.map((id) => (rules.landmarks.find((landmark) => landmark.id === id) || { title: id }).title).join("; ");
    const sentences = [];
    if (hard.not_before)
      sentences.push(`Not made before ${hard.not_before}, ${ORIGINAL}: ${titles(hard.not_before_by)}.`);
    if (hard.not_after) sentences.push(`Not made after ${hard.not_after}, ${ORIGINAL}: ${titles(hard.not_after_by)}.`);
    return sentences.length > 0 ? sentences : ["No landmark bounds its date."];
  }

  function nameOf(rules, id) {
    const variant = rules.variants.find((one) => one.id === id);
    const maker = rules.makers.find((one) => one.id === variant.maker);
    const model = rules.models.find((one) => one.id === variant.model);
    return [maker, model, variant]
      .filter(Boolean)
      .map((one) => one.name)
      .join(", ");
  }

  function likeness(rules, variants) {
    const said = ({ id, probability }) => `${nameOf(rules, id)} (${percent(probability)} %)`;
    const next = variants[1] && percent(variants[1].probability) > 0 ? `, then ${said(variants[1])}` : "";
    return `Of the recorded variants it is most like ${said(variants[0])}${next}.`;
  }

  function paragraph(rules, garment, found) {
    const sentences = [
      `Dated with ${rules.title}, version ${rules.knowledge_base}.`,
      ...boundsInWords(rules, found.hard),
    ];
    if (found.contradiction) {
      sentences.push("What it shows cannot all be so; one of its parts may be replaced or misread.");
    } else if (["maker", "model", "line", "variant"].some((key) => garment[key])) {
      if (found.variants.length > 0) sentences.push(likeness(rules, found.variants));
      if (found.years) sentences.push(yearsInWords(found.years));
    } else {
      sentences.push("Its maker is not known, so no variant is named.");
    }
    if (found.unlike.fires) sentences.push("It is unlike anything recorded.");
    sentences.push(CAUTION);
    return sentences.join(" ");
  }

  Object.assign(dating, { CAUTION, ORIGINAL, percent, spansInWords, yearsInWords, boundsInWords, nameOf, paragraph });
})(globalThis);
