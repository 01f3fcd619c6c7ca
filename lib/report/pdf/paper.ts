/** Sheets of A4 that fill from top to bottom: what stands in the structure that a screen reader hears, and what is only seen. Lengths in pt, y down. */
import PdfkitDocument from "pdfkit";
import { PAPER_INKS } from "../../model/drawingLooks.ts";
import type { Verdict } from "../../model/result.ts";
import type { Faces } from "./faces.ts";
import { FEATURES, cleanText, widthOfRun } from "./faces.ts";
import type { LineStyle } from "./wrap.ts";

export const MM = 72 / 25.4;
export const PAGE = { width: 595.28, height: 841.89, margin: 18 * MM } as const;
export const LEFT = PAGE.margin;
export const TEXT_WIDTH = PAGE.width - 2 * PAGE.margin;
/** Where text may stand from, over it the stamp. */
const TOP = PAGE.margin;

export type Structure = PDFKit.PDFStructureElement;
type Tiling = ReturnType<PDFKit.PDFDocument["pattern"]>;
/** `scope` of a heading cell, `bbox` of a figure: x0, y0, x1, y1. */
interface PartOptions extends PDFKit.Mixins.StructureElementOptions { readonly scope?: "Row" | "Column"; readonly bbox?: readonly number[] }
export interface Ink { readonly ink: string }
export interface Style extends LineStyle, Ink {}

const { ink, quiet } = PAPER_INKS;
/** Sizes by distance: what is said first is largest. */
export const STYLES = {
  verdict: { size: 20, leading: 23.5, weight: "bold", ink },
  detail: { size: 11.5, leading: 15.5, weight: "regular", ink },
  advice: { size: 11.5, leading: 15.5, weight: "bold", ink },
  section: { size: 14, leading: 18, weight: "bold", ink },
  heading: { size: 10.5, leading: 14, weight: "bold", ink },
  words: { size: 9.5, leading: 13, weight: "regular", ink },
  label: { size: 9.5, leading: 13, weight: "regular", ink: quiet },
  caption: { size: 8.5, leading: 12, weight: "bold", ink },
  aside: { size: 8.5, leading: 12, weight: "regular", ink: quiet },
  stamp: { size: 9, leading: 12, weight: "bold", ink: quiet },
} as const satisfies Record<string, Style>;

/** Pixels of pictures as PNG or JPEG, by `pictureKey`. */
export type Pictures = ReadonlyMap<string, Uint8Array>;

export interface PaperOptions {
  readonly title: string;
  readonly subject: string;
  /** ISO 8601, UTC. */
  readonly madeAt: string;
  readonly faces: Faces;
  /** Lowest place of the text on every sheet: over the title block. */
  readonly bottom: number;
  readonly pictures: Pictures;
}

const XML = { "&": "&amp;", "<": "&lt;", ">": "&gt;" } as const;

/** pdfkit's document, made in one go: it hands its bytes to a stream that takes a time that grows with their square, and puts the document's facts into XML as they stand. */
class WholeDocument extends PdfkitDocument {
  /** Set by the first bytes, which come before a field of this class would be made. */
  declare chunks: Uint8Array[] | undefined;
  declare isWhole: boolean | undefined;

  override push(chunk: Uint8Array | null): boolean {
    this.chunks ??= [];
    if (chunk === null) this.isWhole = true;
    else this.chunks.push(chunk);
    return true;
  }

  override endMetadata(): void {
    for (const [name, value] of Object.entries(this.info)) {
      if (typeof value === "string") Object.assign(this.info, { [name]: value.replaceAll(/[&<>]/g, (mark) => XML[mark as keyof typeof XML]) });
    }
    super.endMetadata();
  }
}

/** One document while it is filled. */
export class Paper {
  readonly doc: WholeDocument;
  readonly faces: Faces;
  readonly bottom: number;
  readonly pictures: Pictures;
  /** Of the whole document. */
  readonly root: Structure;
  /** Patterns that were made, by verdict. */
  readonly patterns = new Map<Verdict, Tiling>();
  y: number = TOP;
  pageCount = 0;

  constructor({ title, subject, madeAt, faces, bottom, pictures }: PaperOptions) {
    this.pictures = pictures;
    this.faces = faces;
    this.bottom = bottom;
    this.doc = new WholeDocument({
      size: [PAGE.width, PAGE.height], margin: 0, autoFirstPage: false, bufferPages: true, pdfVersion: "1.7", subset: "PDF/UA" as "PDF/A-1", tagged: true, lang: "en-GB", displayTitle: true,
      font: faces.all[0]?.font as unknown as string, // a font that is open already is taken as well as a file's name
      info: { Title: cleanText(title), Subject: cleanText(subject), Creator: "Aslaid", Producer: "Aslaid", CreationDate: new Date(madeAt), ModDate: new Date(madeAt) },
    });
    for (const { key, font } of faces.all) this.doc.registerFont(key, font as unknown as string);
    this.newSheet();
    this.root = this.doc.struct("Document");
    this.doc.addStructure(this.root);
  }

  newSheet(): void {
    this.doc.addPage();
    this.pageCount += 1;
    this.y = TOP;
  }

  /** Height of the room for text on an empty sheet, and what is left of it. */
  get wholeRoom(): number { return this.bottom - TOP; }
  get room(): number { return this.bottom - this.y; }
  get isFresh(): boolean { return this.y === TOP; }

  /** Goes on on a new sheet where `height` does not fit any more; on a fresh one it stays. */
  need(height: number): void {
    if (height > this.room && !this.isFresh) this.newSheet();
  }

  /** A new part of the structure. */
  part(parent: Structure, type: string, options: PartOptions = {}): Structure {
    const made = this.doc.struct(type, options);
    parent.add(made);
    return made;
  }

  /** Seen and not heard: rules, the furniture of a sheet. Never inside a part. */
  unheard(draw: () => void, type: "Layout" | "Pagination" = "Layout"): void {
    this.doc.markContent("Artifact", { type });
    draw();
    this.doc.endMarkedContent();
  }

  /** One line; `y` is its upper edge. Gives its width. */
  line(text: string, x: number, y: number, style: Style, align: "left" | "right" = "left"): void {
    const { size, leading } = style;
    this.mark(text, align === "left" ? x : x - this.faces.width(text.trimEnd(), style.weight, size), y + leading / 2 + size * 0.35, style);
  }

  /** Text at a baseline. */
  mark(text: string, x: number, baseline: number, { size, weight, ink: colour }: Omit<Style, "leading">): void {
    this.doc.fontSize(size).fillColor(colour);
    let at = x;
    this.faces.runs(text, weight).forEach((run, i, runs) => {
      this.doc.font(run.face.key).text(run.text, at, baseline, { lineBreak: false, baseline: "alphabetic", features: FEATURES });
      if (i < runs.length - 1) at += widthOfRun(run) * size;
    });
  }

  /** A thin rule, seen and not heard. */
  rule(x0: number, y0: number, x1: number, y1: number, colour: string = PAPER_INKS.hair, width = 0.5): void {
    this.unheard(() => { this.doc.lineWidth(width).strokeColor(colour).moveTo(x0, y0).lineTo(x1, y1).stroke(); });
  }

  /** Ends the document; its bytes. */
  end(): Uint8Array<ArrayBuffer> {
    this.root.end();
    this.doc.end();
    const { chunks = [], isWhole = false } = this.doc;
    if (!isWhole) throw new TypeError("The document was not whole when it ended.");
    const bytes = new Uint8Array(chunks.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const chunk of chunks) { bytes.set(chunk, at); at += chunk.length; }
    return bytes;
  }
}
