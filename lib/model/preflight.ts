/** What can be said of a plan before anything is laid. Made by plan/, kept with a result, shown on a run's sheet. */
import type { Point, Severity } from "./result.ts";

/** The unit of an item's value and limit. */
export type PreflightUnit = "mm" | "mm³" | "s" | "°" | "%";

interface KindRule {
  readonly severity: Severity;
  readonly unit: PreflightUnit;
  /** What is checked. */
  readonly about: string;
  /** What is wrong, to stand before the number: sentence case. */
  readonly label: string;
}

/**
 * Every kind of item. `act`: laid so, the print is spoilt or contradicts its own plan; `watch`: it can be laid, and somebody should know.
 */
export const PREFLIGHT_RULES = {
  segmentTooHigh: { severity: "watch", unit: "mm", about: "Height of segments", label: "Segment higher than half its chord" },
  beadTooNarrow: { severity: "watch", unit: "mm", about: "Width against the nozzle's bore", label: "Bead narrow for the nozzle's bore" },
  beadTooWide: { severity: "watch", unit: "mm", about: "Width against the nozzle's tip", label: "Bead wide for the nozzle's tip" },
  flowDisagrees: { severity: "act", unit: "%", about: "Flow against geometry", label: "Flow and geometry disagree" },
  volumeOver: { severity: "act", unit: "mm³", about: "Paste against the syringe", label: "More paste than the syringe holds" },
  timeOver: { severity: "act", unit: "s", about: "Laying against the working time", label: "Laying outlasts the working time" },
  normalTurns: { severity: "watch", unit: "°", about: "Turns of the normal", label: "Normal turns sharply within a station" },
  strandsCross: { severity: "act", unit: "mm", about: "Crossings within a layer", label: "Strands of a layer cross" },
  baseOff: { severity: "act", unit: "mm", about: "Bases against what is beneath", label: "Base off what is planned beneath" },
  nothingBeneath: { severity: "watch", unit: "mm", about: "Whether anything is beneath", label: "Nothing planned beneath" },
  coneTouchesBead: { severity: "act", unit: "mm", about: "Room for the nozzle beside beads", label: "Nozzle would touch a bead already laid" },
  coneTouchesTarget: { severity: "act", unit: "mm", about: "Room for the nozzle over the target", label: "Nozzle would touch the target" },
  neverSeen: { severity: "watch", unit: "mm", about: "What the profiler never sees", label: "Never in the profiler's view" },
  seenAfterNext: { severity: "watch", unit: "mm", about: "What it sees after the next strand", label: "Seen only after the next strand lies beside it" },
  seenTooOld: { severity: "watch", unit: "s", about: "Age of what it sees", label: "Seen later than readings may be judged" },
} as const satisfies Record<string, KindRule>;

export type PreflightKind = keyof typeof PREFLIGHT_RULES;
export const PREFLIGHT_KINDS = Object.keys(PREFLIGHT_RULES) as PreflightKind[];

/** A place of the plan: arc length along a strand. */
export interface PreflightPlace { readonly layer: number; readonly strand: number; readonly sMm: number }

/** A stretch [fromMm, toMm] of a strand where a limit is passed, and its worst place. */
export interface PreflightItem {
  readonly kind: PreflightKind;
  readonly severity: Severity;
  readonly layer: number;
  readonly strand: number;
  readonly fromMm: number;
  readonly toMm: number;
  /** The worst place: arc length, and the plan point there. */
  readonly sMm: number;
  readonly position: Point;
  readonly value: number;
  readonly limit: number;
  readonly unit: PreflightUnit;
  /** What it crosses, touches or lies on; null: nothing else is concerned. */
  readonly other: PreflightPlace | null;
}

export interface PreflightNotChecked {
  readonly kind: PreflightKind;
  readonly reason: string;
}

/** How long after laying a strand is seen: path laid in between, and time, without the moves between strands, which a plan does not hold. */
export interface Detour {
  readonly layer: number;
  readonly strand: number;
  /** Length of the strand that is ever seen, mm; the other numbers are null where it is 0. */
  readonly seenMm: number;
  readonly leastMm: number | null;
  readonly mostMm: number | null;
  readonly leastS: number | null;
  readonly mostS: number | null;
}

export interface PreflightTotals {
  /** Path laid, paste used, and time of laying alone. */
  readonly lengthMm: number;
  readonly volumeMm3: number;
  readonly layingTimeS: number;
}

export interface Preflight {
  /** Act before watch, then by layer, strand and place. */
  readonly items: readonly PreflightItem[];
  /** Checks that could not be made, or not everywhere, each with the reason. */
  readonly notChecked: readonly PreflightNotChecked[];
  /** Checks that were made, and how many items each found. */
  readonly checked: readonly { readonly kind: PreflightKind; readonly itemCount: number }[];
  /** One a strand; empty where no mount says where the profiler looks. */
  readonly detours: readonly Detour[];
  readonly totals: PreflightTotals;
  /** What had to be taken for granted, in sentences. */
  readonly assumptions: readonly string[];
}

/** An item as the page prints it; `place` is where it leads to. */
export interface PreflightLine {
  readonly severity: Severity;
  readonly label: string;
  readonly where: string;
  readonly value: string;
  readonly limit: string;
  /** "with strand 2 of layer 1 at 7.5 mm"; "" where nothing else is concerned. */
  readonly other: string;
  readonly place: PreflightPlace;
}

/** What the page shows of a pre-flight list, in words that are printed as they are. */
export interface PreflightSheet {
  readonly sentence: string;
  readonly totals: string;
  readonly lines: readonly PreflightLine[];
  /** Items beyond those in `lines`. */
  readonly moreCount: number;
  readonly notChecked: readonly { readonly label: string; readonly reason: string }[];
  /** One a strand. */
  readonly detours: readonly { readonly where: string; readonly words: string }[];
  readonly assumptions: readonly string[];
}
