import { describe, expect, it } from "vitest";
import { axesOfPose, dot, scale, sub, unit, type Vec3 } from "../../../lib/kernel/vec.ts";
import { cameraPose, projectPoint, unproject, type Lens } from "../../../lib/rehearsal/camera/lens.ts";

const LENS: Lens = { widthPx: 1280, heightPx: 720, fx: 800, fy: 800, cx: 640, cy: 360, k1: -0.2, k2: 0.05, p1: 0.001, p2: -0.0005, k3: 0 };
const out = new Float64Array(2);

describe("lens", () => {
  it("puts x 0.3, y 0.2 with k1 −0.2, k2 0.05, p1 0.001, p2 −0.0005, f 800 at pixel (873.9348, 516.0952) (worked by hand from the published Brown–Conrady formula)", () => {
    projectPoint(LENS, 0.3 * 70, 0.2 * 70, 70, out);
    expect(out[0]).toBeCloseTo(873.9348, 4);
    expect(out[1]).toBeCloseTo(516.0952, 4);
  });

  it("undoes the lens to 1e-9 at every corner and edge, also with k1 −0.25; a pinhole is undone by division", () => {
    for (const lens of [LENS, { ...LENS, k1: -0.25, k2: 0.08, p1: 0.001, p2: -0.0008, fx: 900, fy: 870 }]) {
      for (const [u, v] of [[0, 0], [1279, 0], [0, 719], [1279, 719], [640, 0], [33, 410], [640, 360]] as const) {
        unproject(lens, u, v, out);
        projectPoint(lens, out[0]! * 55, out[1]! * 55, 55, out);
        expect(out[0]).toBeCloseTo(u, 6);
        expect(out[1]).toBeCloseTo(v, 6);
      }
    }
    unproject({ ...LENS, k1: 0, k2: 0, p1: 0, p2: 0 }, 720, 320, out);
    expect([...out]).toEqual([expect.closeTo(0.1, 12), expect.closeTo(-0.05, 12)]);
  });

  it("shows nothing where the lens folds over, and nothing behind the camera", () => {
    unproject({ ...LENS, k1: -0.9, k2: 0 }, 1279, 719, out);
    expect(out[0]).toBeNaN();
    projectPoint(LENS, 1, 2, -3, out);
    expect(out[0]).toBeNaN();
  });

  it("a camera at 40° and 85 mm looks at its aim, has the normal upwards in the image and stands on the side asked for", () => {
    const aim: Vec3 = [3, -2, 1], normal = unit([0.1, 0.2, 0.97]), side: Vec3 = [-1, 0.4, 0], pose = cameraPose({ aim, normal, side, angleRad: 40 * Math.PI / 180, distanceMm: 85 });
    const { y, z, t } = axesOfPose(pose), back = sub(t, aim);
    expect(dot(z, unit(scale(back, -1)))).toBeCloseTo(1, 12);
    expect(Math.acos(dot(unit(back), normal)) * 180 / Math.PI).toBeCloseTo(40, 9);
    expect(dot(y, normal)).toBeCloseTo(-Math.sin(40 * Math.PI / 180), 12);
    expect(dot(back, side)).toBeGreaterThan(0);
  });
});
