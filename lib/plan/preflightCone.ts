/** Where the nozzle would touch a bead that already lies there, or the target: at every station, its axis the planned normal. */
import { flankRadiusMm } from "../formula/bead.ts";
import { coneOf, paraboloidClearanceMm, radiusAtMm, type Cone } from "../formula/nozzleCone.ts";
import { boxesNear, mostAlong } from "../kernel/pointGrid.ts";
import type { Job } from "../model/job.ts";
import type { PreflightItem, PreflightPlace } from "../model/preflight.ts";
import type { StrandStations } from "../model/stations.ts";
import { found, isOver, itemsAlong, notMade, type Outcome } from "./preflightItem.ts";
import { stationPlaces, tripleOf, type Ground, type GroundLayer } from "./preflightGround.ts";
import { ribbonClearanceMm, type Ribbon } from "./preflightRibbon.ts";

/** Up to this depth the tip glides over neighbours that are as high as itself: what a hollow target and the plan's chords and rounding make of a level raster, mm (common practice, no source). */
const TOUCH_MM = 0.02;
/** The strand that is being laid does not count nearer than this along it: the tip's rim irons what it has just laid. In tip radii plus a width. */
const OWN_RADII = 1;

/** The least clearance at a station, and whose; Infinity: nothing came near. */
interface Least { clearanceMm: number; station: number }

const near = { boxes: new Int32Array(256), count: 0 };

export function checkCone(ground: Ground, { nozzle }: Job): Outcome[] {
  if (nozzle.lengthMm === null) {
    const reason = "the job gives no nozzle.lengthMm";
    return [notMade("coneTouchesBead", reason), notMade("coneTouchesTarget", reason)];
  }
  const cone = coneOf(nozzle.outerDiameterMm, nozzle.coneAngleDeg, nozzle.lengthMm);
  const beads: PreflightItem[] = [], target: PreflightItem[] = [];
  ground.stations.strands.forEach((strand, which) => {
    const first = ground.firstOf[which] as number, places = stationPlaces(ground, which);
    const least = Array.from({ length: strand.count }, (_, i) => leastAt(ground, first + i, cone));
    beads.push(...itemsAlong("coneTouchesBead", places, (i) => overOf(ground, (least[i] as Touch).bead)));
    target.push(...itemsAlong("coneTouchesTarget", places, (i) => overOf(ground, (least[i] as Touch).target)));
  });
  return [
    found("coneTouchesBead", beads),
    found("coneTouchesTarget", target, "the target is known only beneath the strands of layer 1 and as far as their curvature tells"),
  ];
}

interface Touch { readonly bead: Least; readonly target: Least }

function overOf(ground: Ground, least: Least): { value: number; limit: number; excess: number; other?: PreflightPlace } | null {
  if (!isOver(-least.clearanceMm, TOUCH_MM)) return null;
  const strand = ground.stations.strands[ground.strandOf[least.station] as number] as StrandStations;
  return { value: least.clearanceMm, limit: -TOUCH_MM, excess: -least.clearanceMm, other: { layer: strand.layer, strand: strand.strand, sMm: ground.sMm[least.station] as number } };
}

function leastAt(ground: Ground, station: number, cone: Cone): Touch {
  const strand = ground.stations.strands[ground.strandOf[station] as number] as StrandStations;
  const touch: Touch = { bead: { clearanceMm: Infinity, station: -1 }, target: { clearanceMm: Infinity, station: -1 } };
  for (const layer of ground.layers) {
    if (layer.layer > strand.layer) break;
    lookThrough(ground, layer, station, cone, touch);
  }
  if (strand.layer === 1) {
    const clearanceMm = ownTargetMm(ground, station, strand, cone);
    if (clearanceMm < touch.target.clearanceMm) Object.assign(touch.target, { clearanceMm, station });
  }
  return touch;
}

/** The target under the tip as a paraboloid of the greater of both curvatures, which counts up to half its radius. */
function ownTargetMm(ground: Ground, station: number, strand: StrandStations, cone: Cone): number {
  const i = station - (ground.firstOf[strand.index] as number), h = ground.heightMm[station] as number;
  const top = Math.max(strand.turn[3 * i] as number, strand.acrossCurvature[i] as number);
  const base = top / (1 + Math.max(0, top) * h); // the base lies h further out than the path
  return paraboloidClearanceMm(cone, h, base, 1 / (2 * Math.max(base, 1e-9)));
}

