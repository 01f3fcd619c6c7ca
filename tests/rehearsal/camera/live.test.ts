import { afterEach, beforeEach, describe, expect, it } from "vitest";
import sharp from "sharp";
import { resolveJob } from "../../../lib/model/jobSchema.ts";
import { fillCamera } from "../../../lib/rehearsal/camera/cameraSettings.ts";
import type { LiveShot } from "../../../lib/rehearsal/camera/liveCamera.ts";
import { atOnce } from "../../../lib/rehearsal/camera/renderFrame.ts";
import { NOZZLE, TARGET } from "../../../lib/rehearsal/camera/scene.ts";
import { parseFault } from "../../../lib/rehearsal/fault.ts";
import { LiveCell } from "../../../lib/rehearsal/liveCell.ts";
import { fillSettings, type RehearsalSettings } from "../../../lib/rehearsal/settings.ts";
import { LiveRehearsal } from "../../support/liveRehearsal.ts";

const CAMERA = fillCamera({ widthPx: 96, heightPx: 72, pxPerMm: 5, everyS: 2, angleDeg: 30 });
/** Frames of a whole print that is moved on in steps. */
function shotsOf(given: Partial<RehearsalSettings>, stepS: number, before: (cell: LiveCell) => void = () => undefined): LiveShot[] {
  const cell = new LiveCell(fillSettings({ points: 24, dxMm: 0.5, strands: 2, lengthMm: 8, scanSpeedMmS: 60, ...given }), { pace: 1, syringeMm3: 2900, camera: CAMERA }), shots: LiveShot[] = [];
  for (; cell.phase === "printing" && cell.nowS < 200; cell.advanceTo(cell.nowS + stepS)) {
    before(cell);
    shots.push(...cell.drain().filter((one): one is LiveShot => one.kind === "shot"));
  }
  return [...shots, ...cell.drain().filter((one): one is LiveShot => one.kind === "shot")];
}
const pasteCount = ({ steps }: LiveShot): number => atOnce(steps).what.filter((what) => what >= 0).length;

describe("a live cell with a camera", () => {
  it("looks every 2 s of its own time, whatever the steps of 0.07 or 0.5 s, and shows the same: nothing, then ever more paste, under a nozzle", () => {
    const fine = shotsOf({}, 0.07), coarse = shotsOf({}, 0.5), times = fine.map((one) => one.tS);
    expect(times.slice(0, 4)).toEqual([0, 2, 4, 6].map((tS) => expect.closeTo(tS, 9)));
    expect(coarse.map((one) => [one.tS, one.file])).toEqual(fine.map((one) => [one.tS, one.file]));
    const whats = fine.map(({ steps }) => atOnce(steps).what);
    expect(coarse.map(({ steps }) => [...atOnce(steps).what])).toEqual(whats.map((what) => [...what]));
    expect(whats[0]?.every((what) => what === TARGET || what === NOZZLE)).toBe(true);
    const counts = whats.map((what) => what.filter((one) => one >= 0).length);
    expect(counts.at(-1)).toBeGreaterThan(250);
    expect(whats.some((what) => what.includes(NOZZLE))).toBe(true);
  });

  it("shows what goes wrong: less paste after a tear of 4 of 16 mm; a jolt of the target puts the reported pose off by its 0.4 mm", () => {
    const whole = pasteCount(shotsOf({}, 0.5).at(-1)!), torn = pasteCount(shotsOf({ faults: [parseFault("tear@1/1/2-6")] }, 0.5).at(-1)!);
    expect(torn / whole).toBeLessThan(0.85);
    expect(torn / whole).toBeGreaterThan(0.6);
    let jolted = 0;
    const shots = shotsOf({}, 0.5, (cell) => {
      if (cell.nowS <= 3 || jolted > 0) return;
      cell.cause({ kind: "jolt", undo: false, place: null });
      jolted = cell.nowS;
    });
    const [first, last] = [shots[0]!.pose, shots.at(-1)!.pose];
    expect(Math.hypot(last[0] - first[0], last[1] - first[1], last[2] - first[2])).toBeCloseTo(0.4, 9);
    expect(last.slice(3)).toEqual(first.slice(3));
  });

  it("a cell without one sends no frames", () => {
    const cell = new LiveCell(fillSettings({ points: 24, dxMm: 0.5, strands: 1, lengthMm: 4 }), { pace: 1, syringeMm3: 2900 });
    cell.advanceTo(10);
    expect(cell.drain().some((one) => one.kind === "shot")).toBe(false);
  });
});

describe("a live rehearsal with a camera", () => {
  let live: LiveRehearsal;
  beforeEach(() => { live = new LiveRehearsal(); });
  afterEach(async () => {
    live.stop.abort();
    await live.until(() => live.ending !== null);
    await live.close();
  });

  it("names the camera in its job and posts its frames as meta and image, the last before the finish; the image is a PNG of 96 × 72 pixels", async () => {
    await (await live.begin({}, { camera: CAMERA })).toEnd();
    const [made] = live.server.to(/\/runs$/), { job } = JSON.parse(made!.body.toString()) as { job: Record<string, unknown> };
    expect(resolveJob(job, "job.json").job.devices.find((one) => one.kind === "camera")).toMatchObject({ id: "camera-1", widthPx: 96, heightPx: 72, fx: 5 * 85 });
    const calls = live.server.to(/run%201\/frames$/);
    expect(calls.length).toBeGreaterThan(2);
    expect(live.server.calls.at(-1)!.path).toMatch(/finish$/);
    for (const { body, headers } of calls.slice(0, 2)) {
      const form = await new Response(new Uint8Array(body), { headers: { "content-type": headers["content-type"] as string } }).formData(), image = form.get("image") as File;
      const meta = JSON.parse(form.get("meta") as string) as Record<string, unknown>;
      expect(Object.keys(meta)).toEqual(["file", "device", "tS", "tx", "ty", "tz", "qx", "qy", "qz", "qw", "frame"]);
      expect([meta.device, meta.frame, image.type]).toEqual(["camera-1", "plan", "image/png"]);
      expect(await sharp(await image.arrayBuffer()).metadata()).toMatchObject({ format: "png", width: 96, height: 72 });
    }
  });

  it("is left as it is by a stop while a frame is being developed", async () => {
    await live.begin({}, { camera: fillCamera({ widthPx: 320, heightPx: 240, pxPerMm: 9 }) });
    await live.for(300);
    live.stop.abort();
    await live.until(() => live.ending !== null);
    expect(live.ending).toEqual({ kind: "stopped" });
  });
});
