// Readers that leave out or break one rule of dating: what of the browser's reader is replaced by what.
//
// `name` says which rule the reader breaks. `find` is a fragment that the reader holds once, `put` what stands there
// instead, or both are lists; line breaks and indents do not matter.
"use strict";

const REST = [
  ["does not ask what the rules require", "missing.length > 0", "false"],
  ["leaves out an unknown feature without a word", "!readings.has(feature)).sort(order)", "false).sort(order)"],
  ["reads features of an unknown kind", "FEATURE_KINDS.includes(feature.kind)", "true"],
  ["forgets what the caller calls the garment", "asked.id === undefined ? null : asked.id", "null"],
];

const QUESTION = [
  [
    "ignores what the maker is",
    '["maker", "model", "line", "wearer", "variant"]',
    '["model", "line", "wearer", "variant"]',
  ],
  [
    "ignores what the model is",
    '["maker", "model", "line", "wearer", "variant"]',
    '["maker", "line", "wearer", "variant"]',
  ],
  [
    "ignores the label line",
    '["maker", "model", "line", "wearer", "variant"]',
    '["maker", "model", "wearer", "variant"]',
  ],
  ["ignores the wearer", '["maker", "model", "line", "wearer", "variant"]', '["maker", "model", "line", "variant"]'],
  [
    "ignores what the variant is",
    '["maker", "model", "line", "wearer", "variant"]',
    '["maker", "model", "line", "wearer"]',
  ],
  ["asks for one thing known instead of all", "named.every((key)", "named.some((key)"],
  ["ignores earlier ids", "own(aliases, id) || id", "id"],
  ["ignores earlier ids of makers", 'of ["maker", "model", "variant"]', 'of ["model", "variant"]'],
  ["ignores earlier ids of models", 'of ["maker", "model", "variant"]', 'of ["maker", "variant"]'],
  ["ignores earlier ids of variants", 'of ["maker", "model", "variant"]', 'of ["maker", "model"]'],
  ["ignores earlier ids of makers in lines", "replace(/^[^/]+/, current)", "toString()"],
  ["ignores whether a model is counted", "variant.model.counted &&", ""],
  ["ignores which garments have a feature", "examined.every((feature)", "[].every((feature)"],
  ["asks that any feature fits the sort of garment", "examined.every((feature)", "examined.some((feature)"],
  ["leaves out models without counted garments when they are named", "named.length > 0", "false"],
];