/** Every bead of a layer that lies there already, and of layer 1 the target beneath, against the nozzle at `station`. */
function lookThrough(ground: Ground, on: GroundLayer, station: number, cone: Cone, touch: Touch): void {
  const tip = tripleOf(ground.xyz, station), axis = tripleOf(ground.normal, station);
  const mine = ground.strandOf[station] as number, mineMm = ground.sMm[station] as number;
  const ownMm = OWN_RADII * cone.tipRadiusMm + (ground.widthMm[station] as number);
  const side = ground.widestMm / 2 + ground.stations.spacingMm;
  const topRadiusMm = radiusAtMm(cone, cone.lengthMm);
  boxesNear(on.grid, tip[0], tip[1], tip[2], Math.hypot(cone.lengthMm, topRadiusMm) + side, near);
  for (let n = 0; n < near.count; n++) {
    const box = near.boxes[n] as number;
    if (mostAlong(on.grid.bounds, box, tip, axis) + ground.widestMm / 2 <= TOUCH_MM) continue; // all beneath the tip's face
    for (let p = on.grid.start[box] as number; p < (on.grid.start[box + 1] as number); p++) {
      const other = on.from + (on.grid.points[p] as number), k = 3 * other;
      const dx = (ground.xyz[k] as number) - tip[0], dy = (ground.xyz[k + 1] as number) - tip[1], dz = (ground.xyz[k + 2] as number) - tip[2];
      const up = dx * axis[0] + dy * axis[1] + dz * axis[2], half = (ground.widthMm[other] as number) / 2;
      if (up + half <= TOUCH_MM) continue;
      const tilt = (ground.normal[k] as number) * axis[0] + (ground.normal[k + 1] as number) * axis[1] + (ground.normal[k + 2] as number) * axis[2];
      const highest = up + half * Math.sqrt(Math.max(0, 1 - tilt * tilt)) + ground.stations.spacingMm * leanOf(ground, other, axis);
      if (highest <= TOUCH_MM) continue;
      if (Math.sqrt(Math.max(0, dx * dx + dy * dy + dz * dz - up * up)) - half - side > radiusAtMm(cone, Math.min(cone.lengthMm, highest))) continue;
      const whose = ground.strandOf[other] as number;
      const isLaid = whose < mine || (whose === mine && (ground.sMm[other] as number) < mineMm - ownMm);
      if (isLaid) keepLeast(touch.bead, ribbonClearanceMm(cone, tip, axis, beadOf(ground, other)), other);
      if (on.layer === 1) keepLeast(touch.target, ribbonClearanceMm(cone, tip, axis, targetOf(ground, other)), other);
    }
  }
}

/** How much the strand rises along itself towards the axis, as a sine. */
function leanOf(ground: Ground, other: number, axis: readonly [number, number, number]): number {
  const k = 3 * other;
  return Math.abs((ground.tangent[k] as number) * axis[0] + (ground.tangent[k + 1] as number) * axis[1] + (ground.tangent[k + 2] as number) * axis[2]);
}

function keepLeast(least: Least, clearanceMm: number, station: number): void {
  if (clearanceMm < least.clearanceMm) [least.clearanceMm, least.station] = [clearanceMm, station];
}

/** A bead about a station: a stadium is a flat ribbon with round edges, a segment part of one round cylinder. */
function beadOf(ground: Ground, other: number): Ribbon {
  const w = ground.widthMm[other] as number, h = ground.heightMm[other] as number, radiusMm = flankRadiusMm(ground.stations.beadShape, w, h);
  return ribbon(ground, other, { deepMm: radiusMm, halfMm: ground.stations.beadShape === "stadium" ? (w - h) / 2 : 0, radiusMm });
}

/** The target under a station of layer 1, as wide as its bead. */
function targetOf(ground: Ground, other: number): Ribbon {
  return ribbon(ground, other, { deepMm: ground.heightMm[other] as number, halfMm: (ground.widthMm[other] as number) / 2, radiusMm: 0 });
}

/** Reaches three quarters of a spacing to either side, so that neighbours overlap, and ends where the strand ends. */
function ribbon(ground: Ground, other: number, size: { deepMm: number; halfMm: number; radiusMm: number }): Ribbon {
  const strand = ground.stations.strands[ground.strandOf[other] as number] as StrandStations;
  const s = ground.sMm[other] as number, reach = 0.75 * ground.stations.spacingMm;
  const point = tripleOf(ground.xyz, other), normal = tripleOf(ground.normal, other);
  const at = (k: 0 | 1 | 2): number => point[k] - size.deepMm * normal[k];
  return {
    middle: [at(0), at(1), at(2)], tangent: tripleOf(ground.tangent, other), lateral: tripleOf(ground.lateral, other), halfMm: size.halfMm, radiusMm: size.radiusMm,
    fromMm: -Math.min(reach, s), toMm: Math.min(reach, strand.lengthMm - s),
  };
}
