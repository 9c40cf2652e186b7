// The effect of an entry on the present conclusions, as far as the rules and the records on the
// page allow: sentences with links to their evidence. `bartack diff` gives it in full once the
// entry exists.
(function () {
  "use strict";

  const dates = window.bartackRecordingDates;
  const dating = window.bartackDating;
  const { spoken } = dating;
  const { own } = window.bartackElements;
  // Below this share of the model's probability, a variant fits badly.
  const UNLIKELY = 0.1;

  // A sentence: text, and the records it rests on as { name, href }.
  function said(text, because) {
    return { text, because: because || [] };
  }

  function beyond([from, to], edges, what) {
    const sentences = [];
    if (to && edges.begin && to < edges.begin.day)
      sentences.push(
        said(
          `It would be earlier than ${what}, which began on ${spoken.day(edges.begin.day)} at the earliest according to`,
          edges.begin.because,
        ),
      );
    if (from && edges.end && from > edges.end.day)
      sentences.push(
        said(
          `It would be later than ${what}, which ended by ${spoken.day(edges.end.day)} according to`,
          edges.end.because,
        ),
      );
    return sentences;
  }

  function ofLandmarks(span, { hard, contradiction }, titles) {
    if (contradiction)
      return [
        said(
          "Its features contradict each other: " +
            `not before ${spoken.before(hard.not_before)}, not after ${spoken.by(hard.not_after)}.`,
        ),
      ];
    const because = (ids) => ids.map((id) => ({ name: titles.get(id), href: `landmarks.html#landmark-${id}` }));
    const sentences = [];
    if (span && hard.not_before && span[1] && span[1] < hard.not_before)
      sentences.push(
        said(
          `Its date contradicts a landmark on it: not before ${spoken.before(hard.not_before)} according to`,
          because(hard.not_before_by),
        ),
      );
    if (span && hard.not_after && span[0] && span[0] > hard.not_after)
      sentences.push(
        said(
          `Its date contradicts a landmark on it: not after ${spoken.by(hard.not_after)} according to`,
          because(hard.not_after_by),
        ),
      );
    return sentences;
  }

  // The days it would move among those on which the variant was surely made.
  function moves(span, era) {
    const { day } = spoken;
    const sentences = [];
    if (span[1] && (!era.begin.latest || span[1] < era.begin.latest))
      sentences.push(
        said(
          `The variant would have begun by ${day(span[1])}${era.begin.latest ? ", not " + day(era.begin.latest) : ""}.`,
        ),
      );
    if (span[0] && (!era.end.earliest || span[0] > era.end.earliest))
      sentences.push(
        said(
          `The variant would not have ended before ${day(span[0])}${era.end.earliest ? ", not " + day(era.end.earliest) : ""}.`,
        ),
      );
    return sentences;
  }

  // Days since 1970, as the records count them.
  function number(day) {
    return Date.parse(day + "T00:00:00Z") / 86400000;
  }

  function ofState(feature, value, span, states) {
    const recorded = own(states, feature.id);
    const shown = `${feature.name.toLowerCase()} “${dating.reading(feature, value)}”`;
    if (!recorded) return [said(`It would be the first record of ${feature.name.toLowerCase()} on this variant.`)];
    const total = Object.values(recorded).reduce((sum, [count]) => sum + count, 0);
    const sight = own(recorded, value);
    if (!sight) return [said(`It would be the first with ${shown} among ${total + 1} of this variant.`)];
    const [, earliest, latest, era] = sight;
    const sentences = span ? beyond(span, era || {}, `any ${shown} on this variant`) : [];
    if (sentences.length > 0 || !span) return sentences;
    if (span[1] && earliest !== null && number(span[1]) < earliest)
      sentences.push(said(`It would be the earliest garment of this variant with ${shown}.`));
    if (span[0] && latest !== null && number(span[0]) > latest)
      sentences.push(said(`It would be the latest garment of this variant with ${shown}.`));
    return sentences;
  }

  function ofFit(answers, { rules, prepared }) {
    const features = Object.fromEntries(counted(answers));
    const own = dating.inParts(prepared, { variant: answers.variant, features }).found;
    const among = dating.inParts(prepared, { model: answers.model, features }).found;
    const sentences = [];
    if (own.unlike && own.unlike.fires)
      sentences.push(
        said(
          "These features are not recorded together on this variant: look again for replaced parts, or for another variant.",
        ),
      );
    const [top] = among.variants || [];
    const share = (among.variants || []).find((one) => one.id === answers.variant);
    if (top && share && top.id !== answers.variant && share.probability < UNLIKELY) {
      const shares = `${dating.percent(top.probability)} % against ${dating.percent(share.probability)} %`;
      sentences.push(said(`Judging by its features, ${dating.nameOf(rules, top.id)} is more likely: ${shares}.`));
    }
    return sentences;
  }

  function counted(answers) {
    return [...answers.features].filter(([id, value]) => {
      const about = answers.about[id] || {};
      return value !== "lost" && !about.altered && !about.unsure;
    });
  }

  // An observation cannot be older than the garment: such an entry is refused.
  function ofDay(span, observed) {
    if (!span || !span[0] || !observed || span[0] <= observed) return [];
    return [said(`It would be refused: its date begins on ${span[0]}, after the day you looked, ${observed}.`)];
  }

  // All that would change, what contradicts first.
  function effects(answers, { rules, prepared, recording }) {
    const span = dates.dated(answers, recording.circa_years).days;
    const isDated = span && ["mark", "paper", "key"].includes(answers.madeBy);
    const titles = new Map(rules.landmarks.map((one) => [one.id, one.title]));
    const features = Object.fromEntries(counted(answers));
    const { found } = dating.inParts(prepared, { market: answers.market, features });
    const refused = ofDay(span, dates.observed(answers).edtf);
    if (found.cannot_tell) return refused;
    const sentences = [...refused, ...ofLandmarks(span, found, titles)];
    const known = recording.variants[answers.variant];
    const variant = rules.variants.find((one) => one.id === answers.variant);
    if (!known || !variant) return sentences;
    const contradicts = isDated ? beyond(span, known.era, "the variant itself") : [];
    sentences.push(...contradicts);
    if (isDated && contradicts.length === 0) sentences.push(...moves(span, variant.era));
    for (const [id, value] of counted(answers)) {
      const feature = prepared.features.get(id);
      const isTold = feature.kind === "state" || feature.kind === "count" || value === "absent";
      if (isTold && answers.placedBy !== "judged")
        sentences.push(...ofState(feature, value, isDated ? span : null, known.states));
    }
    sentences.push(...ofFit(answers, { rules, prepared }));
    return sentences;
  }

  window.bartackRecordingEffects = { effects };
})();
