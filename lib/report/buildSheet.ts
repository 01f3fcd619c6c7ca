/** From what is kept of a run to the sheet that shows it. Pure; the strands come unrolled, the findings worst first with their place. */
import type { Warning } from "../base/errors.ts";
import { CAMERA_STATES, type FrameResult } from "../model/frame.ts";
import type { SheetFrame } from "../model/frameView.ts";
import { CAMERA_DEFAULT } from "../model/jobShape.ts";
import type { Acceptance, BeadShape, Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import type { Finding, StationLimits, StationResult, Summary } from "../model/result.ts";
import { SUPPORT_KINDS, VERDICTS } from "../model/result.ts";
import type { LayerFrame, Sheet, SheetFinding, SheetHead, SheetLayer, SheetStrand } from "../model/sheet.ts";
import { NO_CAMERA, NO_SUPPORT } from "../model/sheet.ts";
import { frameShowing } from "./frameShowing.ts";
import { cameraAlone, usedWords, type FrameLimits } from "./frameWords.ts";
import { bandWords } from "./bandWords.ts";
import { ADVICE, footprintMm2, placeWords } from "./findingWords.ts";
import { jobWords } from "./jobWords.ts";
import { layerFrame, mapPoint } from "./layerFrame.ts";
import { rankFindings } from "./ranking.ts";
import { stateSentence } from "./sentence.ts";
import { valueWords } from "./valueWords.ts";

export interface SheetInput {
  readonly head: SheetHead;
  readonly resultId: string;
  /** As kept; null: what is kept cannot be read any more. */
  readonly job: Job | null;
  readonly plan: Pick<Plan, "strands"> | null;
  readonly beadShape: BeadShape;
  readonly strands: readonly { readonly layer: number; readonly strand: number; readonly lengthMm: number; readonly closed: boolean }[];
  readonly stations: readonly StationResult[];
  readonly earlierAttempts: readonly StationResult[];
  readonly findings: readonly Finding[];
  /** In order of time. */
  readonly frames: readonly FrameResult[];
  readonly summary: Summary;
  readonly acceptance: Acceptance;
  readonly warnings: readonly Warning[];
}

/** Screens need no more digits than this: 0.1 µm. */
function short(value: number): number {
  return Math.round(value * 1e4) / 1e4;
}

const keyOf = (at: { readonly layer: number; readonly strand: number }): string => `${at.layer}/${at.strand}`;

function groupByStrand(stations: readonly StationResult[]): Map<string, StationResult[]> {
  const groups = new Map<string, StationResult[]>();
  for (const station of stations) {
    const group = groups.get(keyOf(station));
    if (group === undefined) groups.set(keyOf(station), [station]);
    else group.push(station);
  }
  return groups;
}

class LimitTable {
  readonly sets: StationLimits[] = [];
  readonly #indexOf = new Map<string, number>();
  /** Stations from one store share their objects: no text is made twice. */
  readonly #known = new Map<StationLimits, number>();

  indexOf(limits: StationLimits): number {
    const known = this.#known.get(limits);
    if (known !== undefined) return known;
    const key = JSON.stringify(limits);
    const index = this.#indexOf.get(key) ?? this.sets.push(limits) - 1;
    this.#indexOf.set(key, index);
    this.#known.set(limits, index);
    return index;
  }
}

const sheetFrame = (frame: FrameResult, limits: FrameLimits): SheetFrame => ({ file: frame.file, tS: frame.tS, used: frame.used, words: usedWords(frame, limits) });

/** By rank: the frame that a finding names, or the newest used one in which its place is not hidden. */
function frameOfRank({ frames, findings: all }: SheetInput, findings: readonly SheetFinding[]): (number | null)[] {
  return findings.map((shown) => frameShowing(frames, all[shown.findingIndex] as Finding, shown));
}

function floats(stations: readonly StationResult[], of: (at: StationResult) => number | null | undefined): Float32Array {
  return Float32Array.from(stations, (at) => of(at) ?? Number.NaN);
}

function unroll(strand: SheetInput["strands"][number], stations: readonly StationResult[], limits: LimitTable, { frame, frameAt }: { readonly frame: LayerFrame; readonly frameAt: ReadonlyMap<string, number> }): SheetStrand {
  const { layer, strand: number, lengthMm, closed } = strand;
  const places = stations.map((at) => mapPoint(frame, at.position));
  return {
    layer, strand: number, lengthMm, closed, attempt: Uint16Array.from(stations, (at) => at.attempt),
    sMm: floats(stations, (at) => at.sMm), laid: Uint8Array.from(stations, (at) => Number(at.laid)), xMm: Float32Array.from(places, ([x]) => x), yMm: Float32Array.from(places, ([, y]) => y),
    plannedWidthMm: floats(stations, (at) => at.planned.widthMm), plannedHeightMm: floats(stations, (at) => at.planned.heightMm), plannedAreaMm2: floats(stations, (at) => at.planned.areaMm2),
    widthMm: floats(stations, (at) => at.measured?.widthMm), heightMm: floats(stations, (at) => at.measured?.heightMm), areaMm2: floats(stations, (at) => at.measured?.areaMm2),
    offsetMm: floats(stations, (at) => at.measured?.offsetMm), areaRatio: floats(stations, (at) => at.areaRatio),
    uWidthMm: floats(stations, (at) => at.u?.widthMm), uHeightMm: floats(stations, (at) => at.u?.heightMm), uAreaMm2: floats(stations, (at) => at.u?.areaMm2), uOffsetMm: floats(stations, (at) => at.u?.offsetMm),
    coverage: floats(stations, (at) => at.measured?.coverage), sagMm: floats(stations, (at) => at.sagMm), ageS: floats(stations, (at) => at.measured?.ageS),
    support: Uint8Array.from(stations, (at) => (at.measured === null ? NO_SUPPORT : SUPPORT_KINDS.indexOf(at.measured.support))),
    verdict: Uint8Array.from(stations, (at) => VERDICTS.indexOf(at.verdict)), proven: Uint8Array.from(stations, (at) => Number(at.proven)),
    limits: Uint32Array.from(stations, (at) => limits.indexOf(at.limits)),
    camera: Uint8Array.from(stations, (at) => (at.camera === null ? NO_CAMERA : CAMERA_STATES.indexOf(at.camera.state))), cameraFrame: Int32Array.from(stations, (at) => (at.camera === null ? -1 : frameAt.get(at.camera.file) ?? -1)),
    cameraWidthMm: floats(stations, (at) => at.camera?.widthMm), uCameraWidthMm: floats(stations, (at) => at.camera?.u.widthMm),
  };
}

function buildLayers(input: SheetInput, limits: LimitTable): SheetLayer[] {
  const groups = groupByStrand(input.stations), frameAt = new Map(input.frames.map(({ file }, i) => [file, i]));
  return [...new Set(input.strands.map((strand) => strand.layer))].map((layer) => {
    const { frame, words } = layerFrame((input.plan?.strands ?? []).filter((strand) => strand.layer === layer));
    const strands = input.strands.filter((strand) => strand.layer === layer).map((strand) => unroll(strand, groups.get(keyOf(strand)) ?? [], limits, { frame, frameAt }));
    return { layer, strands, frame, frameWords: words };
  });
}

function squaredDistanceMm2(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;
}

/** The station that lies nearest to a finding's position, on its strand where it has one; null: the layer has no stations. */
function stationOf(finding: Finding, stations: readonly StationResult[]): StationResult | null {
  let best: StationResult | null = null;
  let bestMm2 = Infinity;
  for (const station of stations) {
    if (station.layer !== finding.layer || ("strand" in finding && station.strand !== finding.strand)) continue;
    const distanceMm2 = squaredDistanceMm2(station.position, finding.position);
    if (distanceMm2 < bestMm2) [best, bestMm2] = [station, distanceMm2];
  }
  return best;
}

interface Ranked { readonly finding: Finding; readonly findingIndex: number; readonly rank: number; readonly frame: LayerFrame }

function toSheetFinding({ finding, findingIndex, rank, frame }: Ranked, stations: readonly StationResult[]): SheetFinding {
  const station = stationOf(finding, stations);
  const inStrand = "fromMm" in finding;
  const sMm = station?.sMm ?? 0;
  const strand = station?.strand ?? 1;
  const halfMm = "lengthMm" in finding ? finding.lengthMm / 2 : 0;
  const { value, limit } = valueWords(finding, inStrand ? station : null);
  const [xMm, yMm] = mapPoint(frame, finding.position);
  return {
    rank, findingIndex, kind: finding.kind, severity: finding.severity, proven: finding.proven, layer: finding.layer, strand, offPath: !inStrand,
    fromMm: short(inStrand ? finding.fromMm : Math.max(0, sMm - halfMm)), toMm: short(inStrand ? finding.toMm : sMm + halfMm), sMm: short(sMm), xMm: short(xMm), yMm: short(yMm),
    areaMm2: footprintMm2(finding), ...placeWords(finding, strand, sMm),
    valueWords: value, limitWords: limit, advice: ADVICE[finding.kind],
  };
}

/** Pure. Layers without a readable plan are seen along the plan's z. */
export function buildSheet(input: SheetInput): Sheet {
  const limits = new LimitTable();
  const layers = buildLayers(input, limits);
  const frames = new Map(layers.map((layer) => [layer.layer, layer.frame]));
  const findings = rankFindings(input.findings).map((findingIndex, rank) => {
    const finding = input.findings[findingIndex] as Finding;
    return toSheetFinding({ finding, findingIndex, rank, frame: frames.get(finding.layer) ?? layerFrame([]).frame }, input.stations);
  });
  return {
    head: input.head, resultId: input.resultId, beadShape: input.beadShape, words: stateSentence({ ...input, cameraAlone: cameraAlone(input.stations) }), layers, limits: limits.sets, findings, warnings: input.warnings,
    frames: input.frames.map((frame) => sheetFrame(frame, input.job?.tolerance.camera ?? CAMERA_DEFAULT)), frameOfRank: frameOfRank(input, findings),
    job: input.job === null ? [] : jobWords(input.job), bands: bandWords(limits.sets, limits.sets.map((set) => input.stations.find((at) => limits.indexOf(at.limits) === limits.indexOf(set))?.planned ?? null)), earlierAttemptCount: groupByStrand(input.earlierAttempts).size,
  };
}
