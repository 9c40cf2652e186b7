// What the scripts of the pages hand to each other. Each script is a closure that leaves one object in `window`.

/** An element as it is to be; `key` tells it from its siblings of the same name, `on` holds what it does. */
interface Description {
  name: string;
  space: string | null;
  key: string;
  attributes: Record<string, string>;
  on: Record<string, (event: any) => void>;
  children: Described[];
  /** Makes the node; it is then left alone as long as the key stays. */
  make?: () => Element;
}

type Described = Description | string;
type Child = Described | number | boolean | null | undefined | Child[];
type Attributes = Record<string, any>;
type FieldEvent = { currentTarget: HTMLInputElement };

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

/** The rules, laid out for answering. */
interface Prepared {
  rules: Rules;
  years: number[];
  features: Map<string, Feature>;
  [more: string]: any;
}

/** What is known and seen of a garment; keys besides the features are those of the address. */
interface GarmentState {
  features: Map<string, string>;
  [known: string]: any;
}

type Bytes = Uint8Array<ArrayBuffer>;

interface Photo {
  file?: string;
  credit?: string;
  licence?: string;
  shows?: string[];
}

interface About {
  altered?: boolean;
  unsure?: boolean;
  note?: string;
  other?: string;
}

interface Made {
  form?: string;
  first?: string;
  last?: string;
  about?: boolean;
}

/** What somebody answered on the page that records. */
interface Answers extends GarmentState {
  view: string;
  observed: string;
  about: Record<string, About>;
  made: Made;
  photos: Photo[];
  correction?: Correction;
  items?: Items;
}

/** A claim, a source or a photograph in the form; its texts by their keys. `from` is its place in the entry, or -1. */
interface ItemRow {
  from: number;
  gone: boolean;
  [key: string]: any;
}

/** What the form holds of the lists of an entry; `sources` is the list of the whole entry, one a line. */
interface Items {
  claims: ItemRow[];
  source: ItemRow[];
  photos: (ItemRow & Photo)[];
  sources: string;
  [list: string]: any;
}

interface ItemField {
  key: string;
  says: string;
  kind: "text" | "long" | "lines" | "choice" | "date" | "day" | "ticks";
  options?: string[];
  example?: string;
}

interface ItemList {
  one: string;
  title: string;
  /** The key that holds the name of an item. */
  called: string;
  fields: ItemField[];
}

interface ItemChange {
  key: string;
  was: any;
  now: any;
  name: string;
  from: string;
  to: string;
}

interface RecordingItems {
  changes: (answers: Answers) => ItemChange[];
  held: (answers: Answers) => { name: string; problem: string }[];
  warnings: (answers: Answers) => { id: string; rests: string[] }[];
  problem: (answers: Answers, name: string, one: ItemRow) => string;
  sourcesProblem: (answers: Answers) => string;
  resting: (answers: Answers, source: ItemRow) => string[];
}

interface ItemsPage {
  state: () => Answers;
  pace: Pace;
  form: {
    text: (field: TextField) => Description;
    ticks: (key: string, says: string, of: Record<string, any>) => Child;
    isTyping: (start: string) => boolean;
  };
  items: RecordingItems;
  recording: Recording;
}

/** An entry that is to be corrected, as its page tells of it: what the form knows of it, and the names of its states. */
interface Correction {
  /** Below `entries/`, without its ending. */
  path: string;
  name: string;
  seen: string;
  prose_seen: string;
  prose?: string;
  keys: Record<string, any>;
  /** The lists that the link had no room for. */
  left?: string[];
}

/** A field of an entry that is corrected: its values in TOML, and all of it in words. */
interface Changed {
  key: string;
  was?: string;
  now?: string;
  name: string;
  from: string;
  to: string;
}

interface Corrections {
  begun: (base: Correction) => Answers;
  changes: (answers: Answers) => Changed[];
  isTouched: (answers: Answers) => boolean;
  file: (answers: Answers) => { path: string; file: string };
}

interface Correcting {
  corrections: Corrections;
  items: RecordingItems;
  site: string;
  text: (field: TextField) => Description;
  handing: { ways: (entry: Handed) => Description };
}

/** What recording.js holds. */
interface Recording {
  sources: { id: string; citation: string }[];
  names: Record<string, string[]>;
  parts: string[];
  licence: string;
  edit_url?: string | null;
  contact?: string | null;
  most_bytes: number;
  circa_years: number;
  variants: Record<string, { era: any; states: Record<string, any> }>;
  changes: Record<string, Record<string, [string, string, string, boolean][]>>;
  steps: Record<string, Looks>;
}

