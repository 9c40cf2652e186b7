// What the scripts that date a garment leave in `window`: days, keys, the rules laid out, an answer and its words.

/** A day of the rules; its number is counted from 1970-01-01. */
interface NumberedDay {
  text: string;
  year: number;
  number: number;
}

type PreparedLandmark = Landmark & {
  features: string[];
  zone: string | null;
  notBefore: NumberedDay | null;
  notAfter: NumberedDay | null;
};

/** A form of a key; `kept` are the separators that it takes. */
interface PreparedForm {
  parts: (KeyPart & { characters?: string[] })[];
  kept: string[];
}

interface PreparedKey extends Omit<CodeKey, "forms"> {
  forms: PreparedForm[];
  first: NumberedDay;
  last: NumberedDay;
}

/** The columns of a table, each with a cell for every year. */
type Cells = number[][];

interface PreparedModel extends Model {
  tables: Map<string, Cells>;
}

interface PreparedVariant {
  id: string;
  source: Variant;
  model: PreparedModel;
  isBounded: boolean;
  /** The production weight of each year, and their sum. */
  weights: number[];
  total: number;
  tables: Map<string, Cells>;
}

/** The rules, laid out for answering. */
interface Prepared {
  rules: Rules;
  years: number[];
  features: Map<string, Feature>;
  models: Map<string, PreparedModel>;
  variants: PreparedVariant[];
  landmarks: PreparedLandmark[];
  keys: PreparedKey[];
}

/** A garment as it is asked about. */
interface Garment {
  id?: string;
  maker?: string;
  model?: string;
  line?: string;
  wearer?: string;
  variant?: string;
  market?: string;
  /** A day on which it was there. */
  in_hand?: string;
  features?: Record<string, string | number>;
}

type Readings = Map<string, string | number>;

/** A reading with a likelihood: by a column of a table, or by a measure of each model. */
interface UsedReading {
  id: string;
  value: string | number;
  column?: number;
  number?: number;
  tables?: Map<string, Measure>;
}

type HardBounds = import("../../../src/publish/export/rules/reader.mjs").Bounds;

/** What landmarks say of the years; `left` says of each year whether it is possible. */
interface Bounded {
  notBefore: NumberedDay | null;
  notAfter: NumberedDay | null;
  outside: boolean;
  left: boolean[];
  soft: { landmark: PreparedLandmark; odds: number }[];
  contradiction: boolean;
  hard: HardBounds;
}

/** Variants by their places among those in question; `order` has the likeliest first. */
interface Weighed {
  used: UsedReading[];
  temper: number;
  before: number[][];
  joint: number[][];
  variants: number[];
  order: number[];
}

/** The number of the first day, then that of the last. */
type NumberedDays = [number, number];

type Figure = import("../../../src/publish/export/rules/reader.mjs").FigureRead;

/** What a key makes of a code. */
interface CodeReading {
  forms: { figures: Figure[]; dates: NumberedDays[] }[];
  dates: NumberedDays[];
  factories: string[];
  reads: string;
  years: number[];
  factory: string | null;
}

/** The same for who asks by the id of a key; days are texts. */
type KeyReading = import("../../../src/publish/export/rules/reader.mjs").KeyReading;

type FoundKey = import("../../../src/publish/export/rules/reader.mjs").CodeRead;

type FoundVariant = import("../../../src/publish/export/rules/reader.mjs").VariantShare;

type FoundYears = import("../../../src/publish/export/rules/reader.mjs").Years;

type NextLook = import("../../../src/publish/export/rules/reader.mjs").Answer["look_next"][number];

type Doubt = import("../../../src/publish/export/rules/reader.mjs").Doubt;

/** The published answer; one with `cannot_tell` holds nothing else, and one in parts has no `look_next` yet. */
interface Found extends Omit<import("../../../src/publish/export/rules/reader.mjs").Answer, "look_next"> {
  /** What the rules require and these scripts do not know. */
  cannot_tell?: string[];
  look_next: NextLook[] | null;
}

