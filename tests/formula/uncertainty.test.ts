import { describe, expect, it } from "vitest";
import { combine, coverageFactor, expanded, meanWithU95 } from "../../lib/formula/uncertainty.ts";
import { MAVRO } from "../support/nist.ts";

describe("Student's t", () => {
  it("gives 12.71 for 1, 2.78 for 4, 2.09 for 19 and 1.96 for endless degrees of freedom at 95 % (JCGM 100, table G.2), NaN below 1", () => {
    expect(coverageFactor(0.95, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959963984540054, 7);
    expect([1, 4, 19, Number.POSITIVE_INFINITY].map((dof) => Number(coverageFactor(0.95, dof).toFixed(2)))).toEqual([12.71, 2.78, 2.09, 1.96]);
    expect(coverageFactor(0.95, 0)).toBeNaN();
  });

  it("the mean of NIST StRD Mavro is 2.001856 ± 0.000122 (s 0.000429123454003053 certified; t 2.00958 of 49, derived)", () => {
    const found = meanWithU95(MAVRO);
    expect([found.n, found.mean.toFixed(6), found.u95.toFixed(6)]).toEqual([50, "2.001856", "0.000122"]);
    expect(found.sd / 0.000429123454003053).toBeCloseTo(1, 12);
  });

  it("one value has a mean and nothing about how sure it is", () => {
    expect(meanWithU95([0.97])).toEqual({ n: 1, mean: 0.97, sd: Number.NaN, u95: Number.NaN });
  });
});

describe("JCGM 100, H.1, the end gauge", () => {
  const lengthNm = 50.000623e6;
  /** Standard 25 nm of 18; difference 9.7 nm of 25.6; expansion coefficients and temperatures: degrees of freedom as H.1.6 gives them. */
  const contributions = [{ u: 25, dof: 18 }, { u: 9.7, dof: 25.6 }, { u: lengthNm * 0.1 * 0.58e-6, dof: 50 }, { u: lengthNm * 11.5e-6 * 0.029, dof: 2 }];

  it("combines 25, 9.7, 2.9 and 16.68 nm to 31.71 nm with 16.66 effective degrees of freedom", () => {
    expect(contributions.map(({ u }) => Number(u.toFixed(2)))).toEqual([25, 9.7, 2.9, 16.68]);
    const found = combine(contributions);
    expect([Number(found.u.toFixed(2)), Number(found.dof.toFixed(1))]).toEqual([31.71, 16.7]);
  });

  it("is expanded with k 2.12 to 67 or 68 nm for 95 % and with k 2.92 to 93 nm for 99 %", () => {
    const [of95, of99] = [expanded(combine(contributions), 0.95), expanded(combine(contributions), 0.99)];
    expect([of95.k.toFixed(2), of99.k.toFixed(2), Math.round(of99.u)]).toEqual(["2.12", "2.92", 93]);
    expect(Math.round(of95.k * Math.ceil(combine(contributions).u))).toBe(68); // the Guide multiplies the rounded 32 nm
  });

  it("a contribution that is exact takes nothing from the degrees of freedom: 3 and 4 of 10 give 5 of 24.4", () => {
    const found = combine([{ u: 3, dof: Number.POSITIVE_INFINITY }, { u: 4, dof: 10 }]);
    expect([found.u, Number(found.dof.toFixed(2))]).toEqual([5, 24.41]);
  });
});
