import { describe, expect, it } from "vitest";
import { silhouetteMm } from "../../lib/camera/station.ts";
import type { BeadShape } from "../../lib/model/job.ts";

const near = (v: number) => expect.closeTo(v, 9);

/** A bead's section as points (lateral, height over its base), from the shapes' definitions: round flanks, or a circle on its chord. */
function sectionOf(shape: BeadShape, w: number, h: number): [number, number][] {
  const points: [number, number][] = [], steps = 40_000;
  const r = shape === "stadium" ? h / 2 : h > w / 2 ? w / 2 : (w * w / 4 + h * h) / (2 * h), half = shape === "stadium" ? w / 2 - r : 0;
  for (let i = 0; i < steps; i++) {
    const a = 2 * Math.PI * i / steps, n = h - r + r * Math.sin(a), b = r * Math.cos(a);
    if (n >= 0) points.push([b + (b > 0 ? half : -half), n]);
  }
  const chord = Math.sqrt(Math.max(0, r * r - (h - r) ** 2));
  return shape === "stadium" ? points : [...points, [-chord, 0], [chord, 0]];
}

/** Outermost of all points carried along the view's direction (lean, 1) into the plane half-way up. */
function carried(shape: BeadShape, w: number, h: number, lean: number): [number, number] {
  const at = sectionOf(shape, w, h).map(([b, n]) => b + (h / 2 - n) * lean);
  return [at.reduce((a, b) => Math.min(a, b)), at.reduce((a, b) => Math.max(a, b))];
}

describe("a bead's silhouette in the plane half-way up it", () => {
  it.each([[1.2, 0.6], [0.9, 0.9], [3, 0.4]])("stadium %d × %d mm: ± ((w − h)/2 + h/(2 cos θ)), the same on both sides of the normal", (w, h) => {
    for (const theta of [-1.1, -0.4, 0, 0.2, 0.7, 1.2]) {
      const edge = (w - h) / 2 + h / (2 * Math.cos(theta));
      expect(silhouetteMm("stadium", w, h, Math.tan(theta))).toEqual([near(-edge), near(edge)]);
    }
  });

  it("seen along the normal it is as wide as the bead, whatever the shape", () => {
    for (const [shape, w, h] of [["stadium", 1.2, 0.6], ["segment", 2, 0.5], ["segment", 1, 0.5], ["segment", 1, 0.7]] as const) {
      expect(silhouetteMm(shape, w, h, 0)).toEqual([near(-w / 2), near(w / 2)]);
    }
  });

  it("a segment 2 × 0.5 mm (R 1.25, centre 0.75 below its chord) ends at its chord until the view grazes its flank, sin θ = 0.6", () => {
    expect(silhouetteMm("segment", 2, 0.5, 0.5)).toEqual([near(-1 + 0.125), near(1 + 0.125)]); // 0.25 mm above the chord, carried by the lean
    // sin θ = 0.8, cos θ = 0.6: the far flank is grazed at (−0.75, 0.25), which lies in the plane; the near one ends at its chord
    expect(silhouetteMm("segment", 2, 0.5, 4 / 3)).toEqual([near(-0.75), near(1 + 1 / 3)]);
    expect(silhouetteMm("segment", 2, 0.5, -4 / 3)).toEqual([near(-1 - 1 / 3), near(0.75)]);
  });

  it.each([["stadium", 1.2, 0.6], ["segment", 2, 0.5], ["segment", 1, 0.5], ["segment", 1, 0.75], ["segment", 1.2, 0.8]] as const)("%s %d × %d mm against every point of its section", (shape, w, h) => {
    for (const lean of [-2, -0.8, -0.5, 0.1, 0.6, 1.2, 3]) {
      const [right, left] = silhouetteMm(shape, w, h, lean), [low, high] = carried(shape, w, h, lean);
      expect(Math.abs(right - low)).toBeLessThan(1e-6);
      expect(Math.abs(left - high)).toBeLessThan(1e-6);
    }
  });
});
