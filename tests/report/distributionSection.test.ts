import { describe, expect, it } from "vitest";
import type { ReportBlock, ReportSection, ReportTable } from "../../lib/model/report.ts";
import { distributionSection } from "../../lib/report/distributionSection.ts";
import { centredFallout } from "../../lib/formula/capability.ts";
import { falloutWords } from "../../lib/report/distributionWords.ts";
import { plannedBeads, type PlannedBead } from "../../lib/report/distributionValues.ts";
import { madeLimits, madeResult } from "../support/madeResult.ts";
import { madeStrandMean } from "../support/madeStrandMean.ts";
import { MAVRO, NORRIS } from "../support/nist.ts";

const beadOf = (strand: number, width: number, act?: readonly [number, number]): PlannedBead => {
  const limits = madeLimits(width, 0.5);
  return { layer: 1, strand, widthMm: width, heightMm: 0.5, limits: act === undefined ? limits : { ...limits, widthMm: { watch: [act[0] + 1, act[1] - 1], act } } };
};
const tables = ({ blocks }: ReportSection): ReportTable[] => blocks.flatMap((block) => (block.kind === "table" ? [block.table] : []));
const rowOf = (section: ReportSection, caption: string, name: string): readonly string[] => tables(section).find((table) => table.caption.includes(caption))?.rows.find(([first]) => first?.startsWith(name) ?? false) ?? [];
const textOf = ({ blocks }: ReportSection): string => blocks.flatMap((block: ReportBlock) => (block.kind === "words" || block.kind === "caution" || block.kind === "heading" ? [block.text] : [])).join("\n");

