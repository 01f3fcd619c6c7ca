/** Frames: what measuring one takes against a plain pass over its pixels, and how many of a print's are measured while it goes on beside its profiles. */
import { CameraEye } from "../camera/eye.ts";
import { median } from "../kernel/statistics.ts";
import type { FrameMessage } from "../model/messages.ts";
import { resolveJob } from "../model/jobSchema.ts";
import { readPlanCsv } from "../plan/readCsv.ts";
import { encodePng } from "../rehearsal/camera/png.ts";
import { simulate, type Rehearsal } from "../rehearsal/simulate.ts";
import { RunEngine } from "../run/engine.ts";
import type { BenchRow } from "./bench.ts";
import type { Wire } from "./benchCalls.ts";
import type { Io } from "./io.ts";

/** Of the pictures that are sent, and how close the camera looks. */
export const FRAME_CAMERA = { widthPx: 1280, heightPx: 960, pxPerMm: 36, everyS: 4 } as const;
const FRAMES_PER_S = 10;

/** A print's camera as the bench sends it: a few pictures, each again and again under another name until the next was taken. */
export class FrameSender {
  readonly sending: Promise<unknown>[] = [];
  private readonly pictures: readonly { readonly tS: number; readonly device: string; readonly pose: readonly number[]; readonly png: Uint8Array<ArrayBuffer> }[];
  private count = 0;
  private nextS = Number.NaN;

  /** Takes the pictures: seconds each. */
  constructor(private readonly wire: Wire, rehearsal: Rehearsal) {
    this.pictures = [...rehearsal.frames()].map(({ tS, device, pose, frame }) => ({ tS, device, pose, png: new Uint8Array(encodePng(frame)) }));
  }

  get sentCount(): number { return this.count; }

  /** Sends what is due up to `nowS`. */
  tick(runId: string, nowS: number): void {
    if (!(this.nextS <= nowS)) this.nextS = Number.isNaN(this.nextS) ? nowS : this.nextS;
    for (; this.nextS <= nowS; this.nextS += 1 / FRAMES_PER_S) {
      const picture = this.pictures.findLast(({ tS }) => tS <= this.nextS);
      if (picture !== undefined) this.sending.push(this.send(runId, picture, this.nextS));
    }
  }

  private async send(runId: string, { device, pose, png }: FrameSender["pictures"][number], tS: number): Promise<void> {
    const form = new FormData(), [tx, ty, tz, qx, qy, qz, qw] = pose;
    form.set("meta", JSON.stringify({ file: `frames/${String(++this.count).padStart(5, "0")}.png`, device, tS, tx, ty, tz, qx, qy, qz, qw, frame: "plan" }));
    form.set("image", new Blob([png], { type: "image/png" }), "frame.png");
    const response = await fetch(`${this.wire.url}/api/v1/runs/${runId}/frames`, { method: "POST", headers: { Authorization: `Bearer ${this.wire.token}` }, body: form });
    if (!response.ok) throw new Error(`frames: ${response.status} ${await response.text()}`);
  }
}

/** Median of some repetitions of measuring a frame of 1280 × 960 (quick: 640 × 480) against one plain sum over its pixels; decoding is not in it. */
export function frameRow(io: Io, quick: boolean): BenchRow {
  const rehearsal = simulate({ points: 640, strands: 5, lengthMm: 20 }, quick ? { everyS: 60 } : { ...FRAME_CAMERA, everyS: 60 });
  const { job } = resolveJob(rehearsal.jobJson, "job.json"), engine = new RunEngine(readPlanCsv(rehearsal.planCsv, job, "plan.csv").plan, job, { hasProgress: true }), rows = [...rehearsal.progress];
  for (const profile of rehearsal.profiles()) {
    for (let row = rows[0]; row !== undefined && row.tS <= profile.tS; row = rows[0]) engine.push(rows.shift() as typeof row);
    engine.push({ ...profile, zMm: profile.zMm.slice() });
  }
  engine.endPasses();
  const [taken] = rehearsal.frames((index) => index === rehearsal.shotCount - 1), camera = job.devices.find((device) => device.kind === "camera");
  if (taken === undefined || camera === undefined) throw new TypeError("a rehearsal without frames");
  const { frame: pixels, file, device, tS, pose } = taken, message: FrameMessage = { kind: "frame", file, device, tS, pose, frame: "plan" }, eye = new CameraEye(job, engine.plan, camera);
  const measureMs: number[] = [], sumMs: number[] = [];
  let total = 0, unused = "";
  for (let i = 0; i < (quick ? 4 : 12); i++) {
    const began = io.nowMs(), { reason } = eye.measure(engine.frameScene(message), pixels), measured = io.nowMs();
    unused = reason === null ? "" : `, not used: ${reason}`;
    for (let at = 0; at < pixels.rgb.length; at++) total += pixels.rgb[at] as number;
    sumMs.push(io.nowMs() - measured);
    measureMs.push(measured - began);
  }
  const usual = (values: readonly number[]): number => median(values.slice(2)); // the first two warm up
  if (total === 0) io.err("the frame is black");
  return { what: `measuring a frame of ${pixels.widthPx} × ${pixels.heightPx} (${usual(measureMs).toFixed(0)} ms${unused}), in plain sums over its pixels`, value: (usual(measureMs) / usual(sumMs)).toFixed(0), aim: "" };
}
