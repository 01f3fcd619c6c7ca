/** What first sights mean: stretches never seen, seen only after the next strand lies there, seen too old, and the detour of each strand. */
import { boxesNear } from "../kernel/pointGrid.ts";
import type { Job, Profiler } from "../model/job.ts";
import type { Detour, PreflightItem } from "../model/preflight.ts";
import type { StrandStations } from "../model/stations.ts";
import { found, isOver, itemsAlong, notMade, rounded, type Outcome } from "./preflightItem.ts";
import { stationPlaces, type Ground, type GroundLayer } from "./preflightGround.ts";
import { findSight, mountedProfilers, type Sight } from "./preflightSight.ts";

/** The next strand lies beside a place where it comes nearer than this many widths, centre to centre; else it counts from its end (common practice, no source). */
const BESIDE_WIDTHS = 3;

const KINDS = ["neverSeen", "seenAfterNext", "seenTooOld"] as const;

export const SIGHT_ASSUMPTIONS = [
  "The tool is turned with the travel, its +x along the strand: the plan does not say how it is turned about the nozzle.",
  "Profiles are taken while strands are laid; moves between strands and scans of their own are not in the plan, and may show more.",
  "Nothing stands between profiler and strand, and the profiler's range reaches: the job gives no range.",
] as const;

export function checkSight(ground: Ground, job: Job): { outcomes: Outcome[]; detours: Detour[]; assumptions: readonly string[] } {
  const mounted = mountedProfilers(job);
  if (mounted.length === 0) {
    const reason = job.devices.some((d) => d.kind === "profiler") ? "the job gives no mount of a profiler on the tool (mounts)" : "the job has no profiler";
    return { outcomes: KINDS.map((kind) => notMade(kind, reason)), detours: [], assumptions: [] };
  }
  const sight = findSight(ground, mounted);
  const without = job.devices.filter((d): d is Profiler => d.kind === "profiler" && !mounted.some((m) => m.profiler.id === d.id)).map((d) => d.id);
  const rest = without.length === 0 ? null : `no mount on the tool is given for ${without.join(", ")}: what it sees is not counted`;
  const within = job.tolerance.judgeWithinS;
  const outcomes = [
    found("neverSeen", neverSeen(ground, sight), rest),
    found("seenAfterNext", seenAfterNext(ground, sight), rest),
    within === null ? notMade("seenTooOld", "the job sets no judgeWithinS: detours are stated and not judged") : found("seenTooOld", seenTooOld(ground, sight, within), rest),
  ];
  return { outcomes, detours: ground.stations.strands.map((strand, which) => detourOf(ground, sight, strand, which)), assumptions: SIGHT_ASSUMPTIONS };
}

function eachStrand(ground: Ground, of: (which: number, first: number) => PreflightItem[]): PreflightItem[] {
  return ground.stations.strands.flatMap((_, which) => of(which, ground.firstOf[which] as number));
}

/** The value is the stretch's own length. */
function neverSeen(ground: Ground, sight: Sight): PreflightItem[] {
  const items = eachStrand(ground, (which, first) => itemsAlong("neverSeen", stationPlaces(ground, which), (i) => (Number.isNaN(sight.timeS[first + i]) ? { value: 0, limit: 0, excess: 1 } : null)));
  return items.map((item) => ({ ...item, value: rounded(item.toMm - item.fromMm) }));
}

/** The value is the path laid from where the next strand came by until the place is seen. */
function seenAfterNext(ground: Ground, sight: Sight): PreflightItem[] {
  return eachStrand(ground, (which, first) => {
    if (which + 1 === ground.stations.strands.length) return [];
    return itemsAlong("seenAfterNext", stationPlaces(ground, which), (i) => {
      const seenMm = sight.pathMm[first + i] as number;
      if (!(seenMm > (ground.pathMm[ground.firstOf[which + 1] as number] as number))) return null; // also where it is never seen
      const next = nextBeside(ground, first + i, which + 1), value = seenMm - (ground.pathMm[next] as number);
      const strand = ground.stations.strands[which + 1] as StrandStations;
      return isOver(value, 0) ? { value, limit: 0, excess: value, other: { layer: strand.layer, strand: strand.strand, sMm: ground.sMm[next] as number } } : null;
    });
  });
}

const near = { boxes: new Int32Array(64), count: 0 };

/** The next strand's station beside a place; its last where it does not come beside it. */
function nextBeside(ground: Ground, station: number, next: number): number {
  const on = ground.layers[(ground.stations.strands[next] as StrandStations).layer - 1] as GroundLayer;
  const { xyz } = ground, at = 3 * station;
  let best = BESIDE_WIDTHS * (ground.widthMm[station] as number), which = (ground.firstOf[next + 1] as number) - 1;
  boxesNear(on.grid, xyz[at] as number, xyz[at + 1] as number, xyz[at + 2] as number, best, near);
  for (let n = 0; n < near.count; n++) {
    const box = near.boxes[n] as number;
    for (let p = on.grid.start[box] as number; p < (on.grid.start[box + 1] as number); p++) {
      const other = on.from + (on.grid.points[p] as number);
      if (ground.strandOf[other] !== next) continue;
      const d = Math.hypot((xyz[3 * other] as number) - (xyz[at] as number), (xyz[3 * other + 1] as number) - (xyz[at + 1] as number), (xyz[3 * other + 2] as number) - (xyz[at + 2] as number));
      if (d < best) [best, which] = [d, other];
    }
  }
  return which;
}

function seenTooOld(ground: Ground, sight: Sight, withinS: number): PreflightItem[] {
  return eachStrand(ground, (which, first) => itemsAlong("seenTooOld", stationPlaces(ground, which), (i) => {
    const value = (sight.timeS[first + i] as number) - (ground.timeS[first + i] as number);
    return isOver(value, withinS) ? { value, limit: withinS, excess: value } : null;
  }));
}

/** Least and most of what lies between laying and seeing along a strand. */
function detourOf(ground: Ground, sight: Sight, strand: StrandStations, which: number): Detour {
  const first = ground.firstOf[which] as number, { edgesMm } = stationPlaces(ground, which);
  let seenMm = 0;
  const mm: [number, number] = [Infinity, -Infinity], s: [number, number] = [Infinity, -Infinity];
  for (let i = 0; i < strand.count; i++) {
    const afterMm = (sight.pathMm[first + i] as number) - (ground.pathMm[first + i] as number);
    if (Number.isNaN(afterMm)) continue;
    const afterS = (sight.timeS[first + i] as number) - (ground.timeS[first + i] as number);
    seenMm += (edgesMm[i + 1] as number) - (edgesMm[i] as number);
    [mm[0], mm[1]] = [Math.min(mm[0], afterMm), Math.max(mm[1], afterMm)];
    [s[0], s[1]] = [Math.min(s[0], afterS), Math.max(s[1], afterS)];
  }
  const shown = (value: number): number | null => (seenMm > 0 ? rounded(value) : null);
  return { layer: strand.layer, strand: strand.strand, seenMm: rounded(seenMm), leastMm: shown(mm[0]), mostMm: shown(mm[1]), leastS: shown(s[0]), mostS: shown(s[1]) };
}
