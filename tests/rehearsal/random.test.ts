import { describe, expect, it } from "vitest";
import { makeRandom, smoothNoise } from "../../lib/rehearsal/random.ts";

describe("makeRandom", () => {
  it("gives 40 000 normal numbers (seed 11) with mean 0 ± 0.02, variance 1 ± 0.03, and 4.55 % ± 0.4 % beyond two standard deviations", () => {
    const random = makeRandom(11, "test");
    let sum = 0, squares = 0, beyond = 0;
    for (let i = 0; i < 40000; i++) {
      const x = random.gauss();
      sum += x;
      squares += x * x;
      if (Math.abs(x) > 2) beyond++;
    }
    expect(Math.abs(sum / 40000)).toBeLessThan(0.02);
    expect(Math.abs(squares / 40000 - 1)).toBeLessThan(0.03);
    expect(Math.abs(beyond / 40000 - 0.0455)).toBeLessThan(0.004); // normal distribution, any table
  });

  it("gives the same numbers for the same seed and stream, others for another seed, another stream, and a seed that differs by 2^32", () => {
    const five = (seed: number, stream: string): number[] => {
      const random = makeRandom(seed, stream);
      return [0, 1, 2, 3, 4].map(() => random.next());
    };
    expect(five(7, "a")).toEqual(five(7, "a"));
    expect(five(7, "a")).not.toEqual(five(8, "a"));
    expect(five(7, "a")).not.toEqual(five(7, "b"));
    expect(five(7, "a")).not.toEqual(five(7 + 4294967296, "a"));
  });
});

describe("smoothNoise", () => {
  it("has root mean square 1 ± 0.05 over 4 000 mm (seed 3, scale 4 mm) and moves by less than 0.03 over 0.005 mm", () => {
    const noise = smoothNoise(makeRandom(3, "smooth"), 4);
    let squares = 0, step = 0;
    for (let i = 0; i < 40000; i++) {
      squares += noise(0.1 * i) ** 2;
      step = Math.max(step, Math.abs(noise(0.1 * i + 0.005) - noise(0.1 * i)));
    }
    expect(Math.abs(Math.sqrt(squares / 40000) - 1)).toBeLessThan(0.05);
    expect(step).toBeLessThan(0.03);
  });
});