describe("the section on distributions", () => {
  const mavro = distributionSection({ means: MAVRO.map((areaRatio, i) => madeStrandMean(i + 1, { areaRatio, laidS: 30 * i + 11 })), beads: MAVRO.map((_, i) => beadOf(i + 1, 1)), beganS: null });

  it("of a run whose 50 strands have the area ratios of NIST StRD Mavro shows mean 2.001856 ± 0.000122, s 0.000429 and r₁ 0.938", () => {
    expect(mavro.id).toBe("distributions");
    expect(rowOf(mavro, "Strand means", "area ratio")).toEqual(["area ratio", "50 of 50", "2.001856 ± 0.000122", "0.000429", "0.938"]);
  });

  it.each([ // NIST StRD univariate: mean and s certified, r₁ from memory, recomputed
    ["NumAcc1", [10_000_001, 10_000_003, 10_000_002], /^10\s?000\s?002\.0* ± /u, 1, -0.5],
    ["NumAcc4", [10_000_000.2, ...Array.from({ length: 1000 }, (_, i) => 10_000_000.2 + (i % 2 === 0 ? -0.1 : 0.1))], /^10\s?000\s?000\.20* ± /u, 0.1, -0.999],
  ] as const)("of strands with the values of %s, which one pass loses, shows its mean, s and r₁", (_, values, mean, s, r1) => {
    const section = distributionSection({ means: values.map((areaRatio, i) => madeStrandMean(i + 1, { areaRatio, laidS: 30 * i + 11 })), beads: values.map((__, i) => beadOf(i + 1, 1)), beganS: null });
    const row = rowOf(section, "Strand means", "area ratio");
    expect(row[2]).toMatch(mean);
    expect(Number(row[3])).toBeCloseTo(s, 4);
    expect(Number(row[4]?.replace("−", "-"))).toBeCloseTo(r1, 3);
  });

  it("says that those strands resemble each other, and that stations along a strand are one value", () => {
    expect(textOf(mavro)).toContain("Strands laid one after another resemble each other in area ratio (r₁ 0.938): the ± of this mean is too small");
    expect(textOf(mavro)).toContain("One strand is one value. Stations along a strand are autocorrelated");
  });

  it("of a run with the widths of NIST 6.1.6 (mean 16, s 2, limits 8 and 20) shows Cp 1.00, Cpk 0.67, k 0.33 and 0.27 % outside", () => {
    const section = distributionSection({ means: [14, 18, 16].map((widthDevMm, i) => madeStrandMean(i + 1, { widthDevMm })), beads: [1, 2, 3].map((strand) => beadOf(strand, 40, [8, 20])), beganS: null });
    const [, limits, strands, cp, cpk, k, outside] = rowOf(section, "against the act limits", "width");
    expect([limits, strands, cp?.slice(0, 4), cpk?.slice(0, 4), k, outside]).toEqual(["8.000 to 20.000", "3", "1.00", "0.67", "0.33", "0.27\u00a0%"]);
    expect(textOf(section)).toContain("With three strands there are too few to tell whether width is distributed normally; 25 are needed.");
  });

  it("of a run laid at the minutes of NIST StRD Norris shows its slope 1.002117 ± 0.000873 (t 2.0322 of 34), intercept −0.262 ± 0.473, R² 0.999994 and calls the rise proven", () => {
    const section = distributionSection({ means: NORRIS.x.map((x, i) => madeStrandMean(i + 1, { areaRatio: NORRIS.y[i] as number, laidS: 60 * x })), beads: NORRIS.x.map((_, i) => beadOf(i + 1, 1)), beganS: 0 });
    expect(rowOf(section, "by the time of laying", "area ratio")).toEqual(["area ratio", "36", "1.002117 ± 0.000873", "−0.262 ± 0.473", "0.999994", "rises, proven"]);
    expect(textOf(section)).toContain("With the time of laying area ratio goes one way");
    expect(textOf(section)).toContain("Cp and Cpk of area ratio describe no steady state: it goes one way while the print goes on.");
  });

  it("strands that alternate are said to, and a centred Cp of 4/3 loses 63 in a million (NIST 6.1.6: 64 rounded)", () => {
    const section = distributionSection({ means: Array.from({ length: 16 }, (_, i) => madeStrandMean(i + 1, { offsetMm: (i % 2 === 0 ? 0.01 : -0.01) })), beads: [beadOf(1, 1)], beganS: null });
    expect(textOf(section)).toContain("Strands laid one after another alternate in offset (r₁ −0.938)");
    expect([1, 4 / 3, 2].map((cp) => falloutWords(centredFallout(cp)))).toEqual(["0.27\u00a0%", "63 in a million", "under one in a million"]);
  });

  it("counts minutes from the first strand laid where no begin is given: 3 and 5 minutes later the line starts at its first value", () => {
    const section = distributionSection({ means: [[600, 1], [780, 1.3], [900, 1.5]].map(([laidS, areaRatio], i) => madeStrandMean(i + 1, { areaRatio: areaRatio as number, laidS: laidS as number })), beads: [beadOf(1, 1)], beganS: null });
    expect(rowOf(section, "by the time of laying", "area ratio").slice(2, 4).map((each) => each.split(" ")[0])).toEqual([expect.stringMatching(/^0\.10*$/), expect.stringMatching(/^1\.0*$/)]);
  });
});

