/**
 * Measures a scan of a finished run by the code that measured the run: the run's messages go through an engine first, so that supports, layers and what was
 * laid are known as they were, and the scan's profiles follow as one more look at what lies there. What the run's own readings came to is not changed by it.
 */
import type { Vec3 } from "../kernel/vec.ts";
import type { Job } from "../model/job.ts";
import type { Message, ProfileMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { Reading } from "../model/reading.ts";
import type { Verdict } from "../model/result.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { RunEngine, type RunOutput } from "./engine.ts";
import type { Taken } from "./standing.ts";

/** A reading of one attempt of a station, and what it means against the plan. */
export interface Seen { readonly attempt: number; readonly reading: Reading; readonly verdict: Verdict }

/** What stands at each station: wet, of the run; hard, of the scan. */
export interface ScanReadings {
  readonly plan: StationPlan;
  readonly wet: ReadonlyMap<string, Seen>;
  readonly hard: ReadonlyMap<string, Seen>;
  readonly profileCount: number;
}

export interface ScanMeasuring {
  readonly plan: Plan;
  readonly job: Job;
  readonly hasProgress: boolean;
  readonly run: () => AsyncIterable<readonly Message[]>;
  /** The scan's own profiles, in order. */
  readonly scan: () => AsyncIterable<readonly Message[]>;
  /** The scan is moved by so much in `plan` before it is measured; none by default. */
  readonly moveMm?: Vec3;
  /** Told of the messages taken so far. */
  readonly heard?: (messageCount: number) => void;
}

export const stationKey = ({ index }: Pick<StrandStations, "index">, station: number): string => `${index}/${station}`;

/** Time between the run's last message and the scan's first profile, s: long enough for a pause, of no meaning besides. */
const REST_S = 60;

class Looks implements RunOutput {
  readonly wet = new Map<string, Seen>();
  readonly hard = new Map<string, Seen>();
  isHard = false;

  /** Wet stands what stands in the run's result; hard the newest good one, however late it comes. */
  reading(strand: StrandStations, station: number, attempt: number, { reading, judgement, stands }: Taken): void {
    if (!(this.isHard ? reading.good : stands)) return;
    (this.isHard ? this.hard : this.wet).set(stationKey(strand, station), { attempt, reading, verdict: judgement.verdict });
  }
}

/** Throws what the messages throw. */
export async function measureScan({ plan, job, hasProgress, run, scan, moveMm = [0, 0, 0], heard }: ScanMeasuring): Promise<ScanReadings> {
  const looks = new Looks(), engine = new RunEngine(plan, job, { hasProgress, output: looks });
  let count = 0, lastS = 0, layer: number | null = null, profileCount = 0, firstS: number | null = null;
  for await (const batch of run()) {
    for (const message of batch) {
      engine.push(message);
      lastS = message.tS;
      if (message.kind === "profile") layer = message.layer;
    }
    heard?.(count += batch.length);
  }
  engine.endPasses();
  looks.isHard = true;
  for await (const batch of scan()) {
    for (const message of batch) {
      if (message.kind !== "profile") continue;
      firstS ??= message.tS;
      engine.push(later(message, { byS: lastS + REST_S - firstS, layer, moveMm }));
      profileCount++;
    }
    heard?.(count += batch.length);
  }
  engine.endPasses();
  return { plan: engine.plan, wet: looks.wet, hard: looks.hard, profileCount };
}

/** The profile as one of the run, after its end, of the layer that lies on top. */
function later(message: ProfileMessage, { byS, layer, moveMm }: { readonly byS: number; readonly layer: number | null; readonly moveMm: Vec3 }): ProfileMessage {
  const [x, y, z, ...turn] = message.pose;
  return { ...message, tS: message.tS + byS, layer, pose: [x + moveMm[0], y + moveMm[1], z + moveMm[2], ...turn] };
}
