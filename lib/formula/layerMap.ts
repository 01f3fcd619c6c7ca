/** A layer seen along its normal: px out, mm of the layer's frame in, to one scale. On paper a px is a point. */
import { extremeRuns } from "../kernel/extremes.ts";
import type { FindingKind, Verdict } from "../model/result.ts";
import { VERDICTS } from "../model/result.ts";
import type { LayerFrame, SheetFinding, SheetStrand } from "../model/sheet.ts";
import { laneEdges, type Pen } from "./laneEdges.ts";

/** How much room a map has. */
export interface MapRoom { readonly widthPx: number; readonly marginPx: number; readonly leastHeightPx: number; readonly mostHeightPx: number }
export const MAP_WIDTH_PX = 760;
/** On a screen. */
export const SCREEN_ROOM: MapRoom = { widthPx: MAP_WIDTH_PX, marginPx: 44, leastHeightPx: 240, mostHeightPx: 520 };
/** Strands are thinned to two points in so many px. */
const BUCKET_PX = 2;

export interface MapScale { readonly pxPerMm: number; readonly widthPx: number; readonly heightPx: number; readonly x: (xMm: number) => number; readonly y: (yMm: number) => number }

type Findings = readonly Pick<SheetFinding, "xMm" | "yMm" | "areaMm2" | "offPath">[];

/** The layer's plan and what lies off it fit; y up. */
export function mapScale(strands: readonly SheetStrand[], findings: Findings, { widthPx, marginPx, leastHeightPx, mostHeightPx }: MapRoom = SCREEN_ROOM): MapScale {
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  const take = (x: number, y: number, reach: number): void => {
    left = Math.min(left, x - reach); right = Math.max(right, x + reach); low = Math.min(low, y - reach); high = Math.max(high, y + reach);
  };
  for (const strand of strands) strand.xMm.forEach((x, i) => take(x, strand.yMm[i] as number, (strand.plannedWidthMm[i] as number) / 2));
  for (const finding of findings) if (finding.offPath) take(finding.xMm, finding.yMm, discMm(finding.areaMm2));
  if (!(right > left) || !(high > low)) [left, right, low, high] = [0, 1, 0, 1];
  const roomPx = widthPx - 2 * marginPx;
  const pxPerMm = Math.min(roomPx / (right - left), (mostHeightPx - 2 * marginPx) / (high - low));
  const heightPx = Math.max(leastHeightPx, (high - low) * pxPerMm + 2 * marginPx);
  const [middleX, middleY] = [(left + right) / 2, (low + high) / 2];
  return { pxPerMm, widthPx, heightPx, x: (xMm) => widthPx / 2 + (xMm - middleX) * pxPerMm, y: (yMm) => heightPx / 2 - (yMm - middleY) * pxPerMm };
}

export function isSameMap(a: MapScale, b: MapScale): boolean {
  return a.pxPerMm === b.pxPerMm && a.heightPx === b.heightPx && a.x(0) === b.x(0) && a.y(0) === b.y(0);
}

/** Radius of a disc of the footprint's area. */
export function discMm(areaMm2: number | null): number {
  return Math.sqrt((areaMm2 ?? 0) / Math.PI);
}

/** px of a place `bMm` to the left of the path at station i (a fraction stands between stations). */
function placePx(strand: SheetStrand, scale: MapScale, i: number, bMm: number): readonly [number, number] {
  const last = strand.sMm.length - 1;
  const of = (column: Float32Array, at: number): number => {
    const below = Math.max(0, Math.min(last, Math.floor(at))), above = Math.min(last, below + 1);
    return (column[below] as number) + (at - below) * ((column[above] as number) - (column[below] as number));
  };
  const before = Math.max(0, i - 1), after = Math.min(last, i + 1);
  const dx = of(strand.xMm, after) - of(strand.xMm, before), dy = of(strand.yMm, after) - of(strand.yMm, before);
  const length = Math.hypot(dx, dy);
  const [leftX, leftY] = length > 0 ? [-dy / length, dx / length] : [0, 0];
  return [scale.x(of(strand.xMm, i) + bMm * leftX), scale.y(of(strand.yMm, i) + bMm * leftY)];
}

/** Lines drawn along a strand: `down` mm from its path, as LaneEdges has them (left of travel is −). */
function traceEdge(pen: Pen, strand: SheetStrand, scale: MapScale, run: readonly number[], down: (i: number) => number, begin: boolean): void {
  run.forEach((i, k) => {
    const [x, y] = placePx(strand, scale, i, -down(i));
    if (k === 0 && begin) pen.moveTo(x, y);
    else pen.lineTo(x, y);
  });
}

function runsOf(strand: SheetStrand, scale: MapScale, values: Float32Array): number[][] {
  return extremeRuns(strand.sMm, values, { from: 0, to: values.length, step: BUCKET_PX / scale.pxPerMm });
}

