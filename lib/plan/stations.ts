import { InputError } from "../base/errors.ts";
import { laidAreaMm2, visibleAreaMm2 } from "../formula/bead.ts";
import { FRAME_LENGTH, frameAt, segmentAt, type Path } from "../kernel/path.ts";
import type { BeadShape } from "../model/job.ts";
import type { Plan, PlanStrand } from "../model/plan.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { NeighbourFinder, type StrandShape } from "./neighbours.ts";
import { visibleEnvelopeMm2, type SectionBead } from "./visible.ts";

/** First and last waypoint closer than this make a closed path, mm. */
const CLOSED_MM = 0.01;

/** More stations than any print has: a quarter of a kilometre of strand at 0.5 mm. */
const STATION_LIMIT = 500_000;

/** InputError job.badValue where the spacing makes more stations of the plan than can be measured. */
export function requireFewStations(plan: Plan, spacingMm: number): void {
  const lengthMm = plan.strands.reduce((total, strand) => total + strand.lengthMm, 0), count = lengthMm / spacingMm;
  if (!(count <= STATION_LIMIT)) throw new InputError("job.badValue", `a spacing that makes at most ${STATION_LIMIT} stations of ${Number(lengthMm.toPrecision(4))} mm of strand`, String(spacingMm), { file: "job.json", key: "stationSpacingMm" });
}

/** Every station of every strand: s = 0, one spacing, two spacings … and the strand's end. InputError job.badValue as `requireFewStations`. */
export function buildStations(plan: Plan, spacingMm: number): StationPlan {
  requireFewStations(plan, spacingMm);
  const strands: StrandStations[] = [];
  for (let layer = 1; layer <= plan.layerCount; layer++) {
    const planned = plan.strands.filter((s) => s.layer === layer);
    const shapes = planned.map(shapeOf);
    const finder = new NeighbourFinder(shapes);
    planned.forEach((strand, i) => {
      strands.push(stationsOf(strand, shapes[i] as StrandShape, i, finder, { index: strands.length, spacingMm, shape: plan.beadShape }));
    });
  }
  return { beadShape: plan.beadShape, spacingMm, layerCount: plan.layerCount, strands, stationCount: strands.reduce((n, s) => n + s.count, 0) };
}

/** Arc lengths of the stations; a multiple within 1e-3 of L is the end. */
export function stationArcs(lengthMm: number, spacingMm: number): Float64Array {
  const arcs: number[] = [];
  for (let i = 0; ; i++) {
    const s = i * spacingMm;
    if (s >= lengthMm - 1e-3) break;
    arcs.push(s);
  }
  arcs.push(lengthMm);
  return Float64Array.from(arcs);
}

function shapeOf(strand: PlanStrand): StrandShape {
  const n = strand.pointCount;
  const gap = Math.hypot(...[0, 1, 2].map((k) => (strand.pointsMm[k] as number) - (strand.pointsMm[3 * (n - 1) + k] as number)));
  const path: Path = { pointsMm: strand.pointsMm, normals: strand.normals, arcMm: strand.arcMm, closed: n > 3 && gap < CLOSED_MM };
  return {
    path, lengthMm: strand.lengthMm,
    bead(sMm) {
      const i = segmentAt(strand.arcMm, sMm);
      return { widthMm: strand.widthMm[i] as number, heightMm: strand.heightMm[i] as number };
    },
  };
}

interface Context { readonly index: number; readonly spacingMm: number; readonly shape: BeadShape }

