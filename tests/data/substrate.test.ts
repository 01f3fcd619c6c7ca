/** 390 measured places of a substrate under a planned standoff of 150 µm (MIT; check value of the data's own description). */
import { describe, expect, it } from "vitest";
import { robustPlane, type PlaneFit } from "../../lib/kernel/planeFit.ts";
import { isRecorded, readRows, titleOf } from "./recordings.ts";

const PATH = "diw-filament/example-run/grasHeights_T25_H150_FDTS_film_vF1.5_vSfast_171024165320.csv";

describe.skipIf(!isRecorded(PATH))(titleOf("a measured substrate", PATH), () => {
  const rows = isRecorded(PATH) ? readRows(PATH) : [];
  const [x, y, z] = ["x", "y", "position"].map((key) => Float64Array.from(rows, (r) => Number(r[key]))) as [Float64Array, Float64Array, Float64Array];
  const rms = (p: PlaneFit): number => Math.sqrt(z.reduce((sum, v, i) => sum + (v - p.a - p.b * x[i]! - p.c * y[i]!) ** 2, 0) / z.length);

  it("of 390 places has the least-squares plane −116.77930 − 0.41714722 x + 0.11891223 y (µm over mm), rms 9.67 µm", () => {
    // a noise of 1e6 µm makes every weight 1: least squares
    const plane = robustPlane(x, y, z, z.length, 1e6) as PlaneFit;
    expect([rows.length, plane.a, plane.b, plane.c]).toEqual([390, expect.closeTo(-116.7793, 4), expect.closeTo(-0.41714722, 6), expect.closeTo(0.11891223, 6)]);
    expect(rms(plane)).toBeCloseTo(9.67, 2);
  });

  it("the robust plane lies within 5 µm of it over the whole field: no handful of places leads it astray", () => {
    const least = robustPlane(x, y, z, z.length, 1e6) as PlaneFit, robust = robustPlane(x, y, z, z.length, 5) as PlaneFit;
    for (let i = 0; i < z.length; i++) expect(Math.abs(robust.a - least.a + (robust.b - least.b) * x[i]! + (robust.c - least.c) * y[i]!)).toBeLessThan(5);
  });

  it("lies 117 µm from where the plan says, of a standoff of 150 µm: a planned support would cost most of the height", () => {
    expect(Math.abs((robustPlane(x, y, z, z.length, 5) as PlaneFit).a)).toBeGreaterThan(100);
  });
});
