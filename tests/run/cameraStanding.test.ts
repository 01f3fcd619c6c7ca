import { describe, expect, it } from "vitest";
import { ABSENT, HIDDEN, PRESENT, stationColumns, UNSEEN, type FrameReading, type SeenBody } from "../../lib/camera/scene.ts";
import type { Point } from "../../lib/model/result.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { CameraStanding } from "../../lib/run/cameraStanding.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";

/** Two strands of 2 mm, five stations each, beads 1.0 × 0.5 mm: paste that hangs counts from 0.5 mm² on. */
const JOB = madeJob(), PLAN = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [2, 0, 0.5]] }, { strand: 2, points: [[0, 3, 0.5], [2, 3, 0.5]] }]), 0.5);
const N = PLAN.stationCount;

/** Frames that show nothing but what is said, a second apart. */
function standing(...frames: readonly Partial<FrameReading>[]): CameraStanding {
  const camera = new CameraStanding(PLAN, stationColumns(PLAN), JOB), nan = (): Float32Array => new Float32Array(N).fill(NaN);
  frames.forEach((change, k) => camera.take({
    file: `frames/${k}.png`, device: "camera-1", tS: 10 + k, layer: 1, reason: null, separability: 0.97, poseErrorMm: NaN, states: new Uint8Array(N), attempt: new Uint8Array(N).fill(1),
    pasteFraction: nan(), widthMm: nan(), uWidthMm: nan(), bodies: [], placesSeen: new Uint8Array(9), nozzleHangMm2: NaN, tip: null, middle: [1, 1, 0], ...change,
  }));
  return camera;
}
/** The first station alone. */
const one = (state: number, widthMm = NaN, change: Partial<FrameReading> = {}): Partial<FrameReading> => ({ states: first(state), widthMm: floats(widthMm), uWidthMm: floats(widthMm / 10), pasteFraction: floats(state === PRESENT ? 0.9 : 0.1), ...change });
const first = (state: number): Uint8Array => { const all = new Uint8Array(N); all[0] = state; return all; };
const floats = (v: number): Float32Array => { const all = new Float32Array(N).fill(NaN); all[0] = v; return all; };

describe("what stands at a station", () => {
  it("is what the newest frame that shows it says; hidden and unseen erase nothing", () => {
    const camera = standing(one(PRESENT), one(ABSENT), one(HIDDEN), one(UNSEEN));
    expect(camera.cameraAt(0, 0, 1)).toEqual({ state: "absent", widthMm: null, u: { widthMm: null }, file: "frames/1.png" });
    expect(camera.shareAt(0, 0, 1)).toMatchObject({ tS: 11, pasteFraction: Math.fround(0.1) });
    expect([camera.cameraAt(0, 1, 1), camera.shareAt(1, 0, 1)]).toEqual([null, null]);
  });

  it("its width is the median of those seen since the state last changed, and its uncertainty theirs", () => {
    expect(standing(one(PRESENT, 9), one(ABSENT), one(PRESENT, 1), one(PRESENT, 1.5), one(PRESENT), one(PRESENT, 1.25)).cameraAt(0, 0, 1)).toEqual({ state: "present", widthMm: 1.25, u: { widthMm: 0.125 }, file: "frames/5.png" });
    expect(standing(one(PRESENT, 1), one(PRESENT, 1.5)).cameraAt(0, 0, 1)?.widthMm).toBe(1.25);
  });

  it("attempts are kept apart", () => {
    const camera = standing(one(ABSENT), one(PRESENT, 1, { attempt: new Uint8Array(N).fill(2) }));
    expect([1, 2, 3].map((attempt) => camera.cameraAt(0, 0, attempt)?.state)).toEqual(["absent", "present", undefined]);
  });

  it("a frame that is not used says nothing of stations, bodies and the nozzle", () => {
    const camera = standing(one(ABSENT, NaN, { reason: "blurred", bodies: [body(0)], nozzleHangMm2: 2, tip: [0, 0, 1] }));
    expect([camera.cameraAt(0, 0, 1), camera.bodies, camera.findings(), camera.frames[0]?.used, camera.frames[0]?.stretches]).toEqual([null, [], [], false, []]);
  });
});

describe("stretches of a frame", () => {
  it("stations that look alike, ends included, strand by strand; together they are the stations that were shown", () => {
    const states = Uint8Array.of(PRESENT, PRESENT, ABSENT, HIDDEN, HIDDEN, HIDDEN, UNSEEN, UNSEEN, PRESENT, ABSENT);
    expect(standing({ states }).frames[0]?.stretches.map(({ layer, strand, fromMm, toMm, state }) => [layer, strand, fromMm, toMm, state])).toEqual([
      [1, 1, 0, 0.5, "present"], [1, 1, 1, 1, "absent"], [1, 1, 1.5, 2, "hidden"], [1, 2, 0, 0, "hidden"], [1, 2, 1.5, 1.5, "present"], [1, 2, 2, 2, "absent"],
    ]);
  });
});

const body = (x: number, areaMm2 = 2): SeenBody => ({ position: [x, 8, 0], areaMm2, lengthMm: 2, outline: [[x, 8, 0]] });
const shown = (...places: number[]): Uint8Array => Uint8Array.from(places);

