import { describe, expect, it } from "vitest";
import type { FrameScene } from "../../lib/camera/scene.ts";
import { silhouetteMm, type Station } from "../../lib/camera/station.ts";
import { beadWidth, edgeLevel, widthOf, type Width } from "../../lib/camera/width.ts";

describe("the width behind a silhouette", () => {
  it.each(["stadium", "segment"] as const)("%s: gives back every width of a grid of widths, heights and leans", (shape) => {
    for (const w of [0.4, 0.8, 1.2, 2.5]) for (const h of [0.2, 0.4, 0.7]) for (const lean of [-1.7, -0.5, 0, 0.3, 1, 2]) {
      if (shape === "stadium" && w < h) continue;
      const [right, left] = silhouetteMm(shape, w, h, lean);
      expect([shape, w, h, lean, widthOf(shape, left - right, h, lean)]).toEqual([shape, w, h, lean, expect.closeTo(w, 9)]);
    }
  });
});

const STATION = { heightMm: 0.6, uHeightMm: 0.03, lean: 0.75, cos: 0.8, plannedWidthMm: 1.2 } as Station;

describe("a bead's width from its line", () => {
  const line = { leftMm: 0.675, rightMm: -0.675, softMm: 0.1, noise: 0 };
  type Line = Parameters<typeof beadWidth>[2];

  it("stadium 0.6 mm high, seen 1.35 mm across at cos θ 0.8: w = 1.35 − 0.6 / 0.8 + 0.6 = 1.2", () => {
    expect(beadWidth("stadium", STATION, line as Line, 0.05).widthMm).toBeCloseTo(1.2, 9);
  });

  it("softer edges, more noise, coarser cells and a less sure height make it less sure", () => {
    const u = (change: Partial<typeof line>, cellMm = 0.05, uHeightMm = 0.03): number => beadWidth("stadium", { ...STATION, uHeightMm }, { ...line, ...change } as Line, cellMm).uWidthMm;
    for (const more of [u({ softMm: 0.2 }), u({ noise: 0.2 }), u({}, 0.1), u({}, 0.05, 0.1)]) expect(more).toBeGreaterThan(u({}));
  });

  it("is not known where an edge was not seen", () => {
    expect(beadWidth("stadium", STATION, { ...line, leftMm: NaN } as Line, 0.05)).toEqual({ widthMm: NaN, uWidthMm: NaN });
  });
});

describe("where edges are drawn, learned on stations that the profiler calls good", () => {
  const N = 20;
  /** Beads of 1.2 mm by the profiler that appear wider by `off`. */
  function level(off: readonly number[], change: Partial<Record<"good" | "laid", number[]>> = {}): Width | null {
    const n = off.length, stations = off.map((_, index) => ({ ...STATION, index }));
    const scene = { good: Uint8Array.from(change.good ?? Array.from({ length: n }, () => 1)), laid: Uint8Array.from(change.laid ?? Array.from({ length: n }, () => 1)), widthMm: new Float32Array(n).fill(1.25) } as unknown as FrameScene;
    return edgeLevel(scene, stations, off.map((d) => ({ widthMm: 1.25 + d, uWidthMm: 0.02 })));
  }
  const alternating = (n: number, middle: number, by: number): number[] => Array.from({ length: n }, (_, i) => middle + (i % 2 === 0 ? by : -by));

  it("a common offset is learned; with a scatter of ± 0.02 by 1.2533 · 1.4826 · 0.02 / √20, a median's standard error", () => {
    expect(level(alternating(N, 0.06, 0))).toEqual({ widthMm: expect.closeTo(0.06, 9), uWidthMm: expect.closeTo(0, 9) });
    expect(level(alternating(N, 0.06, 0.02))).toEqual({ widthMm: expect.closeTo(0.06, 9), uWidthMm: expect.closeTo(1.2533 * 1.4826 * 0.02 / Math.sqrt(20), 9) });
  });

  it("fewer than twelve known teach nothing: 0, and unsure by 8 hundredths of the planned width; twelve do", () => {
    expect(level(alternating(11, 0.06, 0))).toEqual({ widthMm: 0, uWidthMm: expect.closeTo(0.096, 9) });
    expect(level(alternating(12, 0.06, 0))?.widthMm).toBeCloseTo(0.06, 9);
  });

  it("only stations that are good, laid in this attempt and whose width was seen count", () => {
    const off = alternating(24, 0.06, 0).map((d, i) => (i % 2 === 0 ? d : 0.9)), every = Array.from({ length: 24 }, (_, i) => (i + 1) % 2);
    expect(level(off, { good: every })?.widthMm).toBeCloseTo(0.06, 9);
    expect(level(off, { laid: every.map((k) => 2 - k) })?.widthMm).toBeCloseTo(0.06, 9);
    expect(level(off.map((d) => (d === 0.9 ? NaN : d)))?.widthMm).toBeCloseTo(0.06, 9);
  });

  it("what separates is not the beads where they seem a quarter of a width off (0.3 mm), or scatter by 0.15 of one (0.18 mm)", () => {
    expect([level(alternating(N, 0.299, 0)), level(alternating(N, -0.299, 0))]).not.toContain(null);
    expect([level(alternating(N, 0.301, 0)), level(alternating(N, -0.301, 0))]).toEqual([null, null]);
    expect(level(alternating(N, 0, 0.121))).not.toBeNull(); // 1.4826 · 0.121 = 0.1794
    expect(level(alternating(N, 0, 0.122))).toBeNull();
  });
});
