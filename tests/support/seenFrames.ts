/** A rehearsal with a camera, measured in memory, and how far its frames agree with what they truly show. */
import { ABSENT, HIDDEN, PRESENT, UNSEEN, type FrameReading } from "../../lib/camera/scene.ts";
import { CameraEye } from "../../lib/camera/eye.ts";
import type { Camera, Job } from "../../lib/model/job.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { FrameMessage, Message } from "../../lib/model/messages.ts";
import type { InspectResult } from "../../lib/model/result.ts";
import { readPlan } from "../../lib/plan/readPlan.ts";
import type { CameraSettings } from "../../lib/rehearsal/camera/cameraSettings.ts";
import type { FrameTruth } from "../../lib/rehearsal/camera/frameTruth.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { RunEngine } from "../../lib/run/engine.ts";

export interface SeenFrame { readonly reading: FrameReading; readonly truth: FrameTruth }
export interface SeenRun { readonly frames: readonly SeenFrame[]; readonly result: InspectResult; readonly job: Job; readonly engine: RunEngine }

const ORDER: Readonly<Record<string, number>> = { progress: 0, rework: 1, pasteMark: 2, profile: 3 };

/** `pick`: which frames are taken, by their number from 0; all of them without it. `cellMm`: cells of the eye. */
export function seeRun(settings: Partial<RehearsalSettings>, camera: Partial<CameraSettings>, pick: (index: number, count: number) => boolean = () => true, cellMm?: number): SeenRun {
  const run = simulate(settings, camera), { job } = resolveJob(run.jobJson, "job.json"), { plan } = readPlan(run.planCsv, job, "plan.csv");
  const messages: Message[] = [...run.progress, ...run.rework, ...(run.pasteMark === null ? [] : [run.pasteMark])];
  for (const profile of run.profiles()) messages.push({ ...profile, zMm: profile.zMm.slice() });
  messages.sort((a, b) => a.tS - b.tS || (ORDER[a.kind] as number) - (ORDER[b.kind] as number));
  const engine = new RunEngine(plan, job, { hasProgress: settings.progress !== false });
  for (const message of messages) engine.push(message);
  engine.endPasses();
  const eye = new CameraEye(job, engine.plan, job.devices.find((device): device is Camera => device.kind === "camera") as Camera, cellMm), frames: SeenFrame[] = [], count = run.shotCount;
  for (const taken of run.frames((index) => pick(index, count))) {
    const message: FrameMessage = { kind: "frame", tS: taken.tS, device: taken.device, file: taken.file, pose: taken.pose, frame: "plan" };
    const scene = engine.frameScene(message);
    for (const mark of eye.unlearned(scene)) eye.learnMark(mark, mark.file === taken.file ? taken.frame : null);
    const reading = eye.measure(scene, taken.frame);
    engine.takeFrame(reading);
    frames.push({ reading, truth: taken.truth });
  }
  return { frames, result: engine.finish([], {}), job, engine };
}

export interface Tally {
  frames: number; rightlyUsed: number;
  /** Stations in full view that are told present or absent, of those. */
  visible: number; seen: number;
  present: number; falselyAbsent: number; absent: number; absentFound: number; hidden: number; hiddenClaimed: number;
  widthsOffMm: number[]; within2u: number;
  bodies: number; bodiesFound: number; bodiesOffMm: number[]; bodiesArea: number[]; bodiesFalse: number;
  hangs: number[]; hangsFalse: number; poseOffMm: number[];
  why: string[];
}
export const newTally = (): Tally => ({
  frames: 0, rightlyUsed: 0, visible: 0, seen: 0, present: 0, falselyAbsent: 0, absent: 0, absentFound: 0, hidden: 0, hiddenClaimed: 0, widthsOffMm: [], within2u: 0,
  bodies: 0, bodiesFound: 0, bodiesOffMm: [], bodiesArea: [], bodiesFalse: 0, hangs: [], hangsFalse: 0, poseOffMm: [], why: [],
});

/** A body counts as found that lies this near; nearer than that to a stray one is no false one. */
const SAME_MM = 2.5;

