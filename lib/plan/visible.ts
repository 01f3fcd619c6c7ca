import type { BeadShape } from "../model/job.ts";
import { flankRadiusMm, outlineMm } from "../formula/bead.ts";

/** A planned bead as it stands in a station's section: centre and base in the section's lateral and normal directions. */
export interface SectionBead {
  readonly bMm: number;
  readonly baseMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  /** Along the lateral direction: 1 / |cos| of the angle at which it crosses the section, at most 4. */
  readonly stretch: number;
}

const STEPS = 48;

/**
 * Area in mm² under the upper outline of all beads, over the base n = 0, for b from −rightMm to +leftMm.
 * Cut at every flank and integrated in θ with b = mid + half · sin θ, which takes the flanks' square roots out; good to 0.05 %.
 */
export function visibleEnvelopeMm2(shape: BeadShape, beads: readonly SectionBead[], rightMm: number, leftMm: number): number {
  const cutsAt = [-rightMm, leftMm];
  for (const bead of beads) {
    const half = bead.widthMm / 2;
    const shoulder = half - flankRadiusMm(shape, bead.widthMm, bead.heightMm);
    for (const d of [-half, -shoulder, shoulder, half]) cutsAt.push(bead.bMm + d * bead.stretch);
  }
  const sorted = cutsAt.filter((b) => b >= -rightMm && b <= leftMm).sort((p, q) => p - q);
  let area = 0;
  for (let i = 1; i < sorted.length; i++) {
    area += pieceMm2(shape, beads, sorted[i - 1] as number, sorted[i] as number);
  }
  return area;
}

function pieceMm2(shape: BeadShape, beads: readonly SectionBead[], from: number, to: number): number {
  const mid = (from + to) / 2;
  const half = (to - from) / 2;
  if (!(half > 0)) return 0;
  let sum = 0;
  for (let k = 0; k < STEPS; k++) {
    const theta = (k + 0.5) / STEPS * Math.PI - Math.PI / 2;
    const b = mid + half * Math.sin(theta);
    let top = 0;
    for (const bead of beads) {
      const own = outlineMm(shape, bead.widthMm, bead.heightMm, (b - bead.bMm) / bead.stretch);
      if (own > 0 && bead.baseMm + own > top) top = bead.baseMm + own;
    }
    sum += top * Math.cos(theta);
  }
  return sum * half * Math.PI / STEPS;
}
