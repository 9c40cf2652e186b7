// What rules.json holds, also as garment.html carries it, and what its keys make of a code.

interface Named {
  id: string;
  name: string;
}

interface Feature extends Named {
  kind: "state" | "count" | "measure" | "number" | "code";
  look: string;
  zone?: string;
  unit?: string;
  range?: [number, number];
  states: string[];
  columns: string[];
  garments?: string[];
  bands?: number[];
  replaceable?: string;
  defining?: boolean;
}

interface Condition {
  kind: string;
  of?: Condition[];
  feature?: string;
  state?: string;
  from?: number | null;
  to?: number | null;
}

interface Landmark {
  id: string;
  title: string;
  force: string;
  market?: string | null;
  odds?: number;
  not_before?: string | null;
  not_after?: string | null;
  condition: Condition;
  sources: { citation: string; locator?: string | null }[];
}

/** A part of a form of a key, or a text that has to stand there. */
interface KeyPart {
  text?: string;
  digits?: number;
  letters?: number;
  is?: string;
  table?: Record<string, number | string>;
}

interface CodeKey {
  id: string;
  title: string;
  feature: string;
  makers: string[];
  not_before: string;
  not_after: string;
  odds: number;
  forms: KeyPart[][];
}

/** What a key makes of a code, in words; `problem` says why it reads nothing. */
interface SaidOfCode {
  dates: string;
  factory: string | null;
  years: number[];
  reasons: string[];
  problem: string;
}

interface Era {
  begin: { earliest: string | null; latest: string | null };
  end: { earliest: string | null; latest: string | null };
}

/** Runs of equal cells: how many, then the cell. */
type Runs = number[];

interface Model extends Named {
  garment: string;
  counted: number;
  temper: number;
  examined: string[];
  cells: Record<string, Runs[]>;
  measures: Record<string, Measure[]>;
}

interface Measure {
  where: Record<string, string>;
  shrinks?: boolean;
  centre: number;
  spread: number;
  degrees: number;
  slip: number;
  width: number;
  log2_constant: number;
  variants: Record<string, Runs>;
}

interface Variant extends Named {
  maker: string;
  model: string;
  line?: string;
  wearer?: string;
  era: Era;
  cells?: Record<string, Runs[]>;
}

/** What rules.json holds; only the fields that these scripts read. */
interface Rules {
  title: string;
  knowledge_base: string;
  requires?: string[];
  years: { first: number; last: number };
  vocabulary: { features: Feature[] };
  makers: Named[];
  models: Model[];
  lines: Named[];
  variants: Variant[];
  landmarks: Landmark[];
  keys?: CodeKey[];
}

/** Models of the rules that garment.html carries, before they are expanded. */
interface CompactModel {
  near?: number[][];
  measures: Record<string, CompactMeasure[]>;
}

interface CompactMeasure {
  centre: number;
  scale?: number;
  readings?: Record<string, number[]>;
  variants: Record<string, any>;
}

interface Window {
  bartackRules: Rules;
  bartackExpanding: { expand: (rules: Rules) => void };
  bartackCodeWords: {
    said: (key: CodeKey, code: string) => SaidOfCode;
    takes: (key: CodeKey) => string;
  };
}
