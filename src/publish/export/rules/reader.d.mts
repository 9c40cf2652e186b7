/** What is known of a garment: ids of the rules, earlier ones too, and readings by feature. */
export interface Garment {
  /** What you call it; the answer repeats it. */
  id?: string | null;
  maker?: string | null;
  model?: string | null;
  line?: string | null;
  wearer?: string | null;
  variant?: string | null;
  /** Where it was sold new: two capitals of ISO 3166-1. */
  market?: string | null;
  /** A day on which it was there, as 2026-11-28: a mark that came later is not looked for. */
  in_hand?: string | null;
  /** A text for a state, count or code, a number for a measure or number, or `absent`, `lost` or `other`. */
  features?: Record<string, string | number>;
}

/** Bounds that no opinion moves, as ISO 8601 days, with the ids of the landmarks behind them. */
export interface Bounds {
  not_before: string | null;
  not_before_by: string[];
  not_after: string | null;
  not_after_by: string[];
}

export interface VariantShare {
  id: string;
  /** From 0 to 1. */
  probability: number;
}

export interface Years {
  /** Year and probability; a year that is absent has none. */
  probability: [year: number, probability: number][];
  /** First and last year of each span. */
  span50: [first: number, last: number][];
  span95: [first: number, last: number][];
}

/** What would follow if some features were wrong. */
export interface Doubt {
  features: string[];
  hard: Bounds;
  variants: VariantShare[];
  years: Years | null;
}

/** What a key reads from a code of the garment. */
export interface CodeRead {
  feature: string;
  code: string;
  key: string;
  /** Every date it can mean, as one EDTF string. */
  reads: string;
  /** The years that hold a day of what is read. */
  years: number[];
  factory: string | null;
  /** Whether it counts: the maker is known, and no other key reads the code differently. */
  used: boolean;
}

/** The part of a code that one part of a form takes. */
export interface FigureRead {
  /** The characters, letters as capitals. */
  text: string;
  /** What they stand for, such as `month`; null for a text that only has to be there. */
  is: string | null;
  /** The number, or the factory; null where they stand for nothing. */
  value: number | string | null;
}

/** What a key reads from a code. */
export interface KeyReading {
  /** Every date it can mean, as one EDTF string. */
  reads: string;
  /** First and last day of each date, ISO 8601. */
  dates: [first: string, last: string][];
  /** The years that hold a day of what is read. */
  years: number[];
  factory: string | null;
  /** Each form that reads the code, with its figures and dates. */
  forms: { figures: FigureRead[]; dates: [first: string, last: string][] }[];
}

/** The answer, as `date.schema.json` has it. */
export interface Answer {
  format: "bartack-date";
  version: 1;
  id: string | null;
  knowledge_base: string;
  hard: Bounds;
  contradiction: boolean;
  temper: number;
  /** The most probable first. */
  variants: VariantShare[];
  /** Null where the answer is about variants only. */
  years: Years | null;
  features: { feature: string; state: string; bits: number | null }[];
  /** What the keys of the rules read from the codes; those that are used speak of the years. */
  keys: CodeRead[];
  look_next: { feature: string; entropy_drop: number; look: string }[];
  would_bound: { feature: string; state: string; landmark: string; rules_out: number }[];
  unlike: { z: number | null; fires: boolean };
  doubt: Doubt[];
  /** What may stand under an offer. */
  paragraph: string;
  /** Features that the rules do not know. */
  ignored: string[];
}

/** What the rules require that this reader does not understand. */
export interface CannotTell {
  format: "bartack-date";
  version: 1;
  id: string | null;
  cannot_tell: string[];
}

/** Rules laid out for answering many garments. */
export interface Prepared {
  readonly rules: unknown;
}

/** Rules or a garment that cannot be read; the message is for the person who gave them. */
export class Unreadable extends Error {}

/** Lays out the content of `rules.json`, so that `date` need not do so for each garment. */
export function prepare(rules: unknown): Prepared;

/** Reads a code by a key of the rules, by its id; null where there is no such key, or it reads nothing. */
export function readKey(rules: unknown, key: string, code: string): KeyReading | null;

/** Answers for one garment from the content of `rules.json`, laid out or not. */
export function date(rules: unknown, garment: Garment): Answer | CannotTell;
