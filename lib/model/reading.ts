import type { SupportKind } from "./result.ts";

/** What the uncertainty of an area is made of; each is a standard uncertainty in mm². */
export const CONTRIBUTIONS = ["noise", "sampling", "support", "drift", "holes", "calibration"] as const;
export type Contribution = (typeof CONTRIBUTIONS)[number];
export type Budget = Readonly<Record<Contribution, number>>;

/** What was measured at one station in one pass. NaN is "not seen"; lengths mm, areas mm², one standard uncertainty each. */
export interface Reading {
  readonly device: string;
  /** The newest profile in it: its number within its device and its reference time, s. */
  readonly seq: number;
  readonly tS: number;
  readonly areaMm2: number;
  readonly uAreaMm2: number;
  readonly heightMm: number;
  readonly uHeightMm: number;
  readonly widthMm: number;
  readonly uWidthMm: number;
  readonly offsetMm: number;
  readonly uOffsetMm: number;
  /** 0..1 of the lateral window that returned light. */
  readonly coverage: number;
  readonly support: SupportKind;
  /** Area of the bead outside the window over the planned visible area. */
  readonly outsideRatio: number;
  /** The bead's flanks, lateral mm; NaN where not seen. */
  readonly rightFlankMm: number;
  readonly leftFlankMm: number;
  /** Where that flank was not seen: share of the way from the planned flank to half-way to the neighbour that paste covers, of what was seen of it; NaN: flank seen, no neighbour, or too little seen. */
  readonly rightPasteFraction: number;
  readonly leftPasteFraction: number;
  /** Samples stood on the middle of the bead, so that its crown is known. */
  readonly crownSeen: boolean;
  /** How far the middle of a spanned bead hangs below its planned top; NaN where it is not spanned. */
  readonly sagMm: number;
  /** The whole window was in view and enough of it returned light. */
  readonly good: boolean;
  readonly budget: Budget;
}
