/** The course of a rehearsal in time: support scan, strands and their trailing profilers, scans of finished layers, removals. Everything else reads its times here. */
import type { ProgressMessage, ReworkMessage } from "../model/messages.ts";
import { sizeOf, type Fault } from "./fault.ts";
import { fieldOf, layerDirectionRad, straightPath } from "./path.ts";
import { nodeStepMm, type PlannedStrand } from "./planned.ts";
import type { RehearsalSettings, Rework } from "./settings.ts";
import type { Surface } from "./surface.ts";
import { makeTrack, type Track } from "./track.ts";

/** One travel of the profilers along a track: at length d at time startS + (d − fromMm) / speed. */
export interface Pass {
  readonly track: Track;
  readonly fromMm: number;
  readonly toMm: number;
  readonly startS: number;
  readonly speedMmS: number;
  /** Layer being laid, 0 before the first. */
  readonly layer: number;
  /** Pose drift that begins here: mm per mm from `fromMm` to `toMm` of the track, kept to the pass's end. */
  readonly drifts: readonly { readonly fromMm: number; readonly toMm: number; readonly slope: number }[];
}
export interface Lay { readonly strand: PlannedStrand; readonly attempt: number; readonly fromMm: number; readonly toMm: number; readonly startS: number }
export interface Removal { readonly rework: Rework; readonly tS: number }

export interface Schedule {
  readonly passes: readonly Pass[];
  readonly lays: readonly Lay[];
  readonly progress: ProgressMessage[];
  readonly rework: ReworkMessage[];
  readonly removals: readonly Removal[];
  /** When each drag and each tear happens. */
  readonly takenS: ReadonlyMap<Fault, number>;
  /** Per layer (index layer − 1): before its first start, and after its last scan. */
  readonly layers: readonly { readonly beforeS: number; readonly afterS: number }[];
}

const UPDATE_S = 0.04;
const PAUSE_S = 1;

/** Travel beyond a strand's ends, mm, so that a plane at any skew sees all of them. */
export function marginMm(settings: RehearsalSettings): number {
  const tan = Math.abs(Math.tan(settings.skewDeg * Math.PI / 180)), tilt = Math.abs(Math.tan(settings.pitchDeg * Math.PI / 180));
  return 1.5 + settings.widthMm * (0.5 + tan) + settings.layers * settings.heightMm * tilt;
}

/** Makes the schedule; the clock begins at 1 s. */
export function makeSchedule(settings: RehearsalSettings, surface: Surface, strands: readonly PlannedStrand[]): Schedule {
  const passes: Pass[] = [], lays: Lay[] = [], progress: ProgressMessage[] = [], rework: ReworkMessage[] = [], removals: Removal[] = [];
  const takenS = new Map<Fault, number>();
  const layers: { beforeS: number; afterS: number }[] = [];
  let tS = 1;

  function scan(layer: number, directionLayer: number): void {
    for (const pass of fieldPasses(settings, surface, layer, directionLayer)) {
      passes.push({ ...pass, startS: tS });
      tS += (pass.toMm - pass.fromMm) / pass.speedMmS + PAUSE_S;
    }
  }
  /** Lays a stretch (with its trailing profiles) and moves the clock on; gives when the nozzle left it. */
  function lay(strand: PlannedStrand, attempt: number, fromMm: number, toMm: number): number {
    const trailing = settings.scan === "trailing", margin = marginMm(settings), lead = trailing ? Math.max(0, margin - settings.trailMm) : 0;
    const startS = tS + lead / settings.speedMmS;
    lays.push({ strand, attempt, fromMm, toMm, startS });
    const endS = startS + (toMm - fromMm) / settings.speedMmS;
    for (const row of progressRows(strand, fromMm, toMm, startS, endS, settings.speedMmS)) progress.push(row);
    tS = endS;
    if (trailing) {
      const pass = trailingPass(settings, surface, strand, fromMm, toMm, startS, margin);
      passes.push(pass);
      tS = Math.max(tS, pass.startS + (pass.toMm - pass.fromMm) / pass.speedMmS);
    }
    return endS;
  }

  if (settings.supportScan) scan(0, 1);
  for (let layer = 1; layer <= settings.layers; layer++) {
    const drags = settings.faults.filter((fault) => fault.kind === "drag" && fault.layer === layer), tears = settings.faults.filter((fault) => fault.kind === "tear" && fault.layer === layer);
    const reworks = settings.rework.filter((one) => one.layer === layer);
    const beforeS = tS;
    tS += PAUSE_S;
    for (const strand of strands) {
      if (strand.layer !== layer) continue;
      const leftS = lay(strand, 1, 0, strand.lengthMm);
      for (const fault of drags) if (fault.strand === strand.strand) takenS.set(fault, settings.dragWhen === "strandEnd" ? leftS : tS);
      if (settings.scan === "trailing") for (const fault of tears) if (fault.strand === strand.strand) takenS.set(fault, tS + PAUSE_S / 2);
      tS += PAUSE_S;
    }
    if (settings.scan === "later") scan(layer, layer);
    if (settings.dragWhen === "afterScan" && settings.scan === "later") for (const fault of drags) takenS.set(fault, tS - PAUSE_S / 2);
    if (settings.scan === "later") for (const fault of tears) takenS.set(fault, tS - PAUSE_S / 2);
    const again = settings.finalScan ?? (settings.scan === "trailing" ? drags.length > 0 : drags.length > 0 && settings.dragWhen === "afterScan");
    if (again) scan(layer, layer);
    for (const one of reworks) {
      removals.push({ rework: one, tS });
      rework.push({ kind: "rework", tS, layer, strand: one.strand, fromMm: one.fromMm, toMm: one.toMm, who: "rehearsal operator", reason: "taken off by spatula" });
      tS += PAUSE_S;
      scan(layer, layer);
      lay(strandOf(strands, layer, one.strand), 2, one.fromMm, one.toMm);
      tS += PAUSE_S;
      if (settings.scan === "later") scan(layer, layer);
    }
    layers.push({ beforeS, afterS: tS });
  }
  return { passes, lays, progress, rework, removals, takenS, layers };
}