describe("bodies", () => {
  it("seen again within 2 mm are one, with the newest frame and area; beyond it they are two", () => {
    const near = standing({ bodies: [body(0)] }, { bodies: [body(2, 3)] }), far = standing({ bodies: [body(0)] }, { bodies: [body(2.001)] });
    expect(near.bodies.map(({ body: { areaMm2 }, file }) => [areaMm2, file])).toEqual([[3, "frames/1.png"]]);
    expect(far.bodies.map(({ file }) => file)).toEqual(["frames/0.png", "frames/1.png"]);
  });

  it("are gone after two frames that show their place free, not where it is out of sight; being seen between begins anew", () => {
    const free = { placesSeen: shown(1) }, out = { placesSeen: shown(0) }, count = (...frames: Partial<FrameReading>[]): number => standing({ bodies: [body(0)] }, ...frames).bodies.length;
    expect([count(free), count(free, free), count(out, out, out), count(free, out, free), count(free, { bodies: [body(0)], placesSeen: shown(1) }, free)]).toEqual([1, 0, 1, 0, 1]);
  });

  it("each goes by its own place", () => {
    const camera = standing({ bodies: [body(0), body(10)] }, { placesSeen: shown(0, 1) }, { placesSeen: shown(0, 1) });
    expect(camera.bodies.map((each) => each.body.position[0])).toEqual([0]);
  });
});

describe("paste at the nozzle", () => {
  const hang = (nozzleHangMm2: number, x = 0): Partial<FrameReading> => ({ nozzleHangMm2, tip: [x, 0, 1] satisfies Point });

  it("is one finding an episode, with its largest area, where and in which frame that was", () => {
    expect(standing(hang(0.6, 1), hang(0.9, 2), hang(0.7, 3), { nozzleHangMm2: NaN }, hang(0.8, 4)).findings()).toEqual([
      { kind: "nozzleHang", severity: "act", proven: true, layer: 1, areaMm2: 0.9, position: [2, 0, 1], worst: { metric: "areaMm2", value: 0.9, limit: 0.5 }, file: "frames/1.png" },
    ]);
  });

  it("a clean nozzle ends the episode; less than half of the width's square (0.5 mm²) is clean", () => {
    expect(standing(hang(0.6), hang(0.4999), hang(0.5)).findings().map((f) => f.file)).toEqual(["frames/0.png", "frames/2.png"]);
    expect(standing(hang(0.4999)).findings()).toEqual([]);
  });

  it("counts by the bead that is laid where the nozzle stands: 1.2 mm² is a finding at a bead of 1 mm and none at one of 2 mm (from 2 mm² on)", () => {
    const plan = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [2, 0, 0.5]] }, { strand: 2, points: [[0, 5, 0.5], [2, 5, 0.5]], widthMm: 2 }]), 0.5);
    const limitAt = (y: number, areaMm2: number): number[] => {
      const camera = new CameraStanding(plan, stationColumns(plan), JOB), nan = (): Float32Array => new Float32Array(plan.stationCount).fill(NaN);
      camera.take({ file: "frames/1.png", device: "camera-1", tS: 3, layer: 1, reason: null, separability: 0.97, poseErrorMm: NaN, states: new Uint8Array(plan.stationCount), attempt: new Uint8Array(plan.stationCount).fill(1), pasteFraction: nan(), widthMm: nan(), uWidthMm: nan(), bodies: [], placesSeen: new Uint8Array(0), middle: [1, 1, 0], nozzleHangMm2: areaMm2, tip: [1, y, 0.5] });
      return camera.findings().map((finding) => finding.worst.limit);
    };
    expect([limitAt(0, 1.2), limitAt(5, 1.2), limitAt(5, 2.1)]).toEqual([[0.5], [], [2]]);
  });
});

describe("a camera that is not where it says", () => {
  const wrong = (poseErrorMm: number, device = "camera-1"): Partial<FrameReading> => ({ reason: "poseDisagrees", poseErrorMm, device }), right = (device = "camera-1"): Partial<FrameReading> => ({ poseErrorMm: 0.1, device });

  it("is told once a camera, with the frame that lies farthest off", () => {
    expect(standing(wrong(1.5), wrong(2.5), wrong(2), wrong(3, "camera-2")).findings()).toEqual([["camera-1", 2.5, "frames/1.png"], ["camera-2", 3, "frames/3.png"]].map(([device, value, file]) => ({
      kind: "cameraPose", severity: "watch", proven: true, layer: 1, device, position: [1, 1, 0], worst: { metric: "poseErrorMm", value, limit: JOB.tolerance.camera.poseErrorMm }, file,
    })));
  });

  it("only where more of its own frames disagree than agree; a frame that could not tell counts for neither", () => {
    const count = (...frames: Partial<FrameReading>[]): number => standing(...frames).findings().length;
    expect([count(wrong(2), right()), count(wrong(2), right(), wrong(2)), count(wrong(2), {}, {}), count(wrong(2), right("camera-2"), right("camera-2"))]).toEqual([0, 1, 1, 1]);
  });
});
