// What the page that records a garment holds, asks for and hands in; the answers to it.

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

interface Window {
  bartackRecording: Recording;
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