const LANDMARKS = [
  ["reads conditions of an unknown kind", 'condition.kind === "state" || condition.kind === "range"', "true"],
  ["reads landmarks of an unknown force", '!["hard", "soft"].includes(landmark.force)', "false"],
  ["meets any where all are asked for", "condition.of.every((part) => isMet(", "condition.of.some((part) => isMet("],
  ["meets all where any is asked for", "condition.of.some((part) => isMet(", "condition.of.every((part) => isMet("],
  ["ignores where a range begins", "condition.from <= number", "true"],
  ["ignores where a range ends", "number <= condition.to", "true"],
  ["leaves out the first number of a range", "condition.from <= number", "condition.from < number"],
  ["leaves out the last number of a range", "number <= condition.to", "number < condition.to"],
  [
    "takes an open range for a closed one",
    "condition.to === null || condition.to === undefined ||",
    "condition.to !== null &&",
  ],
  ["takes soft landmarks for hard ones", 'landmark.force === "hard" && (', "("],
  ["takes hard landmarks for soft ones", 'landmark.force === "hard" && (', "false && ("],
  ["ignores the market of hard landmarks", "landmark.market === undefined || landmark.market === market)", "true)"],
  [
    "is silent where the market is not known",
    "landmark.market && market && landmark.market !== market",
    "landmark.market && landmark.market !== market",
  ],
  ["lets landmarks of another market speak", "landmark.market && market && landmark.market !== market", "false"],
  ["takes the earliest beginning", "other.number > one.number", "other.number < one.number"],
  ["takes the latest end", "other.number < one.number", "other.number > one.number"],
  [
    "names one landmark behind a bound",
    "hard.filter((landmark) => landmark[key] &&",
    "hard.slice(0, 1).filter((landmark) => landmark[key] &&",
  ],
  [
    "sees no contradiction within a year",
    [
      "inverted = notBefore && notAfter && notBefore.number > notAfter.number",
      "inverted = Boolean(notBefore && notAfter && notBefore.number > notAfter.number)",
    ],
    "inverted = Boolean(notBefore && notAfter && notBefore.year > notAfter.year)",
  ],
  ["leaves only whole years", "notBefore.year > year", "notBefore.year >= year"],
  ["leaves no year in which a bound ends", "notAfter.year < year", "notAfter.year <= year"],
  [
    "takes bounds outside the years for a contradiction",
    "outside || fits(year, notBefore, notAfter)",
    "fits(year, notBefore, notAfter)",
  ],
  ["tells years where the bounds lie outside them", "bounded.outside || !members.some(", "!members.some("],
  ["lets soft landmarks speak where no year can be told", "(outside ? [] : speaking)", "speaking"],
  ["lets soft landmarks speak of what garments answer", "model.examined.includes(feature)", "false"],
  [
    "asks that garments answer all a soft landmark names",
    "landmark.features.some((feature)",
    "landmark.features.every((feature)",
  ],
  ["ignores soft landmarks", "divisors[at] = Math.max(divisors[at], odds)", "divisors[at] = 1"],
  ["gives every soft landmark odds of ten", "Math.max(divisors[at], odds)", "Math.max(divisors[at], 10)"],
  ["multiplies the soft landmarks of a zone", "Math.max(divisors[at], odds)", "divisors[at] * odds"],
  ["takes the last soft landmark of a zone", "Math.max(divisors[at], odds)", "odds"],
  ["ignores zones", "zones.get(landmark.zone);", "zones.get([...zones.keys()][0]);"],
  ["takes the zone of the last feature", "features.get(named[0])", "features.get(named[named.length - 1])"],
  [
    "divides the years inside the bounds",
    "(!fits(year, landmark.notBefore, landmark.notAfter))",
    "(fits(year, landmark.notBefore, landmark.notAfter))",
  ],
];

const YEARS = [
  ["weighs years at their first day", "dayNumber(year, 7, 1)", "dayNumber(year, 1, 1)"],
  ["gives every year the same weight", "return Math.max(scaled, FLOOR * halved(distance))", "return 1"],
  ["halves the weight in ten years", "HALVING = 5", "HALVING = 10"],
  ["has no floor", "FLOOR = 0.05", "FLOOR = 0"],
  ["has a floor that does not fall", "FLOOR * halved(distance)", "FLOOR"],
  [
    "lets production begin at once",
    "clamp((day - earliest.number) / (latest.number - earliest.number))",
    "day >= earliest.number ? 1 : 0",
  ],
  [
    "lets production end at once",
    "clamp((latest.number - day) / (latest.number - earliest.number))",
    "day <= latest.number ? 1 : 0",
  ],
  [
    "ends what has no known beginning at once",
    "return halved((latest.number - day) / 365.25)",
    "return day >= latest.number ? 1 : 0",
  ],
  ["lets what has no known end go on for ever", "return halved((day - earliest.number) / 365.25)", "return 1"],
  [
    "counts years of 365 days",
    "return halved((day - earliest.number) / 365.25)",
    "return halved((day - earliest.number) / 365)",
  ],
  ["does not divide by the greatest weight", "shape[at] / greatest", "shape[at]"],
  ["gives nothing to what was made for less than a year", "distance === 0 ? 1 : 0", "0"],
  ["takes no mean for a variant without a bound", "meanWeights(rules, weights, variant) ||", ""],
  ["takes the mean over all models", "other.model === variant.model && weights.has(other.id)", "weights.has(other.id)"],
  ["tells years where nobody knows any", "!members.some((member) => member.isBounded)", "false"],
];

