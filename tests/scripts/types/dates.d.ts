// How dates are written, read from words and asked for.

/** Year, month and day. */
type Ymd = [number, number, number];

/** A first and a last day, counted from 1970-01-01; null where it is open. */
interface DaySpan {
  first: number | null;
  last: number | null;
}

/** What stands in a date: digits of which some may be `X`; the season by its number. */
interface DateParts {
  year: string;
  season: number | null;
  month: string | null;
  day: string | null;
}

/** One date of a date string, or an open end, which has no parts. */
interface WrittenDate {
  isOpen: boolean;
  parts: DateParts | null;
  days: DaySpan;
  approximate: boolean[];
  isUncertain: boolean;
}

interface DateEnds {
  begin: WrittenDate | null;
  end: WrittenDate | null;
}

/** A date string that was read; only a set has several pairs of ends. */
interface DateNotation {
  kind: "one" | "interval" | "set";
  ends: DateEnds[];
}

/** How words are read; a century is that of years of two digits. */
interface Manner {
  century: "written" | "earlier" | "later" | number;
  order: "unknown" | "day-first" | "month-first";
  guesses: boolean;
}

/** What words mean; one date if it is certain or the likeliest, two if it is a question. */
interface Meaning {
  kind: "certain" | "likeliest" | "day-or-month" | "which-century" | "unreadable";
  dates: string[];
}

/** Days of a date: the first and the last, null where it is open. */
type Days = [string | null, string | null];

interface DateForm {
  says: string;
  fields: number;
  example: string;
  widens?: boolean;
  holds: (text: string) => boolean;
  edtf: (first: string, last: string) => string;
  span: (first: string, last: string) => Days;
  words: (first: string, last: string) => string;
}

/** What words about a date come to; `edtf` is empty until they are certain or a date was picked from `options`. */
interface DateHeard {
  words: string;
  edtf: string;
  options: string[];
}

/** What is said of words in a field whose id begins with `field`; `isOver` where something else counts. */
interface Heard {
  key: string;
  field: string;
  found: DateHeard;
  isOver: boolean;
}

/** When a garment was made; `days` is null where nothing says it. */
interface DatedAnswer {
  found: DateHeard;
  isByForm: boolean;
  edtf: string;
  asWritten: string;
  days: Days | null;
}

interface Window {
  bartackDateNotation: {
    parse: (text: string) => DateNotation | null;
    isTooLong: (text: string) => boolean;
    span: (read: DateNotation, circa: number) => DaySpan;
    members: (read: DateNotation) => DaySpan[];
    isUncertain: (read: DateNotation) => boolean;
    isApproximate: (read: DateNotation) => boolean;
  };
  bartackDateSpoken: {
    days: (span: DaySpan) => string | null;
    within: (span: DaySpan) => string;
    claim: (read: DateNotation, circa: number) => string;
  };
  bartackDateNumerals: {
    read: (text: string, manner: Manner) => string | null;
    trimmed: (text: string) => string;
    withoutStart: (text: string, prefix: string) => string;
    withoutEnd: (text: string, suffix: string) => string;
    after: (text: string, prefix: string) => string | null;
    before: (text: string, suffix: string) => string | null;
    halves: (text: string, separator: string) => string[] | null;
    whole: (text: string, most?: number) => number | null;
    isDigits: (text: string) => boolean;
    SPACE: string;
  };
  bartackDateNearest: {
    notation: (plain: string) => string | null;
    mark: (isApproximate: boolean, isUncertain: boolean) => string;
  };
  bartackDatePhrase: { readings: (plain: string, manner: Manner) => string[] };
  bartackDateWords: {
    meaning: (text: string, century?: Manner["century"], order?: Manner["order"]) => Meaning;
    candidates: (text: string) => string[];
  };
  bartackRecordingDates: {
    FORMS: Record<string, DateForm>;
    dated: (answers: Answers, circa?: number) => DatedAnswer;
    observed: (answers: Answers) => DateHeard;
    today: () => string;
    isGiven: (made: Made) => boolean;
    problem: (made: Made) => string;
    edtf: (made: Made) => string;
    read: (text: string) => Made;
    span: (made: Made, circa: number) => Days;
  };
}
