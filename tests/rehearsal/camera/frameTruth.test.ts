import { describe, expect, it } from "vitest";
import { fillCamera, type CameraSettings } from "../../../lib/rehearsal/camera/cameraSettings.ts";
import type { FrameTruth, StationTruth } from "../../../lib/rehearsal/camera/frameTruth.ts";
import { atOnce } from "../../../lib/rehearsal/camera/renderFrame.ts";
import { HANG } from "../../../lib/rehearsal/camera/scene.ts";
import { makeShoot, nozzleAt } from "../../../lib/rehearsal/camera/shoot.ts";
import { parseFault } from "../../../lib/rehearsal/fault.ts";
import type { RehearsalSettings } from "../../../lib/rehearsal/settings.ts";
import { layOut } from "../../../lib/rehearsal/simulate.ts";

/** Small pictures: truth comes from the bodies, not from pixels. The camera stands towards −y, square to strands along x. */
const SMALL = { widthPx: 96, heightPx: 72, pxPerMm: 3, azimuthDeg: -90 } as const;
interface Wanted { readonly faults?: readonly string[]; readonly camera?: Partial<CameraSettings>; readonly tS?: number; readonly withHand?: boolean }
function truthOf(given: Partial<RehearsalSettings>, { faults = [], camera = {}, tS = 99, withHand = false }: Wanted = {}): FrameTruth {
  const world = layOut({ strands: 1, lengthMm: 12, variationFraction: 0, wanderMm: 0, stationSpacingMm: 1, faults: faults.map(parseFault), ...given });
  return makeShoot(world, fillCamera({ ...SMALL, ...camera })).take({ file: "frames/0001.png", tS, withHand }).truth;
}
const states = (stations: readonly StationTruth[], strand = 1): string => stations.filter((one) => one.strand === strand).map((one) => one.state.charAt(0)).join("");