export function tally({ frames, engine }: SeenRun, into: Tally): Tally {
  const index = new Map<string, number>();
  let at = 0;
  for (const strand of engine.plan.strands) for (let i = 0; i < strand.count; i++) index.set(`${strand.layer}/${strand.strand}/${(strand.sMm[i] as number).toFixed(4)}`, at++);
  for (const { reading, truth } of frames) {
    into.frames++;
    if ((reading.reason === null) === truth.used) into.rightlyUsed++;
    else into.why.push(`${truth.file}: ${reading.reason ?? "used"}, ought to be ${truth.reason ?? "used"}, separability ${reading.separability.toFixed(3)}, pose ${reading.poseErrorMm.toFixed(2)}`);
    if (reading.reason !== null || !truth.used) continue;
    if (truth.poseErrorMm !== null) into.poseOffMm.push(reading.poseErrorMm - truth.poseErrorMm);
    for (const station of truth.stations) {
      const k = index.get(`${station.layer}/${station.strand}/${station.sMm.toFixed(4)}`) as number, state = reading.states[k] as number, isTold = state === PRESENT || state === ABSENT;
      if (state === UNSEEN) into.why.push(`${truth.file}: station ${station.layer}/${station.strand}/${station.sMm} not told`);
      if (station.borderline) continue;
      if (station.state === "hidden") { into.hidden++; if (isTold) into.hiddenClaimed++; continue; }
      into.visible++;
      if (isTold) into.seen++;
      if (state === HIDDEN) continue;
      if (station.coveredRatio >= 0.5) { into.present++; if (state === ABSENT) { into.falselyAbsent++; into.why.push(`${truth.file}: ${station.layer}/${station.strand}/${station.sMm} falsely absent, covered ${station.coveredRatio}, seen ${(reading.pasteFraction[k] as number).toFixed(2)}`); } }
      if (station.coveredRatio < 0.1) { into.absent++; if (state === ABSENT) into.absentFound++; else into.why.push(`${truth.file}: ${station.layer}/${station.strand}/${station.sMm} absent, told ${state}, seen ${(reading.pasteFraction[k] as number).toFixed(2)}`); }
      const width = reading.widthMm[k] as number;
      if (width === width && station.widthMm !== null && station.coveredRatio >= 0.5) {
        into.widthsOffMm.push(width - station.widthMm);
        if (Math.abs(width - station.widthMm) <= 2 * (reading.uWidthMm[k] as number)) into.within2u++;
      }
    }
    const found = [...reading.bodies];
    for (const body of truth.bodies) {
      const seenMm2 = body.areaMm2 * body.outsideFraction, k = found.findIndex(({ position }) => Math.hypot(...position.map((mm, d) => mm - (body.position[d] as number))) <= SAME_MM);
      const hit = k >= 0 ? found.splice(k, 1)[0] : undefined;
      if (body.visibleFraction < 0.7 || body.outsideFraction < 0.7) continue;
      into.bodies++;
      if (hit === undefined) { into.why.push(`${truth.file}: body of ${seenMm2.toFixed(2)} mm² at ${body.position.map((v) => v.toFixed(1)).join(" ")} not found`); continue; }
      into.bodiesFound++;
      into.bodiesOffMm.push(Math.hypot(...hit.position.map((mm, d) => mm - (body.position[d] as number))));
      into.bodiesArea.push(hit.areaMm2 / seenMm2);
    }
    into.bodiesFalse += found.length;
    for (const body of found) into.why.push(`${truth.file}: false body of ${body.areaMm2.toFixed(2)} mm² at ${body.position.map((v) => v.toFixed(1)).join(" ")}`);
    if (truth.nozzleHangMm2 !== null && truth.nozzleHangMm2 > 0.5) into.hangs.push(reading.nozzleHangMm2 / truth.nozzleHangMm2);
    else if (reading.nozzleHangMm2 > 0.5) { into.hangsFalse++; into.why.push(`${truth.file}: false hang ${reading.nozzleHangMm2.toFixed(2)}`); }
  }
  return into;
}
