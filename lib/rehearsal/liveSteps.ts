/** The steps of each task: lift, go across, lower, lay; look at the strand's end; scan. A step makes its move when its turn comes, from where the tool is then. */
import type { ScanPass, Stretch, Task } from "./liveAgenda.ts";
import { PRIME_S } from "./liveLaying.ts";
import { makeRamp } from "./liveRamp.ts";
import { ACROSS_MM_S2, acrossMove, CLEAR_MM, liftMove, strandAccelMmS2, trackMove, type Move, type Tool } from "./liveTool.ts";
import { nodeStepMm, type PlannedStrand } from "./planned.ts";
import { marginMm } from "./schedule.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Surface } from "./surface.ts";
import { makeTrack, stanceAt, type Track } from "./track.ts";

/** null: nothing to be moved. */
export type Step = (tS: number, tool: Tool) => Move | null;

const clear: Step = (tS, tool) => (tool.liftMm < CLEAR_MM ? liftMove(tS, tool, CLEAR_MM) : null);
const lower: Step = (tS, tool) => (tool.liftMm > 0 ? liftMove(tS, tool, 0) : null);

/** A strand's own track, long enough before and behind for the profiler that follows. */
function wayOf(settings: RehearsalSettings, surface: Surface, { path, layer, lengthMm }: PlannedStrand): Track {
  const beyondMm = settings.trailMm + marginMm(settings) + 2;
  return makeTrack(surface, path, layer * settings.heightMm, -beyondMm, Math.max(path.lengthMm, lengthMm) + beyondMm, nodeStepMm(settings, path));
}

function toolOn(track: Track, nozzleMm: number, trailMm: number): Tool {
  return { nozzle: stanceAt(track, nozzleMm), profiler: stanceAt(track, nozzleMm - trailMm), liftMm: CLEAR_MM };
}

/** To the stretch and along it, from `baseMm` on (with an overlap: before the stretch's own beginning). `onLay` is told the laying move as it begins. */
export function laySteps(at: { readonly settings: RehearsalSettings; readonly surface: Surface; readonly stretch: Stretch; readonly baseMm: number }, onLay: (move: Move, tS: number) => void): Step[] {
  const { settings, surface, stretch, baseMm } = at, { trailMm, speedMmS, scan } = settings, track = wayOf(settings, surface, stretch.strand);
  return [clear, (tS, tool) => acrossMove(tS, tool, toolOn(track, baseMm, trailMm)), lower, (tS) => {
    const ramp = makeRamp(stretch.toMm - baseMm, speedMmS, strandAccelMmS2(speedMmS)), primeS = baseMm < stretch.fromMm ? 0 : PRIME_S;
    const move = trackMove("lay", tS + primeS, ramp, { track, fromMm: baseMm, trailMm, liftMm: 0, byWay: scan === "trailing" });
    onLay(move, tS);
    return move;
  }];
}

/** On along the strand without paste, until the profiler has seen the end of what was laid. */
export function lookSteps(settings: RehearsalSettings, surface: Surface, { strand, toMm }: Stretch): Step[] {
  const { trailMm, speedMmS } = settings, lengthMm = trailMm + marginMm(settings);
  return [clear, (tS) => trackMove("look", tS, makeRamp(lengthMm, speedMmS, strandAccelMmS2(speedMmS)), {
    track: wayOf(settings, surface, strand), fromMm: toMm, trailMm, liftMm: CLEAR_MM, byWay: true,
  })];
}

/** To a scanning pass and along it; `onScan` is told when it begins. */
export function scanSteps({ trailMm, scanSpeedMmS }: RehearsalSettings, { track, fromMm, toMm }: ScanPass, onScan: () => void): Step[] {
  return [clear, (tS, tool) => acrossMove(tS, tool, toolOn(track, fromMm + trailMm, trailMm)), (tS) => {
    onScan();
    const ramp = makeRamp(toMm - fromMm, scanSpeedMmS, Math.max(ACROSS_MM_S2, strandAccelMmS2(scanSpeedMmS)));
    return trackMove("scan", tS, ramp, { track, fromMm: fromMm + trailMm, trailMm, liftMm: CLEAR_MM, byWay: true });
  }];
}

/** Where the tool stands at first: over the beginning of the first task. */
export function homeTool(settings: RehearsalSettings, surface: Surface, task: Task | null): Tool {
  if (task === null) throw new RangeError("a plan without strands");
  if (task.kind === "scan") return toolOn(task.pass.track, task.pass.fromMm + settings.trailMm, settings.trailMm);
  return toolOn(wayOf(settings, surface, task.stretch.strand), task.stretch.fromMm, settings.trailMm);
}
