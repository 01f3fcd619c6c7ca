/** When profiles are taken, and taking them: by the way covered along strands and scans, and at the latest every 0.2 s wherever the tool stands. */
import type { ProfileMessage } from "../model/messages.ts";
import type { Body } from "./body.ts";
import type { Wrong } from "./liveCauses.ts";
import { aheadOf, liftedPoint, type Move, type Tool } from "./liveTool.ts";
import { faultDriftMm, makeDrift, makeScanner, mountingsOf, poseOver, reportedPose, withLayerColumn, type Mounting, type Scanner } from "./profiler.ts";
import type { Pass } from "./schedule.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Surface } from "./surface.ts";

/** Longest silence of a profiler, s. */
const LOOK_EVERY_S = 0.2;
/** Above this pace profiles are thinned to at most so many a second of wall time, all profilers together. */
const FULL_PACE = 4;
const MOST_PER_WALL_S = 500;

/** What a pass has to do with drift faults: length along it at way 0 of the move. */
export interface PassPlace { readonly drifts: Pass["drifts"]; readonly fromMm: number }

interface Last { wayMm: number; tS: number }

/** The profilers of a cell, each with what it saw last. */
export class Eye {
  private readonly profilers: number;
  private readonly settings: RehearsalSettings;
  private readonly mountings: readonly Mounting[];
  private readonly scan: Scanner;
  private readonly drift: (tS: number) => [number, number];
  private readonly leastS: number;
  private readonly withLayer: boolean;
  private readonly last: Last[];
  private wayBeforeMm = 0;
  private place: PassPlace | null = null;

  constructor(settings: RehearsalSettings, surface: Surface, pace: number) {
    this.settings = settings;
    this.mountings = mountingsOf(settings);
    this.profilers = this.mountings.length;
    this.scan = makeScanner(settings, surface);
    this.drift = makeDrift(settings, (settings.lengthMm + settings.trailMm) / settings.speedMmS);
    this.leastS = pace > FULL_PACE ? pace * this.profilers / MOST_PER_WALL_S : 0;
    this.withLayer = withLayerColumn(settings);
    this.last = this.mountings.map(() => ({ wayMm: 0, tS: Number.NEGATIVE_INFINITY }));
  }

  /** A new move begins; along a strand or a scan the first profile is due at once (several profilers take turns inside one spacing). */
  begin(move: Move, place: PassPlace | null): void {
    this.wayBeforeMm = 0;
    this.place = place;
    const stepMm = this.settings.profileSpacingMm;
    this.last.forEach((one, device) => { one.wayMm = move.byWay ? (device / this.profilers - 1) * stepMm : 0; });
  }

  /** The move in force is cut short at a way; what follows counts on from there. */
  goOn(wayMm: number): void { this.wayBeforeMm += wayMm; }

  /** Which profiler is due next, and when (not before `nowS`). */
  due(move: Move | null, nowS: number): { readonly device: number; readonly tS: number } {
    let device = 0, tS = Infinity;
    this.last.forEach((one, i) => {
      const byWay = move?.byWay === true ? move.startS + move.ramp.timeAt(one.wayMm + this.settings.profileSpacingMm - this.wayBeforeMm) : Infinity;
      const dueS = Math.max(Math.min(byWay, one.tS + LOOK_EVERY_S), one.tS + this.leastS, nowS);
      if (dueS < tS) [device, tS] = [i, dueS];
    });
    return { device, tS };
  }

  /** Takes the profile of one profiler at time tS; the heights are the message's own. */
  take(device: number, tS: number, seen: { readonly move: Move | null; readonly tool: Tool; readonly bodies: readonly Body[]; readonly wrong: Wrong; readonly layer: number }): ProfileMessage {
    const { move, tool, wrong } = seen, mounting = this.mountings[device] as Mounting, { standoffMm } = this.settings;
    const wayMm = move === null ? 0 : move.ramp.sAt(tS - move.startS), there = move === null ? aheadOf(tool, mounting.aheadMm) : move.at(wayMm, mounting.aheadMm);
    const truePose = poseOver(this.settings, mounting, { ...there.profiler, point: liftedPoint(there.profiler, there.liftMm) });
    const [up, tilt] = this.drift(tS), alongMm = (this.place?.fromMm ?? 0) + this.wayBeforeMm + wayMm;
    const [x, y, z, ...turn] = reportedPose(truePose, standoffMm, up + faultDriftMm(this.place?.drifts ?? [], alongMm), tilt);
    const [jx, jy, jz] = wrong.joltMm ?? [0, 0, 0];
    const profile = this.scan(seen.bodies, { device, truePose, pose: [x + jx, y + jy, z + jz, ...turn], tS, layer: this.withLayer ? seen.layer : null });
    const last = this.last[device] as Last;
    last.wayMm = this.wayBeforeMm + wayMm;
    last.tS = tS;
    return { ...profile, zMm: wrong.covered ? new Float32Array(profile.zMm.length).fill(Number.NaN) : profile.zMm.slice() };
  }
}
