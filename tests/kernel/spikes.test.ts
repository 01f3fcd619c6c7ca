import { describe, expect, it } from "vitest";
import { noiseFromDifferences, rejectSpikes } from "../../lib/kernel/spikes.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf } from "../support/numbers.ts";

const OPTIONS = { jump: 0.2, longest: 2, reach: 4 };

/** What is left of a line (null: missing or taken out), and how many were taken. */
function cleaned(heights: readonly (number | null)[], options = OPTIONS): { left: (number | null)[]; taken: number } {
  const z = Float64Array.from(heights, (v) => v ?? Number.NaN);
  const taken = rejectSpikes(z, z.length, options);
  return { left: Array.from(z, (v) => (Number.isNaN(v) ? null : v)), taken };
}

describe("rejectSpikes (jump 0.2 mm, at most 2 samples, 4 missing ones between)", () => {
  it.each([
    ["one sample 1.5 mm up", [0, 0.01, 1.5, 0.02, 0], [0, 0.01, null, 0.02, 0], 1],
    ["one sample 1.3 mm down", [0, 0.01, -1.3, 0.02, 0], [0, 0.01, null, 0.02, 0], 1],
    ["two samples, not equally high", [0, 0.01, 0.9, 1.4, 0.02, 0.03], [0, 0.01, null, null, 0.02, 0.03], 2],
    ["two pits apart", [0, -0.4, 0.01, 0.02, -0.7, 0.03], [0, null, 0.01, 0.02, null, 0.03], 2],
    ["a spike behind a hole of 3", [0, 0.01, null, null, null, 1.1, 0.03, 0.02], [0, 0.01, null, null, null, null, 0.03, 0.02], 1],
    ["a spike on a flank that rises 0.15 mm a sample", [0, 0.15, 0.3, 1.4, 0.6, 0.75], [0, 0.15, 0.3, null, 0.6, 0.75], 1],
    ["a first sample that stands alone", [1.2, 0.01, 0.02, 0, 0.01], [null, 0.01, 0.02, 0, 0.01], 1],
  ] as const)("takes out %s", (_what, heights, left, taken) => {
    expect(cleaned(heights)).toEqual({ left, taken });
  });

  it.each([
    ["a step of 0.5 mm", [0, 0.01, 0.5, 0.51, 0.5, 0.52]],
    ["a step down of 0.9 mm", [0.9, 0.91, 0, 0.01, 0.02, 0]],
    ["a plateau of 3 samples", [0, 0.01, 0.5, 0.52, 0.51, 0.02, 0]],
    ["a steep flank, 0.19 mm a sample", [0, 0.19, 0.38, 0.57, 0.76]],
    ["a steep flank over the jump, 0.3 mm a sample", [0, 0.3, 0.6, 0.9, 1.2, 1.5]],
    ["a rise that ends the line", [0, 0.01, 0.02, 0.6]],
    ["an excursion just under the jump", [0, 0, 0.1999, 0, 0]],
  ] as const)("leaves %s as it is", (_what, heights) => {
    expect(cleaned(heights)).toEqual({ left: [...heights], taken: 0 });
  });

  it("an excursion of 0.2001 mm goes, one of exactly 0.2 mm stays", () => {
    expect(cleaned([0, 0, 0.2001, 0, 0]).taken).toBe(1);
    expect(cleaned([0, 0, 0.2, 0, 0]).taken).toBe(0);
  });

  it("finds every one of 60 spikes of ± 1.5 mm among 3000 samples with σ 0.03 mm, and takes out nothing else (seed 9)", () => {
    const random = makeRandom(9, "spikes");
    const z = Float64Array.from({ length: 3000 }, (_, i) => 0.4 * Math.sin(i / 90) + 0.03 * random.gauss());
    const spiked: number[] = [];
    for (let i = 20; i < 3000; i += 50) { z[i] = z[i]! + (random.next() < 0.5 ? -1.5 : 1.5); spiked.push(i); }
    expect(rejectSpikes(z, 3000, { jump: 0.25, longest: 2, reach: 4 })).toBe(spiked.length);
    expect(Array.from(z).flatMap((v, i) => (Number.isNaN(v) ? [i] : []))).toEqual(spiked);
  });
});

describe("noiseFromDifferences", () => {
  const scratch = new Float64Array(512);
  /** Estimates over 40 lines of a curved outline with steps, slopes and the given noise. */
  const estimates = (sigma: number, stride: number): number[] => Array.from({ length: 40 }, (_, k) => {
    const random = makeRandom(100 + k, "noise");
    const z = Float64Array.from({ length: 900 }, (_v, i) => (i > 300 && i < 340 ? 0.5 : 0) + 1e-5 * i * i + 0.02 * i + sigma * random.gauss());
    return noiseFromDifferences(z, 900, stride, scratch);
  });

  it.each([[0.01, 1], [0.03, 3]])("σ %d mm, every place %d, is found to 3 % on average over steps, slopes and curvature (seeds 100–139)", (sigma, stride) => {
    expect(Math.abs(meanOf(estimates(sigma, stride)) / sigma - 1)).toBeLessThan(0.03);
  });

  it("with 15 % of spikes it is at most 35 % too large, and a missing sample only costs its places", () => {
    const random = makeRandom(7, "spiked noise");
    const z = Float64Array.from({ length: 800 }, (_, i) => 0.02 * random.gauss() + (i % 27 === 5 ? 1.4 : 0));
    z[100] = Number.NaN;
    const found = noiseFromDifferences(z, 800, 1, scratch);
    expect(found / 0.02).toBeGreaterThan(0.95);
    expect(found / 0.02).toBeLessThan(1.35);
  });

  it("19 places say nothing, 20 do", () => {
    const z = Float64Array.from({ length: 40 }, (_, i) => (i * i) % 7);
    expect(noiseFromDifferences(z, 22, 1, scratch)).toBeNaN();
    expect(noiseFromDifferences(z, 23, 1, scratch)).toBeGreaterThan(0);
  });
});