/** Single flanks: planned, measured, hidden, or of what the camera alone saw. */
export function traceFlanks(pen: Pen, strand: SheetStrand, scale: MapScale, which: "planned" | "seen" | "hidden" | "camera"): void {
  const edges = laneEdges(strand);
  const pair = { planned: [edges.plannedUp, edges.plannedDown], seen: [edges.upSeen, edges.downSeen], hidden: [edges.upHidden, edges.downHidden], camera: [edges.upCamera, edges.downCamera] }[which];
  for (const edge of pair) for (const run of runsOf(strand, scale, edge)) traceEdge(pen, strand, scale, run, (i) => edge[i] as number, true);
}

/** The bead's body. */
export function traceMapBody(pen: Pen, strand: SheetStrand, scale: MapScale): void {
  const { up, down } = laneEdges(strand);
  const below = runsOf(strand, scale, down);
  runsOf(strand, scale, up).forEach((run, r) => {
    traceEdge(pen, strand, scale, run, (i) => up[i] as number, true);
    traceEdge(pen, strand, scale, (below[r] as number[]).toReversed(), (i) => down[i] as number, false);
    pen.closePath();
  });
}

/** Verdicts that a map shows by their finding's pattern. */
export const MAP_VERDICTS = { under: "underExtrusion", over: "overExtrusion", gap: "gap", lifted: "liftedStrand", displaced: "displacedStrand" } as const satisfies Partial<Record<Verdict, FindingKind>>;

/** Where stations have a verdict: the planned bead's outline, from half-way to the station before to half-way to the one after. */
export function traceVerdict(pen: Pen, strand: SheetStrand, scale: MapScale, verdict: Verdict): void {
  const wanted = VERDICTS.indexOf(verdict), last = strand.sMm.length - 1;
  const values = Float32Array.from(strand.verdict, (each) => (each === wanted ? 0 : Number.NaN));
  const half = (i: number): number => (strand.plannedWidthMm[Math.round(i)] as number) / 2;
  for (const run of runsOf(strand, scale, values)) {
    const ends = [Math.max(0, (run[0] as number) - 0.5), ...run, Math.min(last, (run.at(-1) as number) + 0.5)];
    traceEdge(pen, strand, scale, ends, (i) => -half(i), true);
    traceEdge(pen, strand, scale, ends.toReversed(), half, false);
    pen.closePath();
  }
}

/** Length of the scale bar: the largest of 1, 2, 5 · 10ⁿ mm within a fifth of the picture. */
export function barMm({ pxPerMm, widthPx }: Pick<MapScale, "pxPerMm" | "widthPx">): number {
  const most = widthPx / 5 / pxPerMm;
  const decade = 10 ** Math.floor(Math.log10(most));
  return Number(([5, 2, 1].find((step) => step * decade <= most) as number * decade).toPrecision(6));
}

export interface AxisArrow { readonly name: "x" | "y" | "z"; readonly right: number; readonly up: number }

/** The plan's axes as the map shows them; one that points at or away from the viewer has no arrow. */
export function planAxes({ right, up }: LayerFrame): AxisArrow[] {
  return (["x", "y", "z"] as const).map((name, axis) => ({ name, right: right[axis] as number, up: up[axis] as number })).filter((arrow) => Math.hypot(arrow.right, arrow.up) > 0.3);
}

export const LETTER_PX = 20;
export interface PlacedLetter { readonly rank: number; readonly xPx: number; readonly yPx: number }

/** Directions and distances in which a letter is tried, in its own size. */
const TRIES: readonly (readonly [number, number])[] = [1.4, 2.6].flatMap((far) => [[0, -far], [far, -far], [-far, -far], [far, 0], [-far, 0], [0, far], [far, far], [-far, far]] as const);

/** A place beside each finding where its letter covers no other; worse ones first, those without room have none. Middles of the boxes, px. */
export function placeLetters(findings: readonly Pick<SheetFinding, "rank" | "xMm" | "yMm">[], scale: MapScale): PlacedLetter[] {
  const placed: PlacedLetter[] = [];
  for (const finding of findings) {
    const spots = TRIES.map(([right, down]) => ({ rank: finding.rank, xPx: scale.x(finding.xMm) + right * LETTER_PX, yPx: scale.y(finding.yMm) + down * LETTER_PX }));
    const inside = ({ xPx, yPx }: PlacedLetter): boolean => xPx > LETTER_PX && xPx < scale.widthPx - LETTER_PX && yPx > LETTER_PX && yPx < scale.heightPx - LETTER_PX;
    const free = spots.find((spot) => inside(spot) && placed.every((other) => Math.max(Math.abs(other.xPx - spot.xPx), Math.abs(other.yPx - spot.yPx)) > LETTER_PX + 2));
    if (free !== undefined) placed.push(free);
  }
  return placed;
}

/** The station that stands nearest to a place of the map; null: the layer has none. */
export function nearestOnMap(strands: readonly SheetStrand[], xMm: number, yMm: number): { readonly strand: number; readonly station: number } | null {
  let best: { strand: number; station: number } | null = null;
  let bestMm2 = Infinity;
  for (const strand of strands) {
    strand.xMm.forEach((x, station) => {
      const mm2 = (x - xMm) ** 2 + ((strand.yMm[station] as number) - yMm) ** 2;
      if (mm2 < bestMm2) [best, bestMm2] = [{ strand: strand.strand, station }, mm2];
    });
  }
  return best;
}
