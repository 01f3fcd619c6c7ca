/** The target as profiles showed it before layer 1, against the planned base of that layer. Made by measure/, kept with a result. */
import type { Range } from "./job.ts";
import type { Point } from "./result.ts";

/** One chart of the target, looked at along its normal: square cells, u to the right and v up. */
export interface SupportMap {
  readonly cellMm: number;
  readonly nu: number;
  readonly nv: number;
  /** Mean distance of the target over the planned base along the planned normal, in whole µm (under it: negative); null where nothing was seen or nothing is laid near. */
  readonly overUm: readonly (number | null)[]; // [v · nu + u]
  /** Planned centre lines of layer 1 in the chart. */
  readonly strands: readonly { readonly strand: number; readonly uvMm: readonly number[] }[]; // [2 · vertex], u v from the map's corner
}

export interface SupportWorst {
  readonly strand: number;
  readonly sMm: number;
  readonly position: Point;
  readonly overMm: number;
  /** The limit on its side that holds there. */
  readonly limitMm: number;
}

/** Why a layer is not to be begun. */
export type NoGo = "notSeen" | "outside";

/**
 * Numbers are of the layer's own footprint, as wide as its beads; maps reach a bead further. A target that lies d too high leaves the bead
 * d lower than planned, so the first layer's act limits of the height, turned round, are the band: −high … −low.
 */
export interface SupportFound {
  readonly maps: readonly SupportMap[];
  /** null where nothing was seen. */
  readonly meanMm: number | null;
  readonly p5Mm: number | null;
  readonly p95Mm: number | null;
  /** Where the band is left furthest, or most nearly. */
  readonly worst: SupportWorst | null;
  /** 0..1 of the footprint that was seen, and of what was seen that lies outside the band. */
  readonly seenFraction: number;
  readonly outsideFraction: number;
  /** The tightest band of any place of the layer. */
  readonly bandMm: Range;
  readonly limits: { readonly seenFraction: number; readonly outsideFraction: number };
  readonly go: boolean;
  readonly because: readonly NoGo[];
}

/** What the page shows of it, in words that are printed as they are. */
export interface SupportSheet {
  readonly sentence: string;
  /** Name and value of each number. */
  readonly rows: readonly { readonly name: string; readonly value: string }[];
  readonly bandMm: Range;
  readonly maps: readonly SupportMap[];
}
