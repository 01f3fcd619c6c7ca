import { buildCutIndex, cutPaths, makeCuts, type CutIndex, type PlanePiece } from "../kernel/planeCut.ts";
import { FRAME_LENGTH, frameAt, type Path } from "../kernel/path.ts";
import type { SectionBead } from "./visible.ts";

/** What the search needs to know of a strand. */
export interface StrandShape {
  readonly path: Path;
  readonly lengthMm: number;
  /** Planned bead at arc length s. */
  bead(sMm: number): { widthMm: number; heightMm: number };
}

/** How far to each side a neighbour is looked for, mm. */
const LOOK_MM = 12;
/** A neighbour's tip lies at most this far above or below, mm. */
const ASIDE_MM = 3;

/** A neighbour that ends a little short of being abreast is still one, in bead widths. */
const PROLONG_WIDTHS = 0.25;

/** Finds the planned beads of one layer that a station's section cuts. */
export class NeighbourFinder {
  private readonly index: CutIndex;
  private readonly cuts = makeCuts();
  private readonly plane: PlanePiece = {
    o: new Float64Array(3), x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3),
    minX: -LOOK_MM, maxX: LOOK_MM, minZ: -ASIDE_MM, maxZ: ASIDE_MM,
  };
  private readonly other = new Float64Array(FRAME_LENGTH);
  private readonly layer: readonly StrandShape[];

  constructor(layer: readonly StrandShape[]) {
    this.layer = layer;
    this.index = buildCutIndex(layer.map((s) => s.path), layer.map((s) => (s.path.closed ? 0 : PROLONG_WIDTHS * s.bead(0).widthMm)));
  }

  /**
   * Beads other than the one at (own, sMm) in the section of `frame`, in no order. Another leg of the same strand counts;
   * what lies within a quarter of the width of the station is a crossing of the strand itself and does not.
   */
  find(own: number, sMm: number, frame: Float64Array): SectionBead[] {
    this.placePlane(frame);
    cutPaths(this.index, this.plane, this.cuts);
    const ownBead = (this.layer[own] as StrandShape).bead(sMm);
    const found: SectionBead[] = [];
    for (let i = 0; i < this.cuts.count; i++) {
      const which = this.cuts.path[i] as number;
      const at = this.cuts.sMm[i] as number;
      const strand = this.layer[which] as StrandShape;
      const bead = strand.bead(at);
      frameAt(strand.path, at, bead.widthMm / 2, this.other);
      const b = this.along(frame, 9);
      if (Math.abs(b) < 0.25 * ownBead.widthMm) continue;
      if (which === own && arcBetween(strand, at, sMm) <= 1.05 * Math.abs(b) + 0.25 * ownBead.widthMm) continue;
      const across = Math.abs(dot(this.other, 3, frame, 3));
      const baseMm = this.along(frame, 6) + ownBead.heightMm - bead.heightMm;
      found.push({ bMm: b, baseMm, widthMm: bead.widthMm, heightMm: bead.heightMm, stretch: 1 / Math.max(0.25, across) });
    }
    return found;
  }

  private placePlane(frame: Float64Array): void {
    for (let k = 0; k < 3; k++) {
      this.plane.o[k] = frame[k] as number;
      this.plane.x[k] = frame[9 + k] as number;
      this.plane.y[k] = frame[3 + k] as number;
      this.plane.z[k] = frame[6 + k] as number;
    }
  }

  /** Component of (other's position − station) along the station's axis that starts at `axis`. */
  private along(frame: Float64Array, axis: number): number {
    let sum = 0;
    for (let k = 0; k < 3; k++) sum += ((this.other[k] as number) - (frame[k] as number)) * (frame[axis + k] as number);
    return sum;
  }
}

function arcBetween(strand: StrandShape, a: number, b: number): number {
  const d = Math.abs(a - b);
  return strand.path.closed ? Math.min(d, strand.lengthMm - d) : d;
}

function dot(a: Float64Array, at: number, b: Float64Array, bt: number): number {
  return (a[at] as number) * (b[bt] as number) + (a[at + 1] as number) * (b[bt + 1] as number) + (a[at + 2] as number) * (b[bt + 2] as number);
}