/** A state; the place of the next look; the variants named there, each with its garments; all garments; whether more are. */
type LookAnswer = [string, number | null, [string, number][], number, boolean];

/** The order of looks for a model. */
interface Looks {
  lead: string;
  steps: [string, LookAnswer[]][];
  notes: string[];
}

type Taps = (feature: Feature, value: string | undefined, of?: { name?: string; states?: string[] }) => Description;

interface Stepped {
  rules: Rules;
  prepared: Prepared;
  looks: Record<string, Looks>;
  state: () => GarmentState;
  site?: string;
  taps: Taps;
  lookAt: (feature: string) => void;
}

interface Pace {
  now: (focus?: string | null) => void;
  soon: () => void;
  left: () => void;
}

interface Choice {
  id: string;
  label: string;
  options: Named[];
  value: string;
  none?: string;
}

interface Asked {
  rules: Rules;
  prepared: Prepared;
  state: () => GarmentState;
  pace: Pace;
  parts: string[];
  /** Where the pages of the site stand; `none` where that is not known. */
  site?: string;
  more?: (feature: Feature) => Child;
}

type CodesAsked = Pick<Asked, "rules" | "prepared" | "state" | "site">;

interface Form {
  state: () => Answers;
  pace: Pace;
  prepared: Prepared;
  recording: Recording;
}

/** What asks for the parts of a form; each gives the description of one. */
interface FormFields {
  text: (field: TextField) => Description;
  check: (tick: Tick, set: (isOn: boolean) => void) => Description;
  pick: (key: string, label: string, options: Named[], none: string) => Description;
  ticks: (key: string, says: string, of: Record<string, any>, extra?: string[]) => Description | null;
  /** Says whether somebody is typing in a field whose id begins so. */
  isTyping: (start: string) => boolean;
}

interface TextField {
  key: string;
  says: string;
  of?: Record<string, any>;
  example?: string;
  kind?: "input" | "textarea";
  /** How many lines a `textarea` shows. */
  rows?: string;
  id?: string;
  /** The ids of what is said about what it holds. */
  describedBy?: string;
}

interface Tick {
  id: string;
  says: string;
  isOn: boolean;
}

/** A photograph that was chosen from the device. */
interface Chosen {
  file: File;
  bytes: Bytes;
  hidden: string[];
  key: string;
}

interface Pictures {
  state: () => Answers;
  pace: Pace;
  most: number;
  form: {
    text: (field: TextField) => Description;
    ticks: (key: string, says: string, of: Record<string, any>) => Child;
    leave: (says: string, act: () => void) => void;
    licence: string;
  };
}

interface Handing {
  recording: Recording;
  pace: Pace;
  next: (isAlike: boolean) => void;
}

/** An entry that is about to be handed in. */
interface Handed {
  answers: Answers;
  path: string;
  file: string;
}

interface Results {
  rules: Rules;
  prepared: Prepared;
  recording: Recording;
  site: string;
  handing: { ways: (entry: Handed) => Description };
}

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

interface PictureFont {
  size: number;
  bold?: boolean;
  italic?: boolean;
}

interface PictureClip {
  d: string;
  matrix: number[];
}

/** An outline or a text of a drawing, in the drawing's own units. */
interface PictureShape {
  matrix: number[];
  clips: PictureClip[];
  fill: { colour: string; opacity: number } | null;
  stroke?: { colour: string; opacity: number } | null;
  d?: string;
  width?: number;
  dashes?: number[];
  cap?: string;
  join?: string;
  evenOdd?: boolean;
  text?: string;
  x?: number;
  y?: number;
  size?: number;
  bold?: boolean;
  italic?: boolean;
  anchor?: string;
}

interface PictureDrawing {
  left: number;
  top: number;
  width: number;
  height: number;
  shapes: PictureShape[];
  caption?: string;
}

