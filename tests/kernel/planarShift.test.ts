import { describe, expect, it } from "vitest";
import { addComponent, makePlanarSums, planarShift } from "../../lib/kernel/planarShift.ts";

const from = (directions: readonly number[], of: (x: number, y: number) => number): readonly [number, number] => {
  const sums = makePlanarSums();
  for (const angle of directions) addComponent(sums, Math.cos(angle), Math.sin(angle), of(Math.cos(angle), Math.sin(angle)));
  return planarShift(sums);
};
const component = (x: number, y: number): number => 0.3 * x - 0.17 * y;

describe("one shift out of its components", () => {
  it("components along 0.2, 1.1 and 2.9 rad of (0.3, −0.17) give it back", () => {
    const [x, y] = from([0.2, 1.1, 2.9], component);
    expect(x).toBeCloseTo(0.3, 12);
    expect(y).toBeCloseTo(-0.17, 12);
  });

  it("components along 0.7 rad alone, to and fro, give the shift along it and nothing across", () => {
    const [x, y] = from([0.7, 0.7 + Math.PI, 0.7], component), along = component(Math.cos(0.7), Math.sin(0.7));
    expect(x).toBeCloseTo(along * Math.cos(0.7), 12);
    expect(y).toBeCloseTo(along * Math.sin(0.7), 12);
  });

  it("directions 5° apart do not tell what lies across them: noise of 0.01 there is not blown up, as the plain solution would to 0.11", () => {
    const [x, y] = from([0, 0.0873], (cx) => (cx === 1 ? 0.1 : 0.11));
    expect(Math.abs(y)).toBeLessThan(0.01);
    expect(x).toBeCloseTo(0.105, 3);
  });

  it("no component gives no shift", () => {
    expect(planarShift(makePlanarSums())).toEqual([0, 0]);
  });
});
