import type { StrandStations } from "../model/stations.ts";

/** The lateral cells that a strand's sections are kept in: cell k spans [first + k · cell, first + (k + 1) · cell]. */
export interface StrandGrid { readonly cellMm: number; readonly first: number; readonly count: number }

/** A twentieth of the widest bead a cell, as far as a bead is followed. */
export function gridOf(strand: StrandStations): StrandGrid {
  let width = 0;
  let reach = 0;
  for (let i = 0; i < strand.count; i++) {
    const w = strand.widthMm[i] as number;
    if (w > width) width = w;
    const far = Math.max(Math.min(strand.halfWayLeftMm[i] as number, (strand.windowLeftMm[i] as number) + w), Math.min(strand.halfWayRightMm[i] as number, (strand.windowRightMm[i] as number) + w));
    if (far > reach) reach = far;
  }
  const cellMm = width / 20;
  const half = Math.ceil(reach / cellMm - 1e-9);
  return { cellMm, first: -half * cellMm, count: 2 * half };
}

/** The cells that overlap [low, high], as [from, to). */
export function cellRange(grid: StrandGrid, low: number, high: number): { from: number; to: number } {
  const from = Math.max(0, Math.floor((low - grid.first) / grid.cellMm + 1e-9));
  const to = Math.min(grid.count, Math.ceil((high - grid.first) / grid.cellMm - 1e-9));
  return { from, to: Math.max(from, to) };
}