interface PictureBox {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** What a picture of a page says. */
interface PictureContent {
  title: string;
  lead: string;
  caution: string;
  counts: { name: string; values: string[] }[];
  drawings: PictureDrawing[];
  name: string;
  version: string;
}

type PictureItem =
  | { kind: "rect"; x: number; y: number; width: number; height: number; colour: string }
  | { kind: "drawing"; drawing: PictureDrawing; x: number; y: number; scale: number }
  | (PictureFont & { kind: "text"; text: string; colour: string; x: number; y: number; width: number; box: number[] });

interface PictureScene {
  width: number;
  height: number;
  title: string;
  caution: string;
  items: PictureItem[];
}

interface Window {
  bartackRules: Rules;
  bartackExpanding: { expand: (rules: Rules) => void };
  bartackRecording: Recording;
  bartackDrawings: Record<string, string[]>;
  bartackSearch: any;
  bartackSideBySide: { features: string[]; things: any[] };
  bartackFind: any;
  bartackFound: any;
  bartackDating: any;
  bartackElements: {
    element: (name: string, attributes: Attributes | null, ...children: Child[]) => Description;
    drawn: (name: string, attributes: Attributes | null, ...children: Child[]) => Description;
    kept: (key: string, make: () => Element) => Description;
    button: (text: string, act: () => void, attributes?: Attributes) => Description;
    copier: (label: string, id: string, text: string) => Description[];
    words: (id: string) => string;
    own: <T>(object: Record<string, T>, key: string) => T | undefined;
  };
  bartackCodeWords: {
    said: (key: CodeKey, code: string) => SaidOfCode;
    takes: (key: CodeKey) => string;
  };
  bartackPainting: { paint: (place: Element, wanted: Described[]) => void };
  bartackPacing: (show: () => void) => Pace;
  bartackAddress: {
    read: (hash: string, prepared: Prepared) => GarmentState;
    isGarment: (hash: string) => boolean;
    write: (state: GarmentState) => string;
    remember: (state: GarmentState) => void;
    garment: (state: GarmentState) => Record<string, any>;
    sort: (state: GarmentState, rules: Rules) => string | undefined;
    canShow: (feature: Feature, value: string) => boolean;
    wrongValue: (feature: Feature, text: string) => string;
  };
  bartackMeasures: {
    lengths: (features: Feature[]) => Feature[];
    system: (features: Feature[]) => string;
    choose: (system: string) => void;
    onChange: (act: () => void) => void;
    unitOf: (feature: Feature, system: string) => string;
    convert: (value: number, from: string, to: string) => number | null;
    worded: (value: number, unit: string) => string;
    text: (feature: Feature, value: string, system: string) => string;
    shown: (feature: Feature, value: string, system: string) => string;
    inBoth: (feature: Feature, value: string, system: string) => string;
    number: (written: string) => { number: number; problem: string };
    read: (feature: Feature, written: string, system: string) => { value: string; problem: string; reading: string };
  };
  bartackDrawing: {
    figure: (
      feature: Feature,
      sort: string | undefined,
      seen: Map<string, string>,
    ) => { shows: string; caption: string; make: () => Element } | null;
    whole: (sort: string | undefined, seen: Map<string, string>) => { drawing: Element; caption: string }[];
    front: (sort: string) => { shows: string; make: () => Element } | null;
  };
  bartackAskingCodes: (page: CodesAsked) => (feature: Feature, code: string) => Description | null;
  bartackAsking: {
    choice: (asked: Choice, change: (value: string) => void) => Description;
    asking: (page: Asked) => {
      known: (...keys: string[]) => Description;
      kinds: () => Description | null;
      units: () => Child;
      zones: () => Description[];
      taps: Taps;
      lookAt: (feature: string) => void;
      forget: () => void;
    };
  };
  bartackNodes: {
    element: <T extends keyof HTMLElementTagNameMap>(
      name: T,
      attributes?: Record<string, string>,
      ...children: (Node | string)[]
    ) => HTMLElementTagNameMap[T];
    button: (text: string, act: () => void) => HTMLButtonElement;
  };
  bartackPictureShapes: { shapes: (svg: Element) => PictureDrawing };
  bartackPictureLayout: {
    SIZES: { name: string; says: string; width: number; height: number }[];
    FONT: string;
    fontOf: (font: PictureFont) => string;
    scene: (content: PictureContent, size: { width: number; height: number }) => PictureScene;
  };
  bartackPictureDrawing: {
    svg: (scene: PictureScene) => string;
    canvas: (scene: PictureScene) => HTMLCanvasElement;
  };
  bartackPicture: { offer: (content: PictureContent) => void };
  bartackPictureOfAnswer: any;
  bartackStepping: (page: Stepped) => () => Description | null;
  bartackLooking: (
    show: (looks: { feature: string; look: string }[] | null, isBusy: boolean) => void,
  ) => (part: () => { feature: string; look: string }[] | null, isTold: boolean) => void;
  bartackSpeaking: any;
  bartackAnswering: any;
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
  bartackRecordingEntry: {
    entry: (
      answers: Answers,
      known: Omit<Results, "site" | "handing">,
    ) => { path: string; text: string; left: string[] };
    fitting: (answers: Answers, known: { prepared: Prepared; rules: Rules }) => Map<string, string>;
    pictureName: (text: string) => string;
    keys: (answers: Answers) => string[];
    readings: (answers: Answers, prepared: Prepared) => string[];
    quoted: (text: string) => string;
    clean: (text: string | undefined) => string;
  };
  bartackRecordingEffects: {
    effects: (
      answers: Answers,
      known: Omit<Results, "site" | "handing">,
    ) => { text: string; because: { name: string; href: string }[] }[];
  };
  bartackRecordingDraft: {
    nothing: (view: string) => Answers;
    usable: (given: Answers, known: { rules: Rules; prepared: Prepared }) => Answers;
    isBegun: (draft: Partial<Answers>) => boolean;
    shaped: (given: any, prepared: Prepared) => Partial<Answers>;
    corrected: (given: any) => Correction | null;
    stored: <T>(ask: () => T) => T | null;
    nextLike: (answers: Answers) => Answers;
  };
  bartackRecordingDrafts: (
    title: string,
    prepared: Prepared,
    isBegun: (draft: Partial<Answers>) => boolean,
  ) => {
    latest: () => Partial<Answers>;
    others: () => { id: string; saved: string; draft: Partial<Answers> }[];
    open: (id: string) => Partial<Answers>;
    keep: (answers: Answers) => void;
    begin: () => void;
  };
  bartackRecordingCorrection: {
    MARK: string;
    read: (hash: string) => Correction | null;
    correcting: (known: { rules: Rules; prepared: Prepared; items: RecordingItems }) => Corrections;
  };
  bartackRecordingItems: {
    LISTS: Record<string, ItemList>;
    begun: (base: Correction) => Items;
    restored: (given: any, base: Correction) => Items;
    row: (name: string, from: number, table: Record<string, any>) => ItemRow;
    had: (base: Correction, name: string) => Record<string, any>[];
    table: (name: string, one: ItemRow, before?: Record<string, any>) => Record<string, any>;
    isTouched: (name: string, one: ItemRow, before?: Record<string, any>) => boolean;
    called: (name: string, one: ItemRow) => string;
    lines: (text: string) => string[];
    items: (recording: Recording) => any;
  };
  bartackRecordingItemsChanges: (recording: Recording) => RecordingItems & Record<string, any>;
  bartackRecordingItemsForm: (page: ItemsPage) => { all: () => Child };
  bartackRecordingCorrecting: (page: Correcting) => {
    head: (answers: Answers) => Child;
    why: () => Child[];
    result: (answers: Answers) => Child;
  };
  bartackBundling: { bundle: (files: { name: string; bytes: Bytes }[]) => Blob };
  bartackPhotographBytes: {
    kind: (bytes: Bytes) => { ending: ".jpg" | ".png" | ""; problem: string };
    hidden: (bytes: Bytes) => string[];
    bare: (bytes: Bytes) => Bytes;
  };
  bartackRecordingPictures: {
    pictures: (page: Pictures) => { all: () => Child[] };
    packed: (photos: Photo[]) => { name: string; bytes: Bytes }[];
    counted: (photos: Photo[]) => number;
  };
  bartackRecordingHanding: (page: Handing) => { ways: (entry: Handed) => Description };
  bartackRecordingFields: (page: Form) => FormFields;
  bartackRecordingWhen: (
    page: Form,
    fields: FormFields,
    sources: () => Named[],
  ) => { when: () => Child[]; looked: () => Child[] };
  bartackRecordingForm: (page: Form) => {
    text: (field: TextField) => Description;
    special: (feature: Feature) => Description;
    whose: (known: Description) => Child[];
    when: () => Child[];
    who: () => Child[];
    isTyping: (start: string) => boolean;
    ticks: (key: string, says: string, of: Record<string, any>, extra?: string[]) => Child;
  };
  bartackRecordingResult: (page: Results) => {
    consequences: (answers: Answers) => Description;
    written: (answers: Answers) => Description;
  };
}
