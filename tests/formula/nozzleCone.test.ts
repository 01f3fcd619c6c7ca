/** Oracles: plane geometry written apart from the code, and brute force over points of the cone's surface. */
import { describe, expect, it } from "vitest";
import { coneOf, cylinderClearanceMm, paraboloidClearanceMm, pointClearanceMm, radiusAtMm, type Cone } from "../../lib/formula/nozzleCone.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

const CONE = coneOf(1.27, 20, 12.7);
const BETA = 10 * Math.PI / 180;

/** Points of the frustum's surface, [x, y, z] with z along the axis. */
function surface(cone: Cone, steps: number): [number, number, number][] {
  const points: [number, number, number][] = [];
  for (let k = 0; k < steps; k++) {
    const angle = 2 * Math.PI * k / steps;
    for (let i = 0; i <= steps; i++) {
      const f = i / steps, a = f * cone.lengthMm;
      for (const [r, z] of [[radiusAtMm(cone, a), a], [f * cone.tipRadiusMm, 0], [f * radiusAtMm(cone, cone.lengthMm), cone.lengthMm]] as const) points.push([r * Math.cos(angle), r * Math.sin(angle), z]);
    }
  }
  return points;
}

describe("a point and the cone", () => {
  it.each([
    ["beneath the tip's face", 0.3, -0.2, 0.2], ["beside the flank, 3 mm up", 2, 3, Math.cos(BETA) * (2 - 0.635 - 3 * Math.tan(BETA))],
    ["off the rim, below", 1.035, -0.3, 0.5], ["over the top", 0.9, 13, 0.3], ["inside, near the face", 0.2, 0.1, -0.1], ["inside, near the flank", 1.1, 3, Math.cos(BETA) * (1.1 - 0.635 - 3 * Math.tan(BETA))],
  ])("%s: closed form", (_, radial, axial, expected) => {
    expect(pointClearanceMm(CONE, radial, axial)).toBeCloseTo(expected, 12);
  });

  it("agrees with the nearest of 36 000 surface points within 0.05 mm, at 300 places outside (seed 7)", () => {
    const points = surface(CONE, 110), random = makeRandom(7, "points");
    for (let k = 0; k < 300; k++) {
      const radial = 6 * random.next(), axial = 18 * random.next() - 3;
      const clearance = pointClearanceMm(CONE, radial, axial);
      if (clearance < 0.2) continue;
      const brute = points.reduce((least, p) => Math.min(least, Math.hypot(p[0] - radial, p[1], p[2] - axial)), Infinity);
      expect(Math.abs(clearance - brute)).toBeLessThan(0.05);
    }
  });

  it("a very flat cone's top is a top: 0.4 mm over the middle of one 0.2 mm long", () => {
    expect(pointClearanceMm(coneOf(4.2, 150, 0.2), 0.1, 0.6)).toBeCloseTo(0.4, 12);
  });
});

describe("a cylinder and the cone", () => {
  it("level, 1.9 mm away, axis 1.4 mm up: cos β (D − r(a)) − ρ", () => {
    const expected = Math.cos(BETA) * (1.9 - 0.635 - 1.4 * Math.tan(BETA)) - 0.25;
    expect(cylinderClearanceMm(CONE, { awayMm: 1.9, axialMm: 1.4, rise: 0 }, [-9, 9], 0.25)).toBeCloseTo(expected, 12);
  });

  it("inclined, on the flank: cos β (D √(1 − k²) − r(a)) − ρ with k = rise / √(1 − rise²) · tan β", () => {
    const rise = 0.3, k = rise / Math.sqrt(1 - rise * rise) * Math.tan(BETA);
    const expected = Math.cos(BETA) * (2.2 * Math.sqrt(1 - k * k) - 0.635 - 4 * Math.tan(BETA)) - 0.31;
    expect(cylinderClearanceMm(CONE, { awayMm: 2.2, axialMm: 4, rise }, [-3, 3], 0.31)).toBeCloseTo(expected, 8);
  });

  it("agrees with brute force over surface and axis within 0.04 mm for 40 cylinders at any slope (seed 8)", () => {
    const points = surface(CONE, 60), random = makeRandom(8, "cylinders");
    for (let k = 0; k < 40; k++) {
      const line = { awayMm: 1 + 3 * random.next(), axialMm: 8 * random.next() - 1, rise: 1.6 * random.next() - 0.8 };
      const from = -2 * random.next(), to = 2.5 * random.next(), radius = 0.1 + 0.3 * random.next();
      const clearance = cylinderClearanceMm(CONE, line, [from, to], radius);
      if (clearance < 0.1) continue;
      let least = Infinity;
      const level = Math.sqrt(1 - line.rise * line.rise);
      for (let i = 0; i <= 60; i++) {
        const tau = from + (to - from) * i / 60;
        for (const p of points) least = Math.min(least, Math.hypot(p[0] - line.awayMm, p[1] - level * tau, p[2] - line.axialMm - line.rise * tau));
      }
      expect(Math.abs(clearance - (least - radius))).toBeLessThan(0.04);
    }
  });
});

describe("the target under the tip", () => {
  it("flat or falling away: the tip's height, 0.45 mm", () => {
    expect([paraboloidClearanceMm(CONE, 0.45, 0, 5), paraboloidClearanceMm(CONE, 0.45, -0.1, 5)]).toEqual([0.45, 0.45]);
  });

  it("hollow, radius 4 mm: the rim comes h − r²/2R near, and agrees with 400 points of the nozzle against the paraboloid", () => {
    const clearance = paraboloidClearanceMm(CONE, 0.3, 1 / 4, 2);
    expect(clearance).toBeCloseTo(0.3 - 0.635 ** 2 / 8, 12);
    const brute = Array.from({ length: 401 }, (_, i) => i / 400 * 1.365 / Math.tan(BETA)).reduce((least, a) => Math.min(least, 0.3 + a - (0.635 + a * Math.tan(BETA)) ** 2 / 8), Infinity);
    expect(clearance).toBeCloseTo(brute, 9);
  });

  it("a wide cone in a narrow hollow touches with its flank, not its rim", () => {
    const wide = coneOf(1, 160, 3), gap = (a: number): number => 0.5 + a - 0.2 * (0.5 + a * Math.tan(80 * Math.PI / 180)) ** 2 / 2;
    expect(paraboloidClearanceMm(wide, 0.5, 0.2, 16)).toBeCloseTo(gap((16 - 0.5) / Math.tan(80 * Math.PI / 180)), 9);
    expect(paraboloidClearanceMm(wide, 0.5, 0.2, 16)).toBeLessThan(gap(0));
  });
});
