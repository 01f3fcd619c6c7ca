/** What the simulated cell hands to POST /runs: the job of the recorded rehearsal, marked as a rehearsal thrice over, and the plan. */
import type { CameraSettings } from "./camera/cameraSettings.ts";
import { LiveCamera } from "./camera/liveCamera.ts";
import { jobJson } from "./jobJson.ts";
import { planCsv, planStrands } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";
import { makeSurface } from "./surface.ts";

/** Parts of a job that a file of the caller's may give. */
export const JOB_PARTS = ["nozzle", "material", "tolerance", "acceptance", "policy"] as const;
/** The simulated paste works so long from its mixing, and was mixed so long before the run is made, s (invented). */
const WORKING_TIME_S = 600, MIXED_BEFORE_S = 45;
/** What such a file held, as it stands; the server checks it. */
export type JobParts = Readonly<Partial<Record<(typeof JOB_PARTS)[number], unknown>>>;

/** The body of POST /runs. */
export interface LiveJob { readonly job: Readonly<Record<string, unknown>>; readonly planText: string; readonly planFormat: "csv" }

/**
 * `rehearsal: true` stands at the job's top, its name begins with REHEARSAL, and its specimen says that it is invented, whatever `parts` hold.
 * `nowMs`: wall clock, unix ms; the paste was mixed shortly before. The profiler's mount is that of the trailing profiler (on a curve it follows the strand, and the mount is true to about 0.5 mm).
 */
export function liveJob(settings: RehearsalSettings, syringeMm3: number, nowMs: number, parts: JobParts = {}, camera: CameraSettings | null = null): LiveJob {
  const surface = makeSurface(settings.surface, settings.radiusMm), device = camera === null ? null : new LiveCamera(settings, surface, camera).device;
  const recorded = jobJson(settings, device === null ? null : { device, isAlone: false }), half = Math.SQRT1_2, clock = { workingTimeS: WORKING_TIME_S, clockStarts: "mixing", mixedAt: new Date(nowMs - 1000 * MIXED_BEFORE_S).toISOString() };
  const material = { ...(recorded.material as object), ...clock, ...(parts.material as object | undefined), beadShape: settings.shape, syringeVolumeMm3: syringeMm3 };
  const job = {
    ...recorded, rehearsal: true, name: `REHEARSAL ${recorded.name as string}`, ...parts, material,
    mounts: [{ from: "profiler-1", to: "tool", pose: [-settings.trailMm, 0, settings.standoffMm, 0, 0, -half, half], u: { mm: 0.5, deg: 1 } }],
  };
  return { job, planText: planCsv(settings, planStrands(settings, surface)), planFormat: "csv" };
}

/** How long the cell goes on without an answer to its poll, s: the job's `policy.watchdogs.cellSilenceS`, by default 2. */
export function cellSilenceS(job: Readonly<Record<string, unknown>>): number {
  const policy = job.policy as { readonly watchdogs?: { readonly cellSilenceS?: unknown } } | undefined, given = policy?.watchdogs?.cellSilenceS;
  return typeof given === "number" && given > 0 ? given : 2;
}
