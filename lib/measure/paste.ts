import { cellRange } from "./grid.ts";
import { EMPTY, type Sections } from "./section.ts";
import { MIN_COVERAGE } from "./settings.ts";

/** Thicker than this share of the height is paste, as where the bead is looked for. */
const PASTE_SHARE = 0.2;

/** Share of the way from the planned flank to half-way to the neighbour that paste covers; NaN without a neighbour there, or where less than 60 % of the way returned light. */
export function pasteBeside(s: Sections, station: number, side: 1 | -1): number {
  const { strand, grid } = s;
  const flank = (strand.widthMm[station] as number) / 2, half = (side > 0 ? strand.halfWayLeftMm : strand.halfWayRightMm)[station] as number;
  if (!(half > flank) || half === Infinity) return Number.NaN;
  const { from, to } = cellRange(grid, side > 0 ? flank : -half, side > 0 ? half : -flank);
  const on = PASTE_SHARE * (strand.heightMm[station] as number) * grid.cellMm;
  let covered = 0, paste = 0;
  for (let c = station * grid.count + from; c < station * grid.count + to; c++) {
    if (s.tag[c] === EMPTY) continue;
    covered += s.coveredMm[c] as number;
    if ((s.areaMm2[c] as number) > on) paste += s.coveredMm[c] as number;
  }
  return covered >= MIN_COVERAGE * (half - flank) ? paste / covered : Number.NaN;
}
