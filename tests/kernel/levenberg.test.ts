import { describe, expect, it } from "vitest";
import { leastSquares } from "../../lib/kernel/levenberg.ts";
import { nistMisra1a } from "../support/nistMisra.ts";

/** y = b1 (1 − exp(−b2 x)) through the points. */
const misra = {
  size: 2,
  cost: ([b1, b2]: readonly number[]): number => nistMisra1a.points.reduce((sum, [y, x]) => sum + (y - b1! * (1 - Math.exp(-b2! * x))) ** 2, 0),
  linearise: ([b1, b2]: readonly number[], normal: Float64Array, gradient: Float64Array): number => nistMisra1a.points.reduce((sum, [y, x]) => {
    const e = Math.exp(-b2! * x), slopes = [-(1 - e), -b1! * x * e], r = y - b1! * (1 - e);
    for (let i = 0; i < 2; i++) {
      gradient[i]! += slopes[i]! * r;
      for (let j = 0; j <= i; j++) normal[2 * i + j]! += slopes[i]! * slopes[j]!;
    }
    return sum + r * r;
  }, 0),
  moved: (b: readonly number[], step: Float64Array): readonly number[] => b.map((v, i) => v + step[i]!),
};

describe("leastSquares", () => {
  it.each([[[500, 0.0001]], [[250, 0.0005]]])("from both of NIST's starts %j the certified values of Misra1a come out to 8 digits", (start) => {
    const { state, cost, isSettled } = leastSquares<readonly number[]>(misra, start);
    expect(isSettled).toBe(true);
    expect(state[0]! / nistMisra1a.b1 - 1).toBeCloseTo(0, 8);
    expect(state[1]! / nistMisra1a.b2 - 1).toBeCloseTo(0, 8);
    expect(cost / nistMisra1a.sumOfSquares - 1).toBeCloseTo(0, 8);
  });

  it("leaves a number that nothing depends on where it is", () => {
    const { state } = leastSquares<readonly number[]>({ ...misra, size: 3, moved: (b, step) => b.map((v, i) => v + step[i]!), linearise: (b, normal, gradient) => {
      const small = new Float64Array(4), g = new Float64Array(2), cost = misra.linearise(b, small, g);
      normal.set([small[0]!, 0, 0, small[2]!, small[3]!, 0, 0, 0, 0]);
      gradient.set([g[0]!, g[1]!, 0]);
      return cost;
    } }, [250, 0.0005, 7]);
    expect(state[2]).toBe(7);
    expect(state[0]).toBeCloseTo(nistMisra1a.b1, 5);
  });
});
