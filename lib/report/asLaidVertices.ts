/** Rows of vertices into places in `plan`, with their deviations from the planned top. */
import { topDeviationMm } from "../formula/beadTop.ts";
import { FRAME_LENGTH, frameAt } from "../kernel/path.ts";
import type { AsLaidLattice, AsLaidRow, AsLaidVertices } from "../model/asLaid.ts";
import type { BeadShape } from "../model/job.ts";
import type { StrandStations } from "../model/stations.ts";

/** A strand that rows belong to. */
export interface LaidStrandPlace { readonly strand: StrandStations; readonly lattice: AsLaidLattice; readonly shape: BeadShape }

const frame = new Float64Array(FRAME_LENGTH);

/** Room for the vertices of any row of the strand. */
export function makeVertices({ count }: AsLaidLattice): AsLaidVertices & { count: number } {
  return { count: 0, xyzMm: new Float64Array(3 * count), deviationMm: new Float64Array(count), sMm: new Float64Array(count), node: new Uint16Array(count) };
}

/**
 * Places the vertices of a row: a point (b, n) of a profile that cuts the strand at s lies at s + δ along the strand, b to its left and n over its planned
 * base there, δ by the profile's slant. The bead is planned upright on a base that bends across the strand as its neighbours' bases do.
 */
export function placeRow({ strand, lattice, shape }: LaidStrandPlace, row: AsLaidRow, out: AsLaidVertices & { count: number }): void {
  const { station, sMm: rowMm, slant: { perB, perN } } = row;
  const widthMm = strand.widthMm[station] as number, heightMm = strand.heightMm[station] as number, curve = (strand.acrossCurvature[station] as number) / 2;
  const top = { shape, widthMm, heightMm, halfRightMm: strand.halfWayRightMm[station] as number, halfLeftMm: strand.halfWayLeftMm[station] as number };
  const isSquare = perB === 0 && perN === 0;
  if (isSquare) frameAt(strand.path, rowMm, widthMm / 2, frame);
  let m = 0;
  for (let k = 0; k < lattice.count; k++) {
    const n = row.nMm[k] as number, b = lattice.firstMm + k * lattice.cellMm;
    if (n !== n) continue;
    const s = rowMm + perB * b + perN * (n - heightMm), up = n - heightMm;
    if (!isSquare) frameAt(strand.path, s, widthMm / 2, frame);
    for (let axis = 0; axis < 3; axis++) out.xyzMm[3 * m + axis] = (frame[axis] as number) + b * (frame[9 + axis] as number) + up * (frame[6 + axis] as number);
    out.deviationMm[m] = topDeviationMm(top, b, n - curve * b * b);
    out.sMm[m] = s;
    out.node[m++] = k;
  }
  out.count = m;
}

/** Whether the surface goes on from one row to the next: no station between them went unseen, and the second lies further along. */
export function isNextRow(row: AsLaidRow, next: AsLaidRow): boolean {
  return next.layer === row.layer && next.strand === row.strand && next.station === row.lastStation + 1 && next.sMm > row.sMm;
}
