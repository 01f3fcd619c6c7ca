import { expect, test } from "vitest";
import { LensView } from "../../lib/kernel/lensView.ts";

const STRAIGHT = { fx: 900, fy: 700, cx: 320, cy: 240, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 };
/** Half a turn about x: the camera looks down, its y against the plan's. */
const DOWN = [1, 0, 0, 0] as const;

test("a camera that looks straight down from 50 mm sees (3, 4, 10) mm at c + f · side / 40, by similar triangles", () => {
  const view = new LensView(STRAIGHT, [1, 6, 50, ...DOWN]), [u, v] = view.pixelAt([3, 4, 10]) ?? [];
  expect(u).toBeCloseTo(320 + 900 * 2 / 40, 9);
  expect(v).toBeCloseTo(240 + 700 * 2 / 40, 9); // 2 mm towards −y, which is down in the picture
  expect(view.depthMm([3, 4, 10])).toBeCloseTo(40, 12);
});

test("a quarter turn about z before it looks down puts the plan's y to the right", () => {
  // R = Rz(90°) · Rx(180°): quaternion (s, s, 0, 0) with s = √½ (product of the two, by hand)
  const half = Math.SQRT1_2, [u, v] = new LensView(STRAIGHT, [0, 0, 20, half, half, 0, 0]).pixelAt([0.5, 3, 0]) ?? [];
  expect(u).toBeCloseTo(320 + 900 * 3 / 20, 9);
  expect(v).toBeCloseTo(240 + 700 * 0.5 / 20, 9);
});

test("what lies behind the camera or beyond the lens's fold has no pixel", () => {
  expect(new LensView(STRAIGHT, [0, 0, 50, ...DOWN]).pixelAt([0, 0, 51])).toBeNull();
  const folding = new LensView({ ...STRAIGHT, k1: -0.4 }, [0, 0, 10, ...DOWN]); // d(r − 0.4 r³)/dr = 0 at r = √(1 / 1.2) = 0.9129
  expect(folding.pixelAt([9.1, 0, 0])).not.toBeNull();
  expect(folding.pixelAt([9.2, 0, 0])).toBeNull();
});