function strandOf(strands: readonly PlannedStrand[], layer: number, strand: number): PlannedStrand {
  const found = strands.find((one) => one.layer === layer && one.strand === strand);
  if (found === undefined) throw new RangeError(`no strand ${layer}/${strand}`);
  return found;
}

function* progressRows(strand: PlannedStrand, fromMm: number, toMm: number, startS: number, endS: number, speedMmS: number): Generator<ProgressMessage> {
  const row = (tS: number, sMm: number, event: ProgressMessage["event"]): ProgressMessage => ({ kind: "progress", tS, layer: strand.layer, strand: strand.strand, sMm, event });
  yield row(startS, fromMm, "start");
  for (let i = 1; startS + i * UPDATE_S < endS - 1e-6; i++) yield row(startS + i * UPDATE_S, fromMm + i * UPDATE_S * speedMmS, "update");
  yield row(endS, toMm, "end");
}

/** The profiler's travel behind the nozzle: its foot follows the same path `trailMm` later. */
function trailingPass(settings: RehearsalSettings, surface: Surface, strand: PlannedStrand, fromMm: number, toMm: number, startS: number, margin: number): Pass {
  const { path, layer } = strand, begin = fromMm - margin, end = toMm + margin;
  const track = makeTrack(surface, path, layer * settings.heightMm, begin - 1, Math.max(path.lengthMm, end) + 1, nodeStepMm(settings, path));
  const drifts = driftsOf(settings, layer, (fault) => fault.strand === strand.strand);
  return { track, fromMm: begin, toMm: end, startS: startS + (begin - fromMm + settings.trailMm) / settings.speedMmS, speedMmS: settings.speedMmS, layer, drifts };
}

/** Drift faults of a layer that count on a pass. */
export function driftsOf(settings: RehearsalSettings, layer: number, counts: (fault: Fault) => boolean): Pass["drifts"] {
  const drifts = settings.faults.filter((fault) => fault.kind === "drift" && fault.layer === layer && counts(fault));
  return drifts.map((fault) => ({ fromMm: fault.fromMm, toMm: fault.toMm, slope: sizeOf(fault, settings) / 1e4 }));
}

/** Straight passes over the whole field along a layer's strands (ring and serpentine: also across them), as many as the line's length asks for. */
export function fieldPasses(settings: RehearsalSettings, surface: Surface, layer: number, directionLayer: number): Omit<Pass, "startS">[] {
  const field = fieldOf(settings), along = layerDirectionRad(settings, directionLayer);
  const directions = layer > 0 && (settings.pattern === "ring" || settings.pattern === "serpentine") ? [along, along + Math.PI / 2] : [along];
  const skew = Math.abs(settings.skewDeg) * Math.PI / 180, tilt = Math.abs(Math.tan(settings.pitchDeg * Math.PI / 180));
  const lineMm = (settings.points - 1) * settings.dxMm * Math.cos(skew) * 0.9;
  const passes: Omit<Pass, "startS">[] = [];
  for (const angle of directions) {
    const turn = angle - field.angleRad, c = Math.abs(Math.cos(turn)), s = Math.abs(Math.sin(turn));
    const halfAlong = (field.lengthMm * c + field.widthMm * s) / 2, halfAcross = (field.lengthMm * s + field.widthMm * c) / 2 + settings.widthMm;
    const count = Math.max(1, Math.ceil(2 * halfAcross / lineMm));
    const overrun = 2 + settings.widthMm + Math.min(halfAcross, lineMm) * Math.tan(skew) + (1 + settings.layers * settings.heightMm) * tilt;
    const lengthMm = 2 * halfAlong;
    for (let i = 0; i < count; i++) {
      const off = count === 1 ? 0 : (i - (count - 1) / 2) * (2 * halfAcross - lineMm) / (count - 1);
      const path = straightPath(-Math.cos(angle) * halfAlong - Math.sin(angle) * off, -Math.sin(angle) * halfAlong + Math.cos(angle) * off, angle, lengthMm);
      const track = makeTrack(surface, path, layer * settings.heightMm, -overrun - 1, lengthMm + overrun + 1, 0.1);
      passes.push({ track, fromMm: -overrun, toMm: (track.alongMm.at(-1) as number) - 1, speedMmS: settings.scanSpeedMmS, layer, drifts: settings.scan === "later" ? driftsOf(settings, layer, () => true) : [] });
    }
  }
  return passes;
}