function stationsOf(strand: PlanStrand, shape: StrandShape, own: number, finder: NeighbourFinder, context: Context): StrandStations {
  const sMm = stationArcs(strand.lengthMm, context.spacingMm);
  const count = sMm.length;
  const per = (k: number): Float64Array => new Float64Array(k * count);
  const out = {
    index: context.index, layer: strand.layer, strand: strand.strand, approach: strand.approach, lengthMm: strand.lengthMm, path: shape.path,
    count, sMm, frames: per(FRAME_LENGTH), widthMm: per(1), heightMm: per(1), laidAreaMm2: per(1), visibleAreaMm2: per(1), turn: per(3),
    halfWayLeftMm: per(1), halfWayRightMm: per(1), windowLeftMm: per(1), windowRightMm: per(1), acrossCurvature: per(1),
  };
  const frame = new Float64Array(FRAME_LENGTH);
  for (let i = 0; i < count; i++) {
    const s = sMm[i] as number;
    const { widthMm: w, heightMm: h } = shape.bead(s);
    frameAt(shape.path, s, w / 2, frame);
    out.frames.set(frame, FRAME_LENGTH * i);
    out.turn.set(turnAt(shape.path, s, w / 2), 3 * i);
    const beads = finder.find(own, s, frame);
    const side = windowOf(beads, w);
    out.widthMm[i] = w;
    out.heightMm[i] = h;
    out.laidAreaMm2[i] = laidAreaMm2(context.shape, w, h);
    out.halfWayLeftMm[i] = side.halfLeft;
    out.halfWayRightMm[i] = side.halfRight;
    out.windowLeftMm[i] = side.left;
    out.windowRightMm[i] = side.right;
    out.acrossCurvature[i] = acrossCurvature(beads);
    out.visibleAreaMm2[i] = plannedVisible(context.shape, w, h, beads, side);
  }
  return out;
}

interface Sides { halfLeft: number; halfRight: number; left: number; right: number }

/** Half-way to each neighbouring planned strand, at most max(0.25 w, 0.3 mm) beyond the planned flank. */
function windowOf(beads: readonly SectionBead[], widthMm: number): Sides {
  let halfLeft = Number.POSITIVE_INFINITY;
  let halfRight = Number.POSITIVE_INFINITY;
  for (const bead of beads) {
    if (bead.bMm > 0) halfLeft = Math.min(halfLeft, bead.bMm / 2);
    else halfRight = Math.min(halfRight, -bead.bMm / 2);
  }
  const most = widthMm / 2 + Math.max(0.25 * widthMm, 0.3);
  return { halfLeft, halfRight, left: Math.min(halfLeft, most), right: Math.min(halfRight, most) };
}

function plannedVisible(shape: BeadShape, w: number, h: number, beads: readonly SectionBead[], side: Sides): number {
  const intruding = beads.filter((b) => Math.abs(b.bMm) - b.stretch * b.widthMm / 2 < (b.bMm > 0 ? side.left : side.right));
  if (intruding.length === 0 && side.left >= w / 2 && side.right >= w / 2) return visibleAreaMm2(shape, w, h);
  const own: SectionBead = { bMm: 0, baseMm: 0, widthMm: w, heightMm: h, stretch: 1 };
  return visibleEnvelopeMm2(shape, [own, ...intruding], side.right, side.left);
}

/** Least-squares curvature of the base through the neighbours' bases, n = κ b² / 2. */
function acrossCurvature(beads: readonly SectionBead[]): number {
  let top = 0;
  let bottom = 0;
  for (const bead of beads) {
    if (bead.stretch > 1.4) continue; // it crosses: its base there says nothing about a surface shared side by side
    const b2 = bead.bMm * bead.bMm;
    top += 2 * bead.baseMm * b2;
    bottom += b2 * b2;
  }
  return bottom > 0 ? top / bottom : 0;
}

const before = new Float64Array(FRAME_LENGTH);
const after = new Float64Array(FRAME_LENGTH);
const middle = new Float64Array(FRAME_LENGTH);

/** [normal curvature, geodesic curvature, torsion] at s, 1/mm, from frames half a chord before and after. */
function turnAt(path: Path, sMm: number, halfChordMm: number): [number, number, number] {
  const length = path.arcMm[path.arcMm.length - 1] as number;
  const from = path.closed ? sMm - halfChordMm : Math.max(0, sMm - halfChordMm);
  const to = path.closed ? sMm + halfChordMm : Math.min(length, sMm + halfChordMm);
  frameAt(path, from, halfChordMm, before);
  frameAt(path, to, halfChordMm, after);
  frameAt(path, sMm, halfChordMm, middle);
  const rate = (row: number, axis: number): number => {
    let sum = 0;
    for (let k = 0; k < 3; k++) sum += ((after[row + k] as number) - (before[row + k] as number)) * (middle[axis + k] as number);
    return sum / (to - from);
  };
  return [rate(3, 6), rate(3, 9), rate(6, 9)];
}
