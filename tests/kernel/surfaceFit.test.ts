import { describe, expect, it } from "vitest";
import { fitSurface } from "../../lib/kernel/surfaceFit.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

const cubic = (x: number, y: number): number => 4 + 0.3 * x - 0.7 * y + 0.02 * x * x - 0.011 * x * y + 0.006 * y * y * y - 0.004 * x * x * y;

function points(count: number, heightAt: (x: number, y: number) => number): [Float64Array, Float64Array, Float64Array] {
  const random = makeRandom(11, "surface"), x = Float64Array.from({ length: count }, () => 20 * random.next() + 100), y = Float64Array.from({ length: count }, () => 9 * random.next() - 3);
  return [x, y, x.map((at, i) => heightAt(at, y[i]!))];
}

describe("a smooth surface through points", () => {
  it("is a polynomial of degree 3 itself, to 1e-5, also 4 mm beyond its 60 points (seed 11)", () => {
    const fit = fitSurface(...points(60, (x, y) => cubic(x - 110, y)))!;
    expect(fit.rms).toBeLessThan(1e-5);
    for (const [x, y] of [[105.5, 1.5], [124, 7], [96, -5]] as const) expect(Math.abs(fit.heightAt(x, y) - cubic(x - 110, y))).toBeLessThan(1e-3);
  });

  it("lies within 0.02 mm of a sphere's cap of radius 45 mm, 22 mm long", () => {
    const fit = fitSurface(...points(200, (x, y) => Math.sqrt(45 * 45 - (x - 110) ** 2 - y * y)))!;
    expect(fit.rms).toBeLessThan(0.02);
  });

  it("through 12 points on one line is level across it and does not break", () => {
    const x = Float64Array.from({ length: 12 }, (_, i) => i), fit = fitSurface(x, x.map(() => 2), x.map((at) => 0.5 * at))!;
    expect(fit.heightAt(5.5, 2)).toBeCloseTo(2.75, 4);
  });

  it("is none through 9 points, nor through 11 on one spot", () => {
    expect(fitSurface(...points(9, cubic))).toBeNull();
    const same = new Float64Array(11).fill(3);
    expect(fitSurface(same, same, same)).toBeNull();
  });
});
