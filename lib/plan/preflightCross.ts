/** Strands of one layer whose centre lines cross, or run in one line: two beads planned into the same place. */
import { pointAt, segmentAt } from "../kernel/path.ts";
import { boxesNear, buildPointGrid } from "../kernel/pointGrid.ts";
import { add, cross, dot, lerp, scale, sub, tripleAt, unit, type Vec3 } from "../kernel/vec.ts";
import type { PreflightItem } from "../model/preflight.ts";
import type { StrandStations } from "../model/stations.ts";
import { found, isOver, makeItem, type Outcome } from "./preflightItem.ts";
import type { Ground } from "./preflightGround.ts";

/** A joint at an end is none: the crossing lies at least so far inside both strands, mm. */
const INSIDE_MM = 0.01;
/** Under this sine two pieces run side by side; nearer than this share of a width they are in one line (common practice, no source). */
const SIDE_BY_SIDE = 0.02;
const ONE_LINE_SHARE = 0.25;
/** Legs of one strand count where so many widths of path lie between them. */
const LEG_WIDTHS = 1;
const SIDE_LEG_WIDTHS = 4;
/** Overlaps of less than this are rounding of the plan, mm. */
const OVERLAP_MM = 0.001;

/** A short piece of a strand's centre line. */
interface Piece { readonly strand: StrandStations; readonly from: Vec3; readonly to: Vec3; readonly normal: Vec3; readonly sMm: number; readonly lengthMm: number; readonly widthMm: number; readonly heightMm: number }
/** Where piece a, laid later, meets piece b. */
interface Hit { readonly later: StrandStations; readonly earlier: StrandStations; readonly sMm: number; readonly otherMm: number; readonly at: Vec3; readonly overlapMm: number; readonly widthMm: number }

export function checkCrossings(ground: Ground): Outcome {
  const hits = ground.layers.flatMap(({ layer }) => hitsOf(ground.stations.strands.filter((s) => s.layer === layer).flatMap(piecesOf)));
  return found("strandsCross", joined(hits));
}

/** The polyline cut at every waypoint and every station, so that no piece is longer than a spacing. */
function piecesOf(strand: StrandStations): Piece[] {
  const { path } = strand;
  const cuts = [...new Set([...strand.sMm, ...path.arcMm])].sort((a, b) => a - b);
  const point = new Float64Array(3);
  const at = (s: number): Vec3 => {
    pointAt(path, s, point, 0);
    return [point[0] as number, point[1] as number, point[2] as number];
  };
  const pieces: Piece[] = [];
  let station = 0;
  for (let i = 1; i < cuts.length; i++) {
    const s0 = cuts[i - 1] as number, s1 = cuts[i] as number;
    if (!(s1 - s0 > 1e-9)) continue;
    while (station + 1 < strand.count && (strand.sMm[station + 1] as number) <= s0) station++;
    const vertex = segmentAt(path.arcMm, s0);
    const normal = unit(lerp(tripleAt(path.normals, vertex), tripleAt(path.normals, vertex + 1), ((s0 + s1) / 2 - (path.arcMm[vertex] as number)) / ((path.arcMm[vertex + 1] as number) - (path.arcMm[vertex] as number))));
    pieces.push({ strand, from: at(s0), to: at(s1), normal, sMm: s0, lengthMm: s1 - s0, widthMm: strand.widthMm[station] as number, heightMm: strand.heightMm[station] as number });
  }
  return pieces;
}

function hitsOf(pieces: readonly Piece[]): Hit[] {
  const middles = new Float64Array(3 * pieces.length);
  let longestMm = 0, highestMm = 0;
  pieces.forEach((piece, i) => {
    middles.set(lerp(piece.from, piece.to, 0.5), 3 * i);
    longestMm = Math.max(longestMm, piece.lengthMm);
    highestMm = Math.max(highestMm, piece.heightMm);
  });
  const reach = longestMm + highestMm;
  const grid = buildPointGrid(middles, pieces.length, reach);
  const near = { boxes: new Int32Array(64), count: 0 };
  const hits: Hit[] = [];
  pieces.forEach((a, i) => {
    boxesNear(grid, middles[3 * i] as number, middles[3 * i + 1] as number, middles[3 * i + 2] as number, reach, near);
    for (let n = 0; n < near.count; n++) {
      const box = near.boxes[n] as number;
      for (let p = grid.start[box] as number; p < (grid.start[box + 1] as number); p++) {
        const j = grid.points[p] as number;
        if (j >= i) continue;
        const hit = meet(a, pieces[j] as Piece);
        if (hit !== null) hits.push(hit);
      }
    }
  });
  return hits;
}

