/** The map of every layer: each strand a ribbon, by how its surface lies against the band. Blank where nothing was seen. */
import { tripleAt } from "../kernel/vec.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark, type Fill } from "../model/report.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { SURFACE_STATES, type SurfaceState, type SurfaceSums } from "../model/surfaceSums.ts";
import { layerFrame, mapPoint } from "./layerFrame.ts";

/** A ribbon's pieces are at least so long, and ribbons so broad, pt. */
const PIECE_PT = 2.5;
const LEAST_BREADTH_PT = 3;
const MARGIN_PT = 12;
const KEY_PT = 34;
const MOST_HEIGHT_PT = 560;
const TEXT_PT = 8;

/** How a state is drawn: measured paste where it lies in its band, the patterns of too little and too much beyond it. */
const LOOKS: Readonly<Record<Exclude<SurfaceState, "notSeen">, { readonly fill: Fill; readonly letter: string; readonly words: string }>> = {
  in: { fill: "bone", letter: "", words: "in the band" }, below: { fill: "under", letter: "U", words: "below it" }, above: { fill: "over", letter: "O", words: "above it" },
};
interface Scale { readonly ptPerMm: number; readonly leftMm: number; readonly topMm: number }
type Place = readonly [number, number];

/** One drawing a layer that holds strands. */
export function surfaceMaps(plan: StationPlan, sums: SurfaceSums): Drawing[] {
  return Array.from({ length: plan.layerCount }, (_, i) => i + 1).flatMap((layer) => {
    const strands = plan.strands.filter((strand) => strand.layer === layer);
    return strands.length === 0 ? [] : [layerMap(layer, strands, sums)];
  });
}

function layerMap(layer: number, strands: readonly StrandStations[], sums: SurfaceSums): Drawing {
  const { frame, words } = layerFrame(strands.map(({ path }) => ({ normals: path.normals, pointCount: path.normals.length / 3 })));
  const lines = strands.map((strand) => ({ strand, places: Array.from({ length: strand.count }, (_, i): Place => mapPoint(frame, tripleAt(strand.frames, 4 * i))) }));
  const all = lines.flatMap(({ places }) => places), widest = Math.max(...strands.map(({ widthMm }) => widthMm[0] as number));
  const [left, right, low, high] = all.reduce(([l, r, b, t], [x, y]) => [Math.min(l, x), Math.max(r, x), Math.min(b, y), Math.max(t, y)] as [number, number, number, number], [Infinity, -Infinity, Infinity, -Infinity]);
  const acrossMm = right - left + widest, upMm = high - low + widest;
  const ptPerMm = Math.min((DRAWING_WIDTH - 2 * MARGIN_PT) / acrossMm, (MOST_HEIGHT_PT - 2 * MARGIN_PT - KEY_PT) / upMm), scale = { ptPerMm, leftMm: left - widest / 2, topMm: high + widest / 2 };
  const heightPt = upMm * ptPerMm + 2 * MARGIN_PT + KEY_PT, counts = new Map<SurfaceState, number>();
  const marks = lines.flatMap(({ strand, places }) => {
    const states = sums.strands.find((one) => one.layer === layer && one.strand === strand.strand)?.states;
    for (const state of states ?? []) { const name = SURFACE_STATES[state] as SurfaceState; counts.set(name, (counts.get(name) ?? 0) + 1); }
    return ribbon(strand, places.map((place) => onPaper(place, scale)), states, ptPerMm);
  });
  const count = (state: SurfaceState): number => counts.get(state) ?? 0;
  return {
    id: `surface-${layer}`, title: `Layer ${layer}: the top surface against its band`, width: DRAWING_WIDTH, height: heightPt, scaleWords: scaleWords(ptPerMm),
    alt: `Map of layer ${layer}, ${words}. Stations in the band: ${count("in")}; below it: ${count("below")}; above it: ${count("above")}; blank, as not seen or with nothing laid: ${count("notSeen")}.`,
    marks: [...marks, ...keyMarks(heightPt)],
  };
}

function onPaper([x, y]: Place, { ptPerMm, leftMm, topMm }: Scale): Place {
  return [MARGIN_PT + (x - leftMm) * ptPerMm, MARGIN_PT + (topMm - y) * ptPerMm];
}

/** "2.5 : 1": lengths on paper to lengths on the target; 72 pt are an inch. */
function scaleWords(ptPerMm: number): string {
  const ratio = ptPerMm * 25.4 / 72;
  return ratio >= 1 ? `${Number(ratio.toPrecision(2))} : 1` : `1 : ${Number((1 / ratio).toPrecision(2))}`;
}