describe("what is not said", () => {
  const values = [0.98, 1.03];
  it("no Cp where beads of 1.0 and 1.2 mm have limits of their own: in width and offset, and area ratio keeps its own", () => {
    const section = distributionSection({ means: values.map((areaRatio, i) => madeStrandMean(i + 1, { areaRatio, widthDevMm: 0.01 * i, offsetMm: 0.02 * i, heightDevMm: 0.004 * i })), beads: [beadOf(1, 1), beadOf(2, 1.2)], beganS: null });
    expect(textOf(section)).toContain("No Cp and Cpk of width and offset: the act limits differ between the beads of this layer.");
    expect(rowOf(section, "against the act limits", "width").slice(1)).toEqual(["–", "2", "–", "–", "–", "–"]);
    expect(rowOf(section, "against the act limits", "area ratio")[3]).toMatch(/^2\.12 \(/); // (1.25 − 0.8)/(6·0.0353553), derived
  });

  it("no Cp, no ± and no s of one strand, and of what no strand showed a dash and no number", () => {
    const section = distributionSection({ means: [madeStrandMean(1, { areaRatio: 0.97 })], beads: [beadOf(1, 1)], beganS: null });
    expect(rowOf(section, "Strand means", "area ratio")).toEqual(["area ratio", "1 of 1", "0.970", "–", "–"]);
    expect(rowOf(section, "Strand means", "width")).toEqual(["width − planned, mm", "0 of 1", "–", "–", "–"]);
    expect(textOf(section)).toContain("fewer than two strands were measured");
    expect(textOf(section)).toContain("Nothing is said of a trend");
  });

  it("a slope within its uncertainty is not proven", () => {
    const section = distributionSection({ means: [1.01, 0.99, 1.02, 0.98].map((areaRatio, i) => madeStrandMean(i + 1, { areaRatio, laidS: 60 * i })), beads: [beadOf(1, 1)], beganS: null });
    expect(rowOf(section, "by the time of laying", "area ratio").at(-1)).toBe("not proven");
  });

  it("36 strands that are far from normal are called so, and 36 at even places are not", () => {
    const of = (value: (i: number) => number): string => textOf(distributionSection({ means: Array.from({ length: 36 }, (_, i) => madeStrandMean(i + 1, { areaRatio: value(i) })), beads: [beadOf(1, 1)], beganS: null }));
    expect(of((i) => (i === 7 || i === 20 ? 2 : 1 + 0.01 * Math.sin(i)))).toContain("Area ratio is not distributed normally");
    expect(of((i) => 1 + 0.02 * Math.sin(i * 1.7) + 0.02 * Math.sin(i * 4.1) + 0.02 * Math.sin(i * 2.9))).toContain("Nothing speaks against a normal distribution of area ratio");
  });

  it("a result without strand means, and one without any measured strand, say so in one sentence and draw nothing", () => {
    expect(distributionSection({ means: [], beads: [], beganS: null }).blocks.map((block) => block.kind)).toEqual(["words"]);
    expect(textOf(distributionSection({ means: [madeStrandMean(1)], beads: [beadOf(1, 1)], beganS: null }))).toBe("No strand was measured, so nothing can be said of how strands are distributed.");
  });
});

describe("its drawing", () => {
  it("shades the act band from 8 to 20, has bars over 14, 16 and 18, and says in words what it shows", () => {
    const section = distributionSection({ means: [14, 18, 16].map((widthDevMm, i) => madeStrandMean(i + 1, { widthDevMm })), beads: [beadOf(1, 40, [8, 20])], beganS: null });
    const drawing = section.blocks.flatMap((block) => (block.kind === "drawing" ? [block.drawing] : []))[0];
    expect(drawing?.alt).toContain("width − planned, mm: three strands from 14.000 to 18.000, mean 16.000");
    const shaded = drawing?.marks.flatMap((mark) => (mark.kind === "path" && mark.fill === "band" ? [mark.points] : []))[0] as readonly number[];
    const perUnit = ((shaded[2] as number) - (shaded[0] as number)) / 12;
    const bars = drawing?.marks.flatMap((mark) => (mark.kind === "path" && mark.fill === "bone" ? [mark.points] : [])) as readonly (readonly number[])[];
    expect(((bars[0]?.[0] as number) - (shaded[0] as number)) / perUnit + 8).toBeCloseTo(14, 9);
    expect(((bars.at(-1)?.[2] as number) - (shaded[0] as number)) / perUnit + 8).toBeCloseTo(18, 9);
  });

  it("beads come from stations once a strand and size: two layers of three strands are six", () => {
    expect(plannedBeads(madeResult({ layers: 2, strands: 3, lengthMm: 4, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [] }).stations)).toHaveLength(6);
  });
});