const LIKELIHOOD = [
  [
    "ignores the temper",
    "weigh(prepared, members, readings, bounded, codes) {",
    "weigh(prepared, members, readings, bounded, codes) { " +
      "members = members.map((member) => ({ ...member, model: { ...member.model, temper: 1 } }));",
  ],
  ["takes the greatest temper", "Math.min(least, member.model.temper), 1)", "Math.max(least, member.model.temper), 0)"],
  ["takes the temper of the last model", "Math.min(least, member.model.temper), 1)", "member.model.temper, 1)"],
  ["reads cells as tenths of a bit", "(cell) => cell / 20", "(cell) => cell / 10"],
  ["reads the model's cells only", "const cells = own(variant.source.cells, feature)", "const cells = null"],
  [
    "takes a state without a word for the first",
    "column < 0 ? feature.columns.length - 1 : column",
    "Math.max(column, 0)",
  ],
  ["leaves out counts", '(feature.kind === "state" || feature.kind === "count") {', '(feature.kind === "state") {'],
  ["uses what is lost", 'if (value === "lost") continue', ""],
  ["leaves out measures", 'feature.kind === "measure" && asNumber(value) !== null', "false"],
  ["takes the first stratum of a measure", "stratum(feature, readings.get(other)) === wanted", "true"],
  ["cuts a band above its first number", "cut <= number", "cut < number"],
  [
    "uses a measure where one model has it",
    ["[...tables.values()].every(Boolean)", "const runs = own(measure.variants, variant.id)"],
    [
      "[...tables.values()].some(Boolean)",
      "if (!measure) return prepared.years.map(() => 0); const runs = own(measure.variants, variant.id)",
    ],
  ],
  ["lets nothing shrink", "measure.shrinks && reading < centre", "false && reading < centre"],
  ["lets everything shrink", "measure.shrinks && reading < centre", "reading < centre"],
  ["lets things shrink to nothing", "reading > (1 - SHRINKAGE) * centre", "true"],
  ["leaves no room for a misread measure", "* tail + measure.slip / measure.width", "* tail"],
  [
    "takes a normal curve for a measure",
    "Math.pow(1 + (z * z) / measure.degrees, -(measure.degrees + 1) / 2)",
    "Math.exp((-z * z) / 2)",
  ],
  ["takes the model's centre for every variant", "const runs = own(measure.variants, variant.id)", "const runs = null"],
];

const POSTERIOR = [
  [
    "gives every variant the same share",
    "1 / (sizes.size * sizes.get(member.model.id) * member.total)",
    "1 / member.total",
  ],
  [
    "does not make the weights of a variant total one",
    "1 / (sizes.size * sizes.get(member.model.id) * member.total)",
    "1 / (sizes.size * sizes.get(member.model.id))",
  ],
  ["leaves the years that landmarks cut", "bounded.left[at] ? weight * soft[at] : 0", "weight * soft[at]"],
  ["tempers landmarks", "prior * left[at] *", "prior * Math.pow(before[number][at], temper) *"],
  ["ranks variants by name", "ranked.sort((one, other) =>", "ranked.sort((one, other) => one - other ||"],
  [
    "names the last of equal variants first",
    "EQUAL_PROBABILITY) || one - other); return { used",
    "EQUAL_PROBABILITY) || other - one); return { used",
  ],
];