/** Where two pieces meet, seen along their mean normal; null where they do not, or where one passes over the other. */
function meet(a: Piece, b: Piece): Hit | null {
  if (dot(a.normal, b.normal) <= 0) return null;
  const n = unit(add(a.normal, b.normal));
  const d = sub(a.to, a.from), e = sub(b.to, b.from), r = sub(b.from, a.from);
  const turn = dot(n, cross(d, e)), sine = turn / (a.lengthMm * b.lengthMm);
  const [f, g] = Math.abs(sine) > SIDE_BY_SIDE ? [dot(n, cross(r, e)) / turn, dot(n, cross(r, d)) / turn] : sideBySide(a, b, n);
  if (!(f >= 0 && f <= 1 && g >= 0 && g <= 1)) return null;
  const sMm = a.sMm + f * a.lengthMm, otherMm = b.sMm + g * b.lengthMm;
  if (!isInside(a.strand, sMm) || !isInside(b.strand, otherMm)) return null;
  const legMm = (Math.abs(sine) > SIDE_BY_SIDE ? LEG_WIDTHS : SIDE_LEG_WIDTHS) * a.widthMm;
  if (a.strand === b.strand && gapMm(a.strand, sMm, otherMm) < legMm) return null;
  const at = add(a.from, scale(d, f));
  const rise = dot(n, sub(at, add(b.from, scale(e, g))));
  const overlapMm = (rise > 0 ? a.heightMm : b.heightMm) - Math.abs(rise);
  return isOver(overlapMm, OVERLAP_MM) ? { later: a.strand, earlier: b.strand, sMm, otherMm, at, overlapMm, widthMm: a.widthMm } : null;
}

/** Shares along two pieces that run side by side in one line: a's middle and the place of b beside it; NaN where they are apart. */
function sideBySide(a: Piece, b: Piece, n: Vec3): readonly [number, number] {
  const e = sub(b.to, b.from), r = sub(lerp(a.from, a.to, 0.5), b.from);
  const g = dot(r, e) / (b.lengthMm * b.lengthMm);
  const apart = Math.abs(dot(n, cross(r, e))) / b.lengthMm;
  return apart < ONE_LINE_SHARE * Math.min(a.widthMm, b.widthMm) ? [0.5, g] : [Number.NaN, Number.NaN];
}

function isInside(strand: StrandStations, sMm: number): boolean {
  return strand.path.closed || (sMm > INSIDE_MM && sMm < strand.lengthMm - INSIDE_MM);
}

function gapMm(strand: StrandStations, a: number, b: number): number {
  const d = Math.abs(a - b);
  return strand.path.closed ? Math.min(d, strand.lengthMm - d) : d;
}

/** Hits of the same two strands within a width are one crossing, half a width long to either side. */
function joined(hits: readonly Hit[]): PreflightItem[] {
  const sorted = [...hits].sort((p, q) => p.later.index - q.later.index || p.earlier.index - q.earlier.index || p.sMm - q.sMm);
  const groups: Hit[][] = [];
  for (const hit of sorted) {
    const group = groups.at(-1), last = group?.at(-1);
    if (last !== undefined && last.later === hit.later && last.earlier === hit.earlier && hit.sMm - last.sMm <= hit.widthMm) group?.push(hit);
    else groups.push([hit]);
  }
  return groups.map((group) => {
    const worst = group.reduce((a, b) => (b.overlapMm > a.overlapMm ? b : a));
    const first = group[0] as Hit, last = group.at(-1) as Hit;
    return makeItem("strandsCross", {
      layer: worst.later.layer, strand: worst.later.strand, fromMm: Math.max(0, first.sMm - first.widthMm / 2), toMm: Math.min(worst.later.lengthMm, last.sMm + last.widthMm / 2),
      sMm: worst.sMm, position: worst.at, value: worst.overlapMm, limit: 0,
      other: { layer: worst.earlier.layer, strand: worst.earlier.strand, sMm: worst.otherMm },
    });
  });
}