describe("frameTruth", () => {
  it("a stadium 1.2 × 0.5 mm seen at 42° hides its far flank beyond (w − h)/2 + h/2 · cos 42° (derived: its normal there is square to the view): 20 of 21 points are seen", () => {
    const { stations } = truthOf({ widthMm: 1.2 });
    const middle = stations.find((one) => one.sMm === 6);
    expect(middle).toMatchObject({ state: "present", lies: true, borderline: false, visibleFraction: expect.closeTo(20 / 21, 5), coveredRatio: expect.closeTo(1, 5), widthMm: expect.closeTo(1.2, 5) });
  });

  it("a gap from 4.5 to 8.5 mm is absent at 5 to 8 mm, and the strand is told up to where the nozzle is: 7.9 mm of 12 mm", () => {
    expect(states(truthOf({}, { faults: ["gap@1/1/4.5-8.5"] }).stations)).toBe("pppppaaaapppp");
    const world = layOut({ strands: 1, lengthMm: 12 }), tS = world.schedule.lays[0]!.startS + 7.9 / 8;
    expect(truthOf({}, { tS }).stations.map((one) => one.sMm)).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
  });

  it("what is behind a hand, behind the nozzle, behind a laid bead or out of the picture is hidden, whether paste lies there or not", () => {
    const free = truthOf({ strands: 3 }), handed = truthOf({ strands: 3 }, { withHand: true });
    expect(states(free.stations, 3)).toBe("p".repeat(13));
    expect(handed.stations.filter((one) => one.state === "hidden" && one.lies).length).toBeGreaterThan(5);
    const tall = { strands: 2, pitchMm: 1.3, heightMm: 0.9, alternate: false }, behind = truthOf(tall, { faults: ["gap@1/2/4.5-8.5"], camera: { angleDeg: 60 } });
    expect(states(behind.stations, 2)).toBe("ppppphhhhpppp"); // near top 0.9 mm high hides 0.9 · tan 60° = 1.56 mm of ground behind it (plane geometry)
    expect(behind.stations.filter((one) => one.strand === 2 && !one.lies).map((one) => one.sMm)).toEqual([5, 6, 7, 8]);
    expect(states(truthOf({}, { camera: { pxPerMm: 24 } }).stations)).toBe("hhhhhppphhhhh"); // 96 px show 4 mm: x from −2 to 2 mm at the aim, less at the bead's top
    const world = layOut({ strands: 1, lengthMm: 12 }), tS = world.schedule.lays[0]!.startS + 6.05 / 8;
    const seenFrom = (azimuthDeg: number): string => states(truthOf({}, { tS, camera: { azimuthDeg, angleDeg: 60 } }).stations);
    expect(seenFrom(0)).toBe("hhhhhhh"); // the nozzle stands between: a cone 12.7 mm high before 6 mm of strand, seen under atan(1/√3)
    expect(seenFrom(180)).toMatch(/^p{6}[ph]$/);
  });

  it("strays: a blob 1.6 mm across has π · 0.8² mm² and a stretch of 4 mm dragged 2.5 mm aside 4 mm² (w 1 mm; plane geometry), outside every window; a tear leaves nothing", () => {
    const { bodies: [blob] } = truthOf({ strands: 2 }, { faults: ["blob@1/1/5-6"] });
    expect(blob?.areaMm2).toBeCloseTo(Math.PI * 0.64, 4);
    expect(blob?.outsideFraction).toBe(1);
    const dragged = truthOf({ strands: 2 }, { faults: ["drag@1/1/4-8=-2.5"] });
    expect(dragged.bodies[0]?.areaMm2).toBeCloseTo(4, 4);
    expect(dragged.bodies[0]?.position).toEqual([expect.closeTo(0, 4), expect.closeTo(-3.5, 4), expect.closeTo(0, 4)]);
    expect(states(dragged.stations)).toContain("aaa");
    const torn = truthOf({ strands: 2 }, { faults: ["tear@1/2/4.5-8.5"] });
    expect([states(torn.stations, 2), torn.bodies]).toEqual(["pppppaaaapppp", []]);
  });

  it("the reported pose 2 mm aside puts the strand 2 mm aside on a plane; over 0.5 mm the frame's pose disagrees, at 0.3 mm it may be used", () => {
    const off = truthOf({}, { camera: { poseOffMm: 2 } }), little = truthOf({}, { camera: { poseOffMm: 0.3 } });
    expect([off.poseErrorMm, off.used, off.reason]).toEqual([expect.closeTo(2, 5), false, "poseDisagrees"]);
    expect([little.poseErrorMm, little.used, little.reason]).toEqual([expect.closeTo(0.3, 5), true, null]);
  });

  it.each([["standard", null], ["glossy", null], ["shadow", null], ["uneven", null], ["lowContrast", null], ["textured", null], ["distorted", null], ["dark", "badExposure"], ["overexposed", "badExposure"], ["blurred", "blurred"], ["sameColour", "notSeparable"]] as const)("the look %s is unfit for %s", (look, reason) => {
    expect(truthOf({}, { camera: { look } }).reason).toBe(reason);
  });

  it("hanging paste is the pixels that it alone changes, times (tip distance / f)²; a clean nozzle has 0, and without one there is nothing to tell", () => {
    const camera = { widthPx: 160, heightPx: 120, pxPerMm: 7 }, faults = ["hang@1/1/4-8=5"], world = layOut({ strands: 1, lengthMm: 12, faults: faults.map(parseFault) }), tS = world.schedule.lays[0]!.startS + 6 / 8;
    const { studio } = makeShoot(world, fillCamera({ ...SMALL, ...camera })), scene = studio.sceneAt(tS, nozzleAt(world, tS), false);
    const [withIt, without] = [scene, { ...scene, hang: null }].map((one) => atOnce(studio.takeSteps(one)).what) as [Int32Array, Int32Array], changed = withIt.filter((what, i) => what !== without[i]).length;
    const [tip, pose] = [scene.nozzle!.tip, studio.camera.pose], distance = Math.hypot(tip[0] - pose[0], tip[1] - pose[1], tip[2] - pose[2]);
    expect(changed).toBe(withIt.filter((what) => what === HANG).length);
    expect(changed).toBeGreaterThan(100);
    const told = truthOf({}, { faults, camera, tS }).nozzleHangMm2;
    expect(told).toBeCloseTo(changed * (distance / (7 * 85)) ** 2, 5);
    expect(Math.abs((told as number) / 5 - 1)).toBeLessThan(0.3); // 5 mm² square on
    expect(truthOf({}, { camera, tS }).nozzleHangMm2).toBe(0);
    expect(truthOf({}, { faults, camera }).nozzleHangMm2).toBeNull();
  });

  it("an earlier layer beneath a later one is hidden there, and a stretch taken off and not yet laid again is told of no more", () => {
    const two = truthOf({ layers: 2, strands: 2, lengthMm: 8 });
    expect(states(two.stations.filter((one) => one.layer === 1))).toBe("h".repeat(9));
    expect(states(two.stations.filter((one) => one.layer === 2))).toBe("p".repeat(9));
    const world = layOut({ strands: 1, lengthMm: 12, rework: [{ layer: 1, strand: 1, fromMm: 4.5, toMm: 7.5 }] }), { tS } = world.schedule.removals[0]!;
    const rework = { rework: [{ layer: 1, strand: 1, fromMm: 4.5, toMm: 7.5 }] };
    expect(truthOf(rework, { tS: tS + 0.1 }).stations.map((one) => one.sMm)).toEqual([0, 1, 2, 3, 4, 8, 9, 10, 11, 12]);
    expect(truthOf(rework).stations.filter((one) => one.attempt === 2).map((one) => one.sMm)).toEqual([5, 6, 7]);
  });
});
