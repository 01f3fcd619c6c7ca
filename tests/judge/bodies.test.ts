import { describe, expect, it } from "vitest";
import { judgeBodies } from "../../lib/judge/bodies.ts";
import type { Body } from "../../lib/model/body.ts";
import type { Point, StretchFinding } from "../../lib/model/result.ts";

const body = (change: Partial<Body> = {}): Body => ({
  layer: 1, areaMm2: 2.4, volumeMm3: 0.9, lengthMm: 2.7, position: [10, 3, 0.1], outline: [[9, 3, 0.3], [11, 3, 0.2], [10, 2, 0.25]], ...change,
});
const gap = (change: Partial<StretchFinding> = {}): StretchFinding => ({
  kind: "gap", severity: "act", proven: true, layer: 1, strand: 2, fromMm: 4, toMm: 6.5, lengthMm: 2.5, position: [5, 0, 0.5], worst: { metric: "areaRatio", value: 0.01, limit: 0.25 }, ...change,
});
/** Places along the gap, at (x, 0, 0.25). */
const along = (...xs: number[]) => (): readonly Point[] => xs.map((x): Point => [x, 0, 0.25]);

describe("bodies off the path", () => {
  it("is strayMaterial where there is no gap: act, proven, with its area against the least one", () => {
    expect(judgeBodies([body()], [], 0.5, along())).toEqual([{
      kind: "strayMaterial", severity: "act", proven: true, layer: 1, areaMm2: 2.4, volumeMm3: 0.9, lengthMm: 2.7, position: [10, 3, 0.1], worst: { metric: "areaMm2", value: 2.4, limit: 0.5 },
    }]);
  });

  it("is a detachedStrand where the nearest of its outline lies 5 mm or less from a place along a gap of its layer; 5.001 mm is stray", () => {
    // of the outline (10, 2, 0.25) is nearest: √(d² + 2²) from (10 − d, 0, 0.25)
    const kindAt = (mm: number): string => judgeBodies([body({ outline: [[10, 2, 0.25], [14, 3, 0.2]] })], [gap()], 0.5, along(-40, 10 - Math.sqrt(mm * mm - 4)))[0]!.kind;
    expect([kindAt(4.999), kindAt(5 - 1e-9), kindAt(5.001)]).toEqual(["detachedStrand", "detachedStrand", "strayMaterial"]);
  });

  it("a gap of another layer detaches nothing", () => {
    expect(judgeBodies([body({ layer: 2 })], [gap()], 0.5, along(10))[0]!.kind).toBe("strayMaterial");
  });

  it("each body is judged by itself: one near the gap, one 20 mm away", () => {
    const far = body({ position: [30, 3, 0], outline: [[30, 2, 0.25]] });
    expect(judgeBodies([far, body()], [gap()], 0.5, along(9, 10, 11)).map((f) => f.kind)).toEqual(["strayMaterial", "detachedStrand"]);
  });
});