/** Days and measures in words; a day is its text or year, month and day. */
interface Spoken {
  MONTHS: string[];
  month: (date: Ymd) => string;
  day: (given: string | Ymd) => string;
  closesMonth: (date: Ymd) => boolean;
  before: (given: string | Ymd) => string;
  by: (given: string | Ymd) => string;
  begin: (given: string | Ymd) => string;
  end: (given: string | Ymd) => string;
  years: (first: number, last: number) => string;
  rounded: (number: number, places: number) => string;
  other: (value: number, unit: string) => string;
  measure: (value: number, unit: string) => string;
}

interface Dating {
  dayNumber: (year: number, month: number, day: number) => number;
  ymd: (number: number) => Ymd;
  daysInMonth: (year: number, month: number) => number;
  dayText: (number: number) => string;
  padded: (number: number | string, width: number) => string;
  parseDay: (text: string | null | undefined) => NumberedDay | null;

  Unreadable: new (message: string) => Error;
  worded: <Given extends any[], Result>(act: (...given: Given) => Result) => (...given: Given) => Result;
  own: <T>(object: Record<string, T> | null | undefined, key: string) => T | undefined;
  production: (era: Era, years: number[]) => number[];
  isBounded: (era: Era) => boolean;

  order: (one: string, other: string) => number;
  prepareLandmark: (landmark: Landmark, features: Map<string, Feature>) => PreparedLandmark | null;
  asNumber: (value: string | number) => number | null;
  isHard: (landmark: Landmark, market?: string) => boolean;
  fits: (year: number, notBefore: NumberedDay | null, notAfter: NumberedDay | null) => boolean;
  later: (one: NumberedDay | null, other: NumberedDay | null) => NumberedDay | null;
  earlier: (one: NumberedDay | null, other: NumberedDay | null) => NumberedDay | null;
  bound: (prepared: Prepared, readings: Readings, market?: string) => Bounded;
  softFactors: (prepared: Prepared, bounded: Bounded, model: Model) => number[];
  statesOf: (condition: Condition) => Condition[];

  prepareKey: (key: CodeKey) => PreparedKey | null;
  readBy: (key: PreparedKey, code: string) => CodeReading | null;
  codesOf: (prepared: Prepared, garment: Garment, readings: Readings) => { keys: FoundKey[]; factors: number[] | null };
  shape: (days: NumberedDays) => { begin: Ymd; end: Ymd; areMonths: boolean };
  readKey: (rules: Rules | Prepared, id: string, code: string) => KeyReading | null;

  spoken: Spoken;

  prepare: (rules: Rules) => Prepared;
  table: (variant: PreparedVariant, feature: string) => Cells | null;
  inQuestion: (prepared: Prepared, garment: Garment, readings: Readings) => PreparedVariant[];
  applies: (feature: Feature, garment: string) => boolean;
  logs: (prepared: Prepared, variant: PreparedVariant, reading: UsedReading) => number[];
  weigh: (
    prepared: Prepared,
    members: PreparedVariant[],
    readings: Readings,
    bounded: Bounded,
    codes: number[] | null,
  ) => Weighed;
  add: (values: number[]) => number;
  rounded: (value: number, step: number) => number;
  EQUAL_PROBABILITY: number;

  CAUTION: string;
  ORIGINAL: string;
  percent: (probability: number) => number;
  ruledOut: (share: number) => string;
  yearsInWords: (years: FoundYears) => string;
  timesInWords: (bits: number) => string;
  boundsInWords: (rules: Rules, hard: HardBounds) => string[];
  datesInWords: (dates: NumberedDays[]) => string;
  named: (variants: FoundVariant[]) => FoundVariant[];
  cut: (code: string) => string;
  nameOf: (rules: Rules, id: string) => string;
  reading: (feature: Feature, value: string | number) => string;
  card: (rules: Rules, garment: Garment, found: Found) => string[];
  paragraph: (rules: Rules, garment: Garment, found: Found) => string;

  answer: (rules: Rules | Prepared, asked: Garment) => Found;
  /** The answer without where to look next, and what works a part of that out at each call: null until the last. */
  inParts: (rules: Rules | Prepared, asked: Garment) => { found: Found; look: () => NextLook[] | null };
}

interface Window {
  bartackDating: Dating;
}