const ANSWER = [
  ["names years of no probability", "filter(([, share]) => share > 0)", "filter(() => true)"],
  ["takes 90 % for 95", "spans(prepared.years, probability, 0.95)", "spans(prepared.years, probability, 0.9)"],
  ["takes 60 % for 50", "spans(prepared.years, probability, 0.5)", "spans(prepared.years, probability, 0.6)"],
  [
    "takes the later of equal years first",
    "EQUAL_PROBABILITY) || one - other); const taken",
    "EQUAL_PROBABILITY) || other - one); const taken",
  ],
  ["takes the years in their order", "sum >= share - EQUAL_PROBABILITY) break", "false) break"],
  ["does not join adjacent years", "last && last[1] + 1 === year", "false"],
  [
    "gives bits without temper",
    "weighed.temper * (seen(top, reading) - seen(next, reading))",
    "seen(top, reading) - seen(next, reading)",
  ],
  ["gives bits where there is no next variant", "next === undefined ? null :", "next === undefined ? 0 :"],
  ["weighs bits without landmarks", "const before = weighed.before[number]", "const before = members[number].weights"],
];

const UNLIKE = [
  ["calls nothing unlike", "UNLIKE = 2.33", "UNLIKE = 99"],
  ["calls everything unlike", "UNLIKE = 2.33", "UNLIKE = -99"],
  ["takes rounded shares as they are", "averaged.map((share) => share / total)", "averaged"],
  [
    "holds the garment against the last variant",
    "members[weighed.order[0]]",
    "members[weighed.order[weighed.order.length - 1]]",
  ],
  [
    "does not take the mean surprise away",
    "Math.log2(shares[reading.column]) - mean",
    "Math.log2(shares[reading.column])",
  ],
];

const ADVICE = [
  ["looks at features that define a line", "!feature.defining &&", ""],
  ["looks at features again", "!feature.defining && !readings.has(feature.id)", "!feature.defining"],
  [
    "looks for what the garment cannot have",
    "!readings.has(feature.id) && members.some((member) => applies(feature, member.model.garment))",
    "!readings.has(feature.id)",
  ],
  ["looks at states only", '(feature.kind === "state" || feature.kind === "count") &&', 'feature.kind === "state" &&'],
  ["asks all variants where to look", "share >= 0.99 - EQUAL_PROBABILITY", "false"],
  ["asks the first variant where to look", "share >= 0.99 - EQUAL_PROBABILITY", "held.length > 0"],
  ["does not temper where to look", "(temper * cell) / 20", "cell / 20"],
  [
    "looks first at what is often replaced",
    'Number(one.feature.replaceable === "often") - Number(other.feature.replaceable === "often") ||',
    "",
  ],
  ["names four features to look at", "drops.slice(0, 3)", "drops.slice(0, 4)"],
  [
    "names marks where no year can be told",
    [
      "bounded.contradiction || bounded.outside ?",
      "later(bounded.notBefore, landmark.notBefore)",
      "earlier(bounded.notAfter, landmark.notAfter)",
    ],
    [
      "bounded.contradiction ?",
      "bounded.outside ? landmark.notBefore : later(bounded.notBefore, landmark.notBefore)",
      "bounded.outside ? landmark.notAfter : earlier(bounded.notAfter, landmark.notAfter)",
    ],
  ],
  ["names features that tell nothing", "all.filter(({ drop }) => drop > EQUAL_SHARE)", "all"],
  ["names all marks", "marks.slice(0, 5)", "marks"],
  ["names marks that rule out nothing", "part(false, inHand) <= EQUAL_SHARE ||", ""],
  ["names marks that leave nothing", "|| part(true, inHand) <= EQUAL_SHARE", ""],
  ["forgets when the garment was in hand", "garment.in_hand ? parseDay(garment.in_hand).year : Infinity", "Infinity"],
  ["takes marks of another market", "isHard(one, garment.market)", "isHard(one, one.market)"],
  [
    "names marks of soft landmarks",
    "prepared.landmarks.filter((one) => isHard(one, garment.market))",
    "prepared.landmarks",
  ],
  [
    "names one part of a condition that needs all as a mark",
    'condition.kind === "any") return condition.of.flatMap(statesOf)',
    "condition.of) return condition.of.flatMap(statesOf)",
  ],
  [
    "names no mark that is one of several",
    'condition.kind === "any") return condition.of.flatMap(statesOf)',
    "condition.of) return []",
  ],
  ["names marks that were looked for", "isApplied && !readings.has(feature)", "isApplied"],
  ["forgets the bounds that are there", "later(bounded.notBefore, landmark.notBefore)", "landmark.notBefore"],
  ["rules out years, not their probability", "const weights = years ?", "const weights = false ?"],
];

