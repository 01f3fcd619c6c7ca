import { describe, expect, it } from "vitest";
import { layerPaths } from "../../lib/rehearsal/path.ts";
import { fillSettings } from "../../lib/rehearsal/settings.ts";

describe("layerPaths", () => {
  it("open: 5 strands of 12 mm at 1.8 mm, every second one laid backwards", () => {
    const paths = layerPaths(fillSettings({ strands: 5, lengthMm: 12, pitchMm: 1.8 }), 1);
    expect(paths.map((path) => [...path.at(0), path.lengthMm])).toEqual([-3.6, -1.8, 0, 1.8, 3.6].map((v, i) => [expect.closeTo(i % 2 === 0 ? -6 : 6, 9), expect.closeTo(v, 9), 12]));
  });

  it("a serpentine of 4 legs of 9 mm at 1.4 mm is 4 · 9 + 3 · π · 0.7 mm long, continuous and of unit speed", () => {
    const [path] = layerPaths(fillSettings({ pattern: "serpentine", strands: 4, lengthMm: 9, pitchMm: 1.4, directionDeg: 40 }), 1);
    if (path === undefined) throw new RangeError("no path");
    expect(path.lengthMm).toBeCloseTo(36 + 3 * Math.PI * 0.7, 9);
    for (let q = 0; q < path.lengthMm; q += 0.01) {
      const [a, b] = [path.at(q), path.at(q + 0.001)];
      expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeCloseTo(0.001, 6);
    }
  });

  it("a ring of 25 mm closes", () => {
    const [path] = layerPaths(fillSettings({ pattern: "ring", lengthMm: 25 }), 1);
    expect(path?.at(25)).toEqual([...(path?.at(0) ?? [])].map((c) => expect.closeTo(c, 9)));
  });

  it.each([90, 60, -35])("layers turned by %i° stay inside the field of 5 strands of 14 mm and keep their pitch of 2.2 mm", (layerAngleDeg) => {
    const paths = layerPaths(fillSettings({ layers: 2, strands: 5, lengthMm: 14, pitchMm: 2.2, layerAngleDeg, alternate: false }), 2);
    expect(paths.length).toBeGreaterThan(2);
    for (const path of paths) {
      for (const [u, v] of [path.at(0), path.at(path.lengthMm)]) {
        expect(Math.abs(u)).toBeLessThanOrEqual(7);
        expect(Math.abs(v)).toBeLessThanOrEqual(2 * 2.2 + 0.5);
      }
      expect(path.lengthMm).toBeGreaterThanOrEqual(3);
    }
    const a = layerAngleDeg * Math.PI / 180, offs = paths.map((path) => -Math.sin(a) * path.at(0)[0] + Math.cos(a) * path.at(0)[1]);
    for (let i = 1; i < offs.length; i++) expect((offs[i] as number) - (offs[i - 1] as number)).toBeCloseTo(2.2, 9);
  });
});
