// What the form knows of an entry that is corrected, and of the items of its lists.

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

interface Window {
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
}
