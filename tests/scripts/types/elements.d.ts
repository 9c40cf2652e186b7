// What the scripts of the pages describe elements with, and when the pages are painted.

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

interface Pace {
  now: (focus?: string | null) => void;
  soon: () => void;
  left: () => void;
}

interface Window {
  bartackElements: {
    element: (name: string, attributes: Attributes | null, ...children: Child[]) => Description;
    drawn: (name: string, attributes: Attributes | null, ...children: Child[]) => Description;
    kept: (key: string, make: () => Element) => Description;
    button: (text: string, act: () => void, attributes?: Attributes) => Description;
    copier: (label: string, id: string, text: string) => Description[];
    words: (id: string) => string;
    own: <T>(object: Record<string, T>, key: string) => T | undefined;
  };
  bartackPainting: { paint: (place: Element, wanted: Described[]) => void };
  bartackPacing: (show: () => void) => Pace;
  bartackNodes: {
    element: <T extends keyof HTMLElementTagNameMap>(
      name: T,
      attributes?: Record<string, string>,
      ...children: (Node | string)[]
    ) => HTMLElementTagNameMap[T];
    button: (text: string, act: () => void) => HTMLButtonElement;
  };
}
