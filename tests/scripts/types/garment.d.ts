// What is known and seen of a garment, how the pages ask for it, and what answers it.

/** What is known and seen of a garment; keys besides the features are those of the address. */
interface GarmentState {
  features: Map<string, string>;
  [known: string]: any;
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

interface Window {
  bartackDrawings: Record<string, string[]>;
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
  bartackStepping: (page: Stepped) => () => Description | null;
  bartackLooking: (
    show: (looks: { feature: string; look: string }[] | null, isBusy: boolean) => void,
  ) => (part: () => { feature: string; look: string }[] | null, isTold: boolean) => void;
  bartackSpeaking: any;
  bartackAnswering: any;
}