/** Where the strand was planned, a thin line; over it what was measured, piece by piece. */
function ribbon(strand: StrandStations, places: readonly Place[], states: Uint8Array | undefined, ptPerMm: number): DrawingMark[] {
  const marks: DrawingMark[] = [{ kind: "path", points: thinned(places), look: "thin", fill: "none", closed: false }];
  if (states === undefined) return marks;
  const breadthPt = Math.max(LEAST_BREADTH_PT, (strand.widthMm[0] as number) * ptPerMm);
  for (const { from, to, state } of runsOf(places, states)) {
    if (state === "notSeen") continue;
    const { fill, letter } = LOOKS[state], middle = places[(from + to) >> 1] as Place;
    const line = [between(places, from - 1, from), ...places.slice(from, to + 1), between(places, to, to + 1)];
    marks.push({ kind: "path", points: outline(line, breadthPt / 2), look: "thick", fill, closed: true });
    if (letter !== "") marks.push({ kind: "tag", x: hundredth(middle[0]), y: hundredth(middle[1]), verdict: state === "below" ? "under" : "over", letter });
  }
  return marks;
}

/** Half-way between two stations; beyond an end the end itself. */
function between(places: readonly Place[], a: number, b: number): Place {
  const p = places[Math.max(0, a)] as Place, q = places[Math.min(places.length - 1, b)] as Place;
  return [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
}

interface Run { readonly from: number; readonly to: number; readonly state: SurfaceState }

/** Stations gathered into pieces that can be seen, and neighbouring pieces of one state into runs. */
function runsOf(places: readonly Place[], states: Uint8Array): Run[] {
  const runs: Run[] = [];
  for (let from = 0, to = 0; from < states.length; from = to + 1) {
    let lengthPt = 0;
    for (to = from; to + 1 < states.length && lengthPt < PIECE_PT; to++) lengthPt += distance(places[to] as Place, places[to + 1] as Place);
    const state = stateOf(states.subarray(from, to + 1)), before = runs.at(-1);
    if (before?.state === state) runs[runs.length - 1] = { ...before, to };
    else runs.push({ from, to, state });
  }
  return runs;
}

/** A piece lies beyond its band where any of its stations does; else it was seen where more than half of them were. */
function stateOf(states: Uint8Array): SurfaceState {
  const of = (state: SurfaceState): number => states.reduce((sum, each) => sum + (SURFACE_STATES[each] === state ? 1 : 0), 0);
  const below = of("below"), above = of("above");
  if (below + above > 0) return below >= above ? "below" : "above";
  return of("in") > states.length / 2 ? "in" : "notSeen";
}

function distance(p: Place, q: Place): number {
  return Math.hypot(q[0] - p[0], q[1] - p[1]);
}

/** A ribbon round a line: along its left, back along its right. */
function outline(line: readonly Place[], half: number): number[] {
  const kept = pairs(thinned(line));
  const side = (i: number, sign: 1 | -1): Place => {
    const a = kept[Math.max(0, i - 1)] as Place, b = kept[Math.min(kept.length - 1, i + 1)] as Place, here = kept[i] as Place, size = Math.max(1e-9, distance(a, b));
    return [here[0] - sign * half * (b[1] - a[1]) / size, here[1] + sign * half * (b[0] - a[0]) / size];
  };
  return [...kept.map((_, i) => side(i, 1)), ...kept.map((_, i) => side(i, -1)).reverse()].flat().map(hundredth);
}

/** Points of a line at least PIECE_PT apart, its ends always. */
function thinned(line: readonly Place[]): number[] {
  const kept: Place[] = [];
  line.forEach((place, i) => {
    const last = kept.at(-1);
    if (last === undefined || i === line.length - 1 || Math.hypot(place[0] - last[0], place[1] - last[1]) >= PIECE_PT) kept.push(place);
  });
  return kept.flat().map(hundredth);
}

function pairs(points: readonly number[]): Place[] {
  return Array.from({ length: points.length / 2 }, (_, i): Place => [points[2 * i] as number, points[2 * i + 1] as number]);
}

const hundredth = (value: number): number => Math.round(100 * value) / 100;

function keyMarks(heightPt: number): DrawingMark[] {
  const y = heightPt - KEY_PT / 2, marks: DrawingMark[] = [];
  let x = MARGIN_PT;
  const text = (words: string): void => {
    marks.push({ kind: "text", x, y: y + TEXT_PT / 2, text: words, size: TEXT_PT, anchor: "start", bold: false, quiet: false });
    x += words.length * TEXT_PT * 0.5 + 16;
  };
  for (const state of ["in", "below", "above"] as const) {
    const { fill, letter, words } = LOOKS[state];
    marks.push({ kind: "path", points: [x, y - 5, x + 22, y - 5, x + 22, y + 5, x, y + 5].map(hundredth), look: "thick", fill, closed: true });
    x += 28;
    text(letter === "" ? words : `${letter}: ${words}`);
  }
  marks.push({ kind: "path", points: [x, y, x + 22, y].map(hundredth), look: "thin", fill: "none", closed: false });
  x += 28;
  text("blank: not seen, or nothing laid");
  return marks;
}