const DOUBT = [
  ["doubts pairs first", "[singles, pairs]", "[pairs, singles]"],
  ["doubts single features only", "[singles, pairs]", "[singles]"],
  [
    "doubts everything",
    "return []; } function without(",
    "return [{ features: given, hard: {}, variants: [], years: null }]; } function without(",
  ],
  ["ignores what is never replaced", "count(one, 0) - count(other, 0) ||", ""],
  ["ignores what is sometimes replaced", "count(one, 1) - count(other, 1) ||", ""],
  ["doubts in the order of names", "found.sort((one, other) => compareDoubts(prepared, one, other))", "found"],
  [
    "forgets the market when it doubts",
    "const bounded = bound(prepared, rest, garment.market)",
    "const bounded = bound(prepared, rest, null)",
  ],
  [
    "goes on with what it doubts",
    "weigh(prepared, members, rest, bounded, factors)",
    "weigh(prepared, members, readings, bounded, factors)",
  ],
];

const CODES = [
  ["reads no codes", "const read = speaking", "const read = [].concat()"],
  ["reads codes and makes nothing of them", "used && read.length > 0", "false"],
  ["uses codes where no maker is known", "maker !== null && read.every(", "read.every("],
  [
    "takes the maker from nothing but the maker",
    "garment.maker || garment.model || garment.line || garment.variant;",
    "garment.maker;",
  ],
  ["takes no maker from the model", "garment.maker || garment.model ||", "garment.maker ||"],
  ["takes no maker from the line", "garment.model || garment.line ||", "garment.model ||"],
  ["takes no maker from the variant", "garment.line || garment.variant;", "garment.line;"],
  ["ignores the makers of a key", "key.makers.length === 0 || key.makers.includes(maker)", "true"],
  ["takes a key without makers for nobody's", "key.makers.length === 0 ||", ""],
  ["ignores which feature a key reads", "key.feature === feature &&", ""],
  ["uses keys that read a code differently", "agree(one.reading, two.reading)", "true"],
  ["uses none of several keys", "agree(one.reading, two.reading)", "false"],
  ["asks for the dates alone when keys agree", "joined(other.dates) && areAlike", "joined(other.dates)"],
  ["asks for the factories alone when keys agree", "joined(one.dates) === joined(other.dates) && areAlike", "areAlike"],
  ["takes a key that names no factory for one that names another", 'factories.includes("[]") ||', ""],
  [
    "multiplies the odds of keys that agree",
    "Math.max(...read.map(({ key }) => key.odds))",
    "read.reduce((odds, { key }) => odds * key.odds, 1)",
  ],
  ["takes the odds of the first key", "Math.max(...read.map(({ key }) => key.odds))", "read[0].key.odds"],
  ["gives every key odds of ten", "Math.max(...read.map(({ key }) => key.odds))", "10"],
  ["divides the years that are read", "years.includes(year) ? 1 : odds", "years.includes(year) ? odds : 1"],
  ["rules out the years that are not read", "years.includes(year) ? 1 : odds", "years.includes(year) ? 1 : Infinity"],
  ["takes the last of two codes alone", "(sofar ? sofar[at] : 1) /", "1 /"],
  [
    "lets codes tell where to look next",
    "lookNext(prepared, members, readings, unread)",
    "lookNext(prepared, members, readings, weighed)",
  ],
  ["forgets the codes when it doubts", "const { factors } = codesOf(prepared, garment, rest)", "const factors = null"],
  [
    "goes on with the codes it doubts",
    "const { factors } = codesOf(prepared, garment, rest)",
    "const { factors } = codesOf(prepared, garment, readings)",
  ],
  ["uses keys with parts it does not know", "key.forms.every((form) => form.every(isKnownPart))", "true"],
  ["uses keys with parts of no kind", "&& (Number.isInteger(part.digits) || Number.isInteger(part.letters))", ""],
  ["minds small letters", ".replace(/[a-z]/g, (letter) => letter.toUpperCase())", ""],
  ["minds long dashes", '.replace(/[\\u2010-\\u2015\\u2212]/g, "-")', ""],
  ["minds separators", "!SEPARATORS.includes(one) || kept.includes(one)", "true"],
  [
    "drops separators that a form asks for",
    "!SEPARATORS.includes(one) || kept.includes(one)",
    "!SEPARATORS.includes(one)",
  ],
  ["drops colons", '[" ", ".", "-", "/"]', '[" ", ".", "-", "/", ":"]'],
  ["lets a code go on after the form", "at === code.length ? figures : null", "figures"],
  ["takes any character for a figure", "/^[0-9]+$/", "/^.+$/"],
  ["takes any character for a letter", "/^[A-Z]+$/", "/^.+$/"],
  ["takes any text for the text of a form", 'part.characters.join("") === text', "true"],
  ["takes a text that no row of a table has", "part.table && row === undefined", "false"],
  ["reads the figures and not the table", "part.table ? row : Number(text)", "Number(text)"],
  ["leaves factories in capitals", "text.toLowerCase()", "text"],
  ["takes months above 12", '["month", [1, 12]]', '["month", [1, 99]]'],
  ["takes month 0", '["month", [1, 12]]', '["month", [0, 12]]'],
  ["takes a fifth quarter", '["quarter", [1, 4]]', '["quarter", [1, 9]]'],
  ["takes week 0", '["week", [1, 53]]', '["week", [0, 53]]'],
  ["takes week 53 in every year", "first < firstMonday(year + 1)", "true"],
  ["knows no week 53", '["week", [1, 53]]', '["week", [1, 52]]'],
  ["begins weeks on 1 January", "dayNumber(year, 1, 4)", "dayNumber(year, 1, 1)"],
  ["begins weeks on Sundays", "fourth + 3", "fourth + 4"],
  ["takes day 0", '["day", [1, 31]]', '["day", [0, 31]]'],
  ["gives every month 31 days", "[4, 6, 9, 11].includes(month) ? 30 : 31", "31"],
  ["knows no leap years", "leap(year) ? 29 : 28", "28"],
  ["takes every fourth year for a leap year", "(year % 100 !== 0 || year % 400 === 0)", "true"],
  ["reads the year alone", "if (month === undefined) {", "if (true) {"],
  ["takes a quarter for the year", "quarter === undefined ? [1, 12] : [3 * quarter - 2, 3 * quarter]", "[1, 12]"],
  ["reads one century", "FIRST = 1850", "FIRST = 1900"],
  ["ignores where a key begins", "date[1] >= key.first.number", "true"],
  ["ignores where a key ends", "date[0] <= key.last.number", "true"],
  ["asks that a date lies wholly after a key begins", "date[1] >= key.first.number", "date[0] >= key.first.number"],
  ["asks that a date lies wholly before a key ends", "date[0] <= key.last.number", "date[1] <= key.last.number"],
  ["reads the first form alone", "for (const form of key.forms) {", "for (const form of key.forms.slice(0, 1)) {"],
  ["counts the first year of a week alone", "year <= ymd(last)[0]", "year <= ymd(first)[0]"],
  ["names a factory of several", "factories.length === 1 ? factories[0] : null", "factories[0] || null"],
];

const all = [
  ...REST,
  ...QUESTION,
  ...LANDMARKS,
  ...YEARS,
  ...LIKELIHOOD,
  ...POSTERIOR,
  ...ANSWER,
  ...UNLIKE,
  ...ADVICE,
  ...DOUBT,
  ...CODES,
];
module.exports = all.map(([name, find, put]) => ({ name, find, put }));
