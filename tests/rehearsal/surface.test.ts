import { describe, expect, it } from "vitest";
import { add, dot, norm, scale, sub, unit, type Vec3 } from "../../lib/kernel/vec.ts";
import { makeSurface, SURFACE_NAMES, type Surface } from "../../lib/rehearsal/surface.ts";

function cast(surface: Surface, from: Vec3, direction: Vec3): number {
  const d = unit(direction);
  return surface.castMm(from[0], from[1], from[2], d[0], d[1], d[2]);
}

describe("castMm, distances by plane geometry", () => {
  it("plane: from 30 mm up at 60° of incidence, 60 mm", () => {
    expect(cast(makeSurface("plane", 45), [3, -2, 30], [Math.sin(Math.PI / 3), 0, -Math.cos(Math.PI / 3)])).toBeCloseTo(60, 6);
  });

  it("sphere of 37 mm: straight down at 12 mm off the axis, 50 + 37 − √(37² − 12²); along a radius from 70 mm out, 33 mm; past it, NaN", () => {
    const sphere = makeSurface("sphere", 37);
    expect(cast(sphere, [12, 0, 50], [0, 0, -1])).toBeCloseTo(50 + 37 - Math.sqrt(37 * 37 - 144), 6);
    const out = unit([0.3, -0.2, 0.8]);
    expect(cast(sphere, add([0, 0, -37], scale(out, 70)), scale(out, -1))).toBeCloseTo(33, 6);
    expect(cast(sphere, [40, 0, 50], [0, 0, -1])).toBeNaN();
  });

  it("cylinder of 26 mm along x: down at y 7 mm, 40 + 26 − √(26² − 7²), whatever x; slanted by 30° along x, 1/cos 30° as long", () => {
    const cylinder = makeSurface("cylinder", 26), straight = 40 + 26 - Math.sqrt(26 * 26 - 49);
    expect(cast(cylinder, [15, 7, 40], [0, 0, -1])).toBeCloseTo(straight, 6);
    expect(cast(cylinder, [-4, 7, 40], [Math.sin(Math.PI / 6), 0, -Math.cos(Math.PI / 6)])).toBeCloseTo(straight / Math.cos(Math.PI / 6), 6);
  });

  it("saddle of 50 mm: down at (6, 11) mm from 20 mm up, 20 − (36 − 121) / 100", () => {
    expect(cast(makeSurface("saddle", 50), [6, 11, 20], [0, 0, -1])).toBeCloseTo(20.85, 6);
  });
});

describe.each(SURFACE_NAMES)("%s", (name) => {
  const surface = makeSurface(name, 45);
  const places: [number, number][] = [[0, 0], [3, -4], [-9, 6], [14, 2.5], [-17, -7]];

  it("a ray along the normal from 25 mm out, and one 40° off it, come back to the chart's own point within 1e-6 mm", () => {
    for (const [u, v] of places) {
      const p = surface.pointAt(u, v), n = surface.normalAt(u, v);
      expect(norm(n)).toBeCloseTo(1, 12);
      expect(cast(surface, add(p, scale(n, 25)), scale(n, -1))).toBeCloseTo(25, 6);
      const slanted = unit(add(scale(n, Math.cos(0.7)), scale(unit([n[2], 0, -n[0]]), Math.sin(0.7))));
      expect(cast(surface, add(p, scale(slanted, 8)), scale(slanted, -1))).toBeCloseTo(8, 6);
    }
  });

  it("the normal stands square to both chart directions, within 1e-5", () => {
    for (const [u, v] of places) {
      const n = surface.normalAt(u, v), e = 1e-4;
      expect(Math.abs(dot(n, unit(sub(surface.pointAt(u + e, v), surface.pointAt(u - e, v)))))).toBeLessThan(1e-5);
      expect(Math.abs(dot(n, unit(sub(surface.pointAt(u, v + e), surface.pointAt(u, v - e)))))).toBeLessThan(1e-5);
    }
  });
});

describe("mandibleAngle", () => {
  it("its ridge turns by 60° between its legs and falls off faster on the outer border (15 mm) than inside (40 mm)", () => {
    const surface = makeSurface("mandibleAngle", 45), e = 0.01;
    const heading = (u: number): number => {
      const d = sub(surface.pointAt(u + e, 0), surface.pointAt(u - e, 0));
      return Math.atan2(d[1], d[0]) * 180 / Math.PI;
    };
    expect(heading(-20) - heading(20)).toBeCloseTo(60, 3);
    // circle: drop = r (1 − cos(v / r))
    expect(surface.pointAt(0, 5)[2]).toBeCloseTo(-15 * (1 - Math.cos(5 / 15)), 9);
    expect(surface.pointAt(0, -5)[2]).toBeCloseTo(-40 * (1 - Math.cos(5 / 40)), 9);
  });
});
