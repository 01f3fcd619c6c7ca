import { FRAME_LENGTH, frameAt } from "../kernel/path.ts";
import { buildCutIndex, cutPaths, makeCuts, type CutIndex, type Cuts, type PlanePiece } from "../kernel/planeCut.ts";
import type { PlannedPore, PorePlace } from "../model/pore.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";

/** A narrower gap than this share of the bead is taken up by two beads that are each wide by their watch limit (0.1 w), and is planned as no pore. */
export const LEAST_PORE_WIDTHS = 0.2;
/** Strands at a sharper angle than this border no pore: cos 30° (common practice, no source). */
const ALONGSIDE_COS = Math.sqrt(3) / 2;
/** A neighbour that ends a little short of being abreast is still one, in bead widths. */
const PROLONG_WIDTHS = 0.25;
/** A neighbour's tip lies at most this far above or below, mm. */
const ASIDE_MM = 3;

/** Every pore that a plan leaves open between neighbouring strands of a layer. A raster whose strands touch has none. */
export function plannedPores(plan: StationPlan): PlannedPore[] {
  const layers = Array.from({ length: plan.layerCount }, (_, i) => plan.strands.filter((s) => s.layer === i + 1));
  return layers.flatMap((strands) => poresOfLayer(strands, plan.spacingMm));
}

interface Layer { readonly strands: readonly StrandStations[]; readonly index: CutIndex; readonly cuts: Cuts; readonly spacingMm: number; readonly narrowestMm: number }

/** A neighbour's centre line is far enough for a gap even to the narrowest bead of the layer; most stations of a raster end here. */
function hasRoom({ narrowestMm }: Layer, strand: StrandStations, i: number): boolean {
  const far = (half: number): number => (half === Infinity ? 0 : half);
  return 2 * Math.max(far(strand.halfWayLeftMm[i] as number), far(strand.halfWayRightMm[i] as number)) > ((strand.widthMm[i] as number) + narrowestMm) / 2;
}

function poresOfLayer(strands: readonly StrandStations[], spacingMm: number): PlannedPore[] {
  const index = buildCutIndex(strands.map((s) => s.path), strands.map((s) => (s.path.closed ? 0 : PROLONG_WIDTHS * (s.widthMm[0] as number))));
  const narrowestMm = Math.min(...strands.map((s) => s.widthMm.reduce((a, b) => Math.min(a, b))));
  const layer: Layer = { strands, index, cuts: makeCuts(), spacingMm, narrowestMm };
  return strands.flatMap((strand, own) => {
    const byNeighbour = new Map<number, PorePlace[]>();
    for (let i = 0; i < strand.count; i++) {
      if (!hasRoom(layer, strand, i)) continue;
      for (const [other, place] of placesAt(layer, own, i)) {
        const list = byNeighbour.get(other);
        if (list === undefined) byNeighbour.set(other, [place]);
        else list.push(place);
      }
    }
    return [...byNeighbour].map(([other, places]) => ({ strandIndex: strand.index, otherIndex: (strands[other] as StrandStations).index, places }));
  });
}

const other = new Float64Array(FRAME_LENGTH);
const plane: PlanePiece = { o: new Float64Array(3), x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3), minX: 0, maxX: 0, minZ: -ASIDE_MM, maxZ: ASIDE_MM };

/** The nearest neighbour on either side of a station, where a pore is planned to it and it is counted from here: each pore once, from the lower strand or the earlier leg. */
function placesAt(layer: Layer, own: number, station: number): [number, PorePlace][] {
  const strand = layer.strands[own] as StrandStations;
  const frame = strand.frames.subarray(FRAME_LENGTH * station, FRAME_LENGTH * (station + 1));
  placePlane(frame, strand, station);
  cutPaths(layer.index, plane, layer.cuts);
  const nearest: Partial<Record<1 | -1, { b: number; which: number; sMm: number }>> = {};
  for (let c = 0; c < layer.cuts.count; c++) {
    const which = layer.cuts.path[c] as number, sMm = layer.cuts.sMm[c] as number, there = layer.strands[which] as StrandStations;
    frameAt(there.path, sMm, (there.widthMm[0] as number) / 2, other);
    const b = component(frame, 9);
    if (Math.abs(b) < 0.25 * (strand.widthMm[station] as number) || (which === own && isOwnPassage(strand, station, sMm, b))) continue;
    const side = b > 0 ? 1 : -1;
    if (nearest[side] === undefined || Math.abs(b) < Math.abs(nearest[side].b)) nearest[side] = { b, which, sMm };
  }
  return Object.values(nearest).flatMap(({ b, which, sMm }): [number, PorePlace][] => {
    if (which < own || (which === own && sMm < (strand.sMm[station] as number))) return [];
    const place = placeOf(strand, station, layer.strands[which] as StrandStations, { b, sMm, spacingMm: layer.spacingMm, frame });
    return place === null ? [] : [[which, place]];
  });
}

function placeOf(strand: StrandStations, station: number, there: StrandStations, at: { b: number; sMm: number; spacingMm: number; frame: Float64Array }): PorePlace | null {
  const otherStation = Math.max(0, Math.min(there.count - 1, Math.round(at.sMm / at.spacingMm)));
  frameAt(there.path, at.sMm, (there.widthMm[otherStation] as number) / 2, other);
  let across = 0;
  for (let k = 0; k < 3; k++) across += (other[3 + k] as number) * (at.frame[3 + k] as number);
  const stretch = 1 / Math.abs(across), betweenMm = Math.abs(at.b), side = at.b > 0 ? 1 : -1;
  const gapMm = betweenMm - (strand.widthMm[station] as number) / 2 - stretch * (there.widthMm[otherStation] as number) / 2;
  if (!(Math.abs(across) >= ALONGSIDE_COS) || gapMm < LEAST_PORE_WIDTHS * (strand.widthMm[station] as number)) return null;
  const before = strand.sMm[Math.max(0, station - 1)] as number, after = strand.sMm[Math.min(strand.count - 1, station + 1)] as number;
  // a neighbour laid the same way faces the pore with its other side
  return { station, side, otherStation, otherSide: across > 0 ? (side > 0 ? -1 : 1) : side, betweenMm, stretch, gapMm, lengthMm: (after - before) / 2 };
}

function placePlane(frame: Float64Array, strand: StrandStations, station: number): void {
  for (let k = 0; k < 3; k++) {
    plane.o[k] = frame[k] as number;
    plane.x[k] = frame[9 + k] as number;
    plane.y[k] = frame[3 + k] as number;
    plane.z[k] = frame[6 + k] as number;
  }
  // nearer than the neighbour on that side that the stations know there is none
  const reach = (half: number): number => (half === Infinity ? 0 : 2 * half + 0.01);
  plane.minX = -reach(strand.halfWayRightMm[station] as number);
  plane.maxX = reach(strand.halfWayLeftMm[station] as number);
}

/** Component of (other's position − station) along the station's axis that starts at `axis`. */
function component(frame: Float64Array, axis: number): number {
  let sum = 0;
  for (let k = 0; k < 3; k++) sum += ((other[k] as number) - (frame[k] as number)) * (frame[axis + k] as number);
  return sum;
}

/** The cut is the strand's own passage through the station, as where neighbours are looked for. */
function isOwnPassage(strand: StrandStations, station: number, sMm: number, b: number): boolean {
  const d = Math.abs(sMm - (strand.sMm[station] as number));
  return (strand.path.closed ? Math.min(d, strand.lengthMm - d) : d) <= 1.05 * Math.abs(b) + 0.25 * (strand.widthMm[station] as number);
}
