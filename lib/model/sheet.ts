/** What a review sheet shows, ready to be drawn: made by report/, sent to pages as plain data. null where nothing was measured. */
import type { Warning } from "../base/errors.ts";
import type { BeadShape } from "./job.ts";
import type { FindingKind, Severity, StationLimits, SupportKind, Verdict } from "./result.ts";

type Column<T> = readonly T[];

/** One strand unrolled: equal-length columns, one entry a station of the newest attempt. */
export interface SheetStrand {
  readonly layer: number;
  readonly strand: number;
  readonly lengthMm: number;
  readonly closed: boolean;
  /** From 1; above it where the stretch was taken off and laid again. */
  readonly attempt: Column<number>;
  readonly sMm: Column<number>;
  readonly laid: Column<boolean>;
  readonly plannedWidthMm: Column<number>;
  readonly plannedHeightMm: Column<number>;
  readonly plannedAreaMm2: Column<number>;
  readonly widthMm: Column<number | null>;
  readonly heightMm: Column<number | null>;
  readonly areaMm2: Column<number | null>;
  /** + is left of travel. */
  readonly offsetMm: Column<number | null>;
  readonly areaRatio: Column<number | null>;
  /** One standard uncertainty each. */
  readonly uWidthMm: Column<number | null>;
  readonly uHeightMm: Column<number | null>;
  readonly uAreaMm2: Column<number | null>;
  readonly uOffsetMm: Column<number | null>;
  readonly coverage: Column<number | null>;
  readonly support: Column<SupportKind | null>;
  readonly ageS: Column<number | null>;
  readonly verdict: Column<Verdict>;
  readonly proven: Column<boolean>;
  /** Index in `Sheet.limits`. */
  readonly limits: Column<number>;
}

/** A finding with its place in the drawing and its words. */
export interface SheetFinding {
  /** Place in the list, worst first, from 0. */
  readonly rank: number;
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly proven: boolean;
  readonly layer: number;
  /** The strand it is shown at; for a body off the path the one that lies nearest. */
  readonly strand: number;
  /** False: it lies in the strand itself. True: beside it. */
  readonly offPath: boolean;
  readonly fromMm: number;
  readonly toMm: number;
  /** The worst station's. */
  readonly sMm: number;
  /** Footprint of a body or a pore, mm²; null for a stretch. */
  readonly areaMm2: number | null;
  /** "strand 5", "by strand 5". */
  readonly whereWords: string;
  /** "6.0–8.6 mm"; off the path the nearest place, "5.0 mm". */
  readonly rangeWords: string;
  /** "area ratio 0.02 ± 0.01". */
  readonly valueWords: string;
  /** "limit 0.25". */
  readonly limitWords: string;
  readonly advice: string;
}

export interface SheetLayer { readonly layer: number; readonly strands: readonly SheetStrand[] }

export interface SheetHead {
  readonly runId: string;
  readonly name: string;
  readonly specimen: string | null;
  readonly lot: string | null;
  readonly materialName: string;
  /** ISO 8601, UTC: when it was brought in. */
  readonly createdAt: string;
  readonly rehearsal: boolean;
  readonly demo: boolean;
  readonly planSha256: string;
}

export interface Sheet {
  readonly head: SheetHead;
  readonly beadShape: BeadShape;
  readonly words: { readonly acceptable: boolean | null; readonly headline: string; readonly detail: string; readonly advice: string | null };
  readonly layers: readonly SheetLayer[];
  readonly limits: readonly StationLimits[];
  /** Worst first. */
  readonly findings: readonly SheetFinding[];
  readonly warnings: readonly Warning[];
  /** Strands that were taken off and laid again: how many earlier attempts are kept. */
  readonly earlierAttemptCount: number;
}

/** What a stretch of a small picture says: seen and fine enough, not laid yet, not seen, or a verdict that has its own mark. */
export type StretchLook = "seen" | "planned" | "blank" | Exclude<Verdict, "inBand" | "watch" | "unmeasured" | "pending" | "removed">;
export interface ThumbnailStretch { readonly fromMm: number; readonly toMm: number; readonly look: StretchLook }
export interface ThumbnailStrand { readonly layer: number; readonly strand: number; readonly lengthMm: number; readonly stretches: readonly ThumbnailStretch[] }

/** One line of the register of runs. */
export interface RunLine {
  readonly head: SheetHead;
  readonly headline: string;
  readonly acceptable: boolean | null;
  /** "two layers", "24 strands". */
  readonly sizeWords: readonly string[];
  readonly thumbnail: readonly ThumbnailStrand[];
}
