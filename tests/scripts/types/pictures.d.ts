// What a picture of a page says, and how it is laid out and drawn.

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
}
