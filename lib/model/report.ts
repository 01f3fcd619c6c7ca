/**
 * A run's report as plain data: words, tables and drawings that a page and a PDF show alike. Made by report/ and server/, drawn by
 * app/ (SVG) and report/pdf/ (PDF); nothing in it is markup. As canonical JSON it is what a signature covers.
 */
import type { Fact } from "./sheet.ts";
import type { FindingKind, Severity, Verdict } from "./result.ts";

/** Line types by ISO 128 (see the drawing sheet): planned thin, measured thick, buried dashed, centre lines dash-dot, support wavy-thin, grid faint. `dotted`: seen by a camera alone. `casing`: of the ground's colour, under a line that runs over a picture. */
export const LINE_LOOKS = ["thin", "thick", "hidden", "centre", "dotted", "grid", "casing", "none"] as const;
export type LineLook = (typeof LINE_LOOKS)[number];
/** `bone`: measured paste; `band`: a tolerance band; a verdict: its pattern in its colour (model/marks.ts). */
export type Fill = "none" | "bone" | "band" | Verdict;

/** Places are in the drawing's own units, x to the right and y down, 0 at its upper left. */
export type CropPx = readonly [number, number, number, number];

export type DrawingMark =
  /** `points`: x0, y0, x1, y1 …. */
  | { readonly kind: "path"; readonly points: readonly number[]; readonly look: LineLook; readonly fill: Fill; readonly closed: boolean }
  /** `size`: cap height and some, in the drawing's units; `y` is the baseline. */
  | { readonly kind: "text"; readonly x: number; readonly y: number; readonly text: string; readonly size: number; readonly anchor: "start" | "middle" | "end"; readonly bold: boolean; readonly quiet: boolean }
  /**
   * A kept picture, or whole pixels of it (left, top, width, height), named by its hash and not held: who draws asks for its bytes. `file`: as the run names it.
   */
  | { readonly kind: "image"; readonly x: number; readonly y: number; readonly width: number; readonly height: number; readonly file: string; readonly sha256: string; readonly picturePx: readonly [number, number]; readonly cropPx: CropPx }
  /** The verdict's letter in its box, centred there. */
  | { readonly kind: "tag"; readonly x: number; readonly y: number; readonly verdict: Verdict; readonly letter: string };

export interface Drawing {
  /** Unique in the report, as an id in a page. */
  readonly id: string;
  readonly title: string;
  /** What somebody is told who does not see it. */
  readonly alt: string;
  /** Units: 1 is one point on paper at full width of the text (1/72 inch); never wider than DRAWING_WIDTH. */
  readonly width: number;
  readonly height: number;
  /** "1 : 2", "12 : 1", "not to scale". */
  readonly scaleWords: string;
  readonly marks: readonly DrawingMark[];
}

/** Width of the text on paper, pt: A4 less 18 mm on both sides. */
export const DRAWING_WIDTH = 493;

export interface ReportTable {
  readonly caption: string;
  /** A column's title carries its unit: "width, mm". `isNumber`: set flush right. */
  readonly columns: readonly { readonly title: string; readonly isNumber: boolean }[];
  readonly rows: readonly (readonly string[])[];
}

export type ReportBlock =
  | { readonly kind: "words"; readonly text: string }
  /** Said where it could be overlooked: what a number does not mean, what is a laboratory's own to decide. */
  | { readonly kind: "caution"; readonly text: string }
  | { readonly kind: "heading"; readonly text: string }
  | { readonly kind: "facts"; readonly facts: readonly Fact[] }
  | { readonly kind: "table"; readonly table: ReportTable }
  | { readonly kind: "drawing"; readonly drawing: Drawing };

export interface ReportSection {
  /** Unique in the report, as an id in a page. */
  readonly id: string;
  readonly title: string;
  readonly blocks: readonly ReportBlock[];
}

export interface ReportHead {
  readonly runId: string;
  readonly resultId: string;
  readonly name: string;
  readonly specimen: string | null;
  readonly materialName: string;
  readonly lot: string | null;
  readonly planSha256: string;
  /** ISO 8601, UTC: when the run was made or brought in, and when this report was put together. */
  readonly runAt: string;
  readonly madeAt: string;
  /** "REHEARSAL", "DEMO · REHEARSAL"; null: a run of a real cell. */
  readonly stamp: string | null;
  /** "a recompute under other bands by …"; null: the run's own result. */
  readonly recomputed: string | null;
  /** Of the log as this report tells of it: hash of its last entry and how many there are; "" and 0 where the run has no record. */
  readonly logHead: string;
  readonly logCount: number;
  /** "whole", or what is wrong first. */
  readonly recordWords: string;
  /** "signed: accepted by …", "not signed", "rejected by …". */
  readonly signedWords: string;
}

export interface Report {
  readonly contract: "aslaid/1";
  readonly head: ReportHead;
  readonly verdict: { readonly acceptable: boolean | null; readonly headline: string; readonly detail: string; readonly advice: string | null };
  readonly sections: readonly ReportSection[];
}

/** Names the pixels of a picture that a mark shows: of those that are handed to who draws on paper. */
export const pictureKey = ({ sha256, cropPx }: Pick<Extract<DrawingMark, { kind: "image" }>, "sha256" | "cropPx">): string => `${sha256}/${cropPx.join(",")}`;

/** A finding as measuring says it. What people decided about it is put to it when somebody asks. */
export interface ReportFinding {
  /** Place in the result's own order, from 0: what a disposition names. */
  readonly findingIndex: number;
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly proven: boolean;
  readonly place: string;
  readonly lengthMm: number | null;
  /** "width against plan, mm"; value with its U; limit in the same unit. */
  readonly metric: string;
  readonly value: string;
  readonly limit: string;
  readonly advice: string;
  readonly facts: readonly Fact[];
  /** null: off the path, or beyond the worst that have one. */
  readonly drawing: Drawing | null;
  /** The camera frame that shows its place; absent: none does, or it is beyond the worst that have one. */
  readonly frame?: Drawing;
}

/** What measuring alone says; what the record says is put to it when somebody asks. Made once a result. */
export interface ReportBody extends Pick<Report, "verdict" | "sections"> {
  /** Worst first. */
  readonly findings: readonly ReportFinding[];
}

/** What a page puts in once the record is checked. */
export interface CheckedRecord {
  readonly isWhole: boolean;
  /** "whole", or what is wrong first. */
  readonly words: string;
  readonly section: ReportSection;
  /** Why who is signed in cannot sign, where they have the role for it; null: nothing stands against it, or nobody is. */
  readonly refusal: string | null;
}

/** The report's sections in the order in which they stand. */
export const SECTION_IDS = [
  "basis", "amounts", "maps", "findings", "frames", "distributions", "surface", "buried", "attempts", "pores", "unmeasured", "budget", "warnings",
  "alerts", "commands", "deeds", "later", "signatures", "record", "cautions",
] as const;
export type SectionId = (typeof SECTION_IDS)[number];
