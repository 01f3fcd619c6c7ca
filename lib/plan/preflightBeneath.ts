/** Whether a layer's base lies on what is planned beneath it. Layer 1 lies on the target, which a plan does not hold. */
import { boxesNear } from "../kernel/pointGrid.ts";
import type { PreflightPlace } from "../model/preflight.ts";
import { found, isOver, itemsAlong, type Outcome } from "./preflightItem.ts";
import { stationPlaces, type Ground, type GroundLayer } from "./preflightGround.ts";

/** A base further than this from the crown beneath it is off, mm (common practice, no source). */
const OFF_MM = 0.1;
/** A bead carries one over it where their centre lines are nearer than this share of half their widths together; an end may overhang by it (common practice, no source). */
const CARRY_SHARE = 0.75;
/** A crown is looked for this many heights over and under the base. */
const LOOK_HEIGHTS = 2;

/** What a station's base lies on: how far the base is over the highest crown beneath (negative: under it), and whose that is. */
interface Beneath { readonly gapMm: number; readonly station: number }

const near = { boxes: new Int32Array(64), count: 0 };

/** Two outcomes: bases that are off, and stretches that reach a strand's end with nothing beneath. A hollow between two places that carry is bridged and no item. */
export function checkBeneath(ground: Ground): Outcome[] {
  const off: Outcome["items"][number][] = [], none: Outcome["items"][number][] = [];
  ground.stations.strands.forEach((strand, which) => {
    if (strand.layer === 1) return;
    const first = ground.firstOf[which] as number;
    const beneath = Array.from({ length: strand.count }, (_, i) => lookBeneath(ground, first + i, strand.layer));
    const places = stationPlaces(ground, which);
    off.push(...itemsAlong("baseOff", places, (i) => {
      const on = beneath[i];
      if (on == null || !isOver(Math.abs(on.gapMm), OFF_MM)) return null;
      return { value: on.gapMm, limit: on.gapMm < 0 ? -OFF_MM : OFF_MM, excess: Math.abs(on.gapMm), other: placeOf(ground, on.station) };
    }));
    const firstHeld = beneath.findIndex((on) => on !== null), lastHeld = beneath.findLastIndex((on) => on !== null);
    const most = CARRY_SHARE * (strand.widthMm[0] as number);
    none.push(...itemsAlong("nothingBeneath", places, (i) => {
      if (firstHeld >= 0 && i > firstHeld && i < lastHeld) return null;
      const value = firstHeld < 0 ? strand.lengthMm : i < firstHeld ? (strand.sMm[firstHeld] as number) : i > lastHeld ? strand.lengthMm - (strand.sMm[lastHeld] as number) : 0;
      return isOver(value, most) ? { value, limit: most, excess: value } : null;
    }));
  });
  const target = "layer 1 lies on the target, which the plan does not hold";
  return [found("baseOff", off, target), found("nothingBeneath", none, target)];
}

function placeOf(ground: Ground, station: number): PreflightPlace {
  const strand = ground.stations.strands[ground.strandOf[station] as number] as Ground["stations"]["strands"][number];
  return { layer: strand.layer, strand: strand.strand, sMm: ground.sMm[station] as number };
}

/** The layer before decides; one deeper counts where the base lies on it or in it. */
function lookBeneath(ground: Ground, station: number, layer: number): Beneath | null {
  let best: Beneath | null = null;
  for (let m = layer - 2; m >= 0; m--) {
    const found = highestCrown(ground, station, ground.layers[m] as GroundLayer);
    if (found === null || (m < layer - 2 && found.gapMm > OFF_MM)) continue;
    if (best === null || found.gapMm < best.gapMm) best = found;
  }
  return best;
}

function highestCrown(ground: Ground, station: number, on: GroundLayer): Beneath | null {
  const { xyz, normal, tangent, widthMm, heightMm } = ground;
  const j = 3 * station, h = heightMm[station] as number, w = widthMm[station] as number;
  const nx = normal[j] as number, ny = normal[j + 1] as number, nz = normal[j + 2] as number;
  const bx = (xyz[j] as number) - h * nx, by = (xyz[j + 1] as number) - h * ny, bz = (xyz[j + 2] as number) - h * nz;
  const half = ground.stations.spacingMm / 2;
  boxesNear(on.grid, bx, by, bz, CARRY_SHARE * (w + ground.widestMm) / 2 + half + LOOK_HEIGHTS * h, near);
  let best = Infinity, at = -1;
  for (let n = 0; n < near.count; n++) {
    const box = near.boxes[n] as number;
    for (let p = on.grid.start[box] as number; p < (on.grid.start[box + 1] as number); p++) {
      const other = on.from + (on.grid.points[p] as number), k = 3 * other;
      const dx = bx - (xyz[k] as number), dy = by - (xyz[k + 1] as number), dz = bz - (xyz[k + 2] as number);
      // the mean of both normals: two points of one circle lie level to it, however strongly curved the layer is
      const mx = nx + (normal[k] as number), my = ny + (normal[k + 1] as number), mz = nz + (normal[k + 2] as number), m2 = mx * mx + my * my + mz * mz;
      if (m2 < 2) continue; // over 90° apart
      const gap = (dx * mx + dy * my + dz * mz) / Math.sqrt(m2);
      if (gap >= best || Math.abs(gap) > LOOK_HEIGHTS * h) continue;
      const along = dx * (tangent[k] as number) + dy * (tangent[k + 1] as number) + dz * (tangent[k + 2] as number);
      const across = Math.sqrt(Math.max(0, dx * dx + dy * dy + dz * dz - gap * gap - along * along));
      if (Math.abs(along) > half + 0.25 * (widthMm[other] as number) || across > CARRY_SHARE * (w + (widthMm[other] as number)) / 2) continue;
      best = gap;
      at = other;
    }
  }
  return at < 0 ? null : { gapMm: best, station: at };
}
