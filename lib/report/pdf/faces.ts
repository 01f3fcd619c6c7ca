/** The faces that a report is set in: which one has a glyph, and how wide words are. */
import { create } from "fontkit";
import type { Font } from "fontkit";

export type Weight = "regular" | "bold";
/** TrueType or WOFF files of each weight, in the order in which a glyph is looked for: the family first, then what has the marks that it lacks. */
export type FontFiles = Readonly<Record<Weight, readonly Uint8Array[]>>;

/** `key`: its name in the document. */
export interface Face { readonly key: string; readonly font: Font }
/** A stretch of text that one face can set. */
export interface Run { readonly face: Face; readonly text: string }

/** Figures of one width, as in a table's columns. */
export const FEATURES: ("tnum")[] = ["tnum"];

/** Marks that look alike, where the family has one of the two; spaces of other widths, which are kept from breaking; hyphens. */
const ALIKE: Readonly<Record<string, string>> = {
  "\u03bc": "\u00b5", "\u2126": "\u03a9", "\u2010": "-", "\u2011": "-", "\t": " ",
  "\u2002": "\u00a0", "\u2003": "\u00a0", "\u2004": "\u00a0", "\u2005": "\u00a0", "\u2006": "\u00a0", "\u2007": "\u00a0", "\u2008": "\u00a0", "\u2009": "\u00a0", "\u200a": "\u00a0", "\u202f": "\u00a0",
};
/** Nothing of it is seen on paper: controls, marks of direction, joiners, soft hyphens, selectors of a picture's look. Tabs and ends of lines count. */
const UNSEEN = /(?![\t\n\r])[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Variation_Selector}]/gu;

/** First bytes of a WOFF and of a TrueType file. */
const SIGNATURES = [0x774f4646, 0x00010000];

function openFont(bytes: Uint8Array): Font {
  if (bytes.length < 12 || !SIGNATURES.includes(new DataView(bytes.buffer, bytes.byteOffset).getUint32(0))) throw new TypeError("expected a WOFF or TrueType file, got one that begins otherwise");
  const font = create(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
  if (!("layout" in font)) throw new TypeError("A font file holds one font, not a collection of them.");
  return font;
}

/** Opens the files once for a document. A TypeError for a file that is none. */
export class Faces {
  readonly all: readonly Face[];
  readonly #of: Readonly<Record<Weight, readonly Face[]>>;
  readonly #widths: Readonly<Record<Weight, Map<string, number>>> = { regular: new Map(), bold: new Map() };

  constructor(files: FontFiles) {
    const open = (weight: Weight): Face[] => files[weight].map((bytes, i) => ({ key: `${weight}${i}`, font: openFont(bytes) }));
    this.#of = { regular: open("regular"), bold: open("bold") };
    this.all = [...this.#of.regular, ...this.#of.bold];
  }

  /** The text by the faces that have its glyphs; a mark that none has stands as its code, "[U+65E5]", so that nothing is lost without a word. */
  runs(text: string, weight: Weight): Run[] {
    const faces = this.#of[weight], runs: { face: Face; text: string }[] = [];
    const put = (face: Face, piece: string): void => {
      const last = runs.at(-1);
      if (last?.face === face) last.text += piece;
      else runs.push({ face, text: piece });
    };
    for (const mark of text) {
      const piece = ALIKE[mark] ?? mark, face = faces.find(({ font }) => font.hasGlyphForCodePoint(piece.codePointAt(0) as number));
      if (face === undefined) put(faces[0] as Face, `[U+${(mark.codePointAt(0) as number).toString(16).toUpperCase().padStart(4, "0")}]`);
      else put(face, piece);
    }
    return runs;
  }

  /** Width of a text on one line, in the unit of `size`. */
  width(text: string, weight: Weight, size: number): number {
    const known = this.#widths[weight];
    let width = known.get(text);
    if (width === undefined) {
      width = this.runs(text, weight).reduce((sum, run) => sum + widthOfRun(run), 0);
      known.set(text, width);
    }
    return width * size;
  }
}

/** At size 1. */
export function widthOfRun({ face: { font }, text }: Run): number {
  return font.layout(text, FEATURES).advanceWidth / font.unitsPerEm;
}

/** What can be set of a text: composed, and without what is not seen. */
export function cleanText(text: string): string {
  return text.normalize("NFC").replace(UNSEEN, "");
}
