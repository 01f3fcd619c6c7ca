/** The page across runs over a real store, with runs made so that its numbers are published ones. */
import { rmSync } from "node:fs";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { AcrossSheet } from "../../lib/model/across.ts";
import type { Finding } from "../../lib/model/result.ts";
import { RULE_WORDS, type RunRule } from "../../lib/formula/runRules.ts";
import { readAcrossSheet } from "../../lib/server/across.ts";
import { closeSharedStore, sharedStore } from "../../lib/server/settings.ts";
import { writeStrandMeans } from "../../lib/store/strandMeans.ts";
import { readyResult } from "../../lib/store/writeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeStrandMean } from "../support/madeStrandMean.ts";
import { ofRatios, writeAcross, type MadeAcross } from "../support/madeAcross.ts";
import { CONSTANTS, CUSUM, EWMA, INDIVIDUALS, RULE_SEQUENCES } from "../support/nist.ts";
import { countedIds, tempFolder } from "../support/tempStore.ts";

let folder = "";
beforeEach(() => {
  folder = tempFolder();
  vi.stubEnv("ASLAID_DATA", folder);
});
afterEach(async () => {
  await closeSharedStore();
  vi.unstubAllEnvs();
  rmSync(folder, { recursive: true, force: true });
});

function put(runs: readonly MadeAcross[]): string[] {
  return writeAcross(sharedStore(), countedIds(), runs);
}
/** A column of the rows, in the order of time. */
const column = (sheet: AcrossSheet, i: number): (string | undefined)[] => sheet.rows.map(({ cells }) => cells[i]).toReversed();
const numbers = (texts: readonly (string | undefined)[]): number[] => texts.map((text) => Number(text?.replace("−", "-")));
const fact = (sheet: AcrossSheet, name: string): string | undefined => sheet.facts.find((each) => each.name === name)?.value;

describe("the page's numbers are published ones", () => {
  it("NIST 6.3.2.2, individuals: centre 50.81, mean moving range 1.8778, limits 55.80 and 45.82 (the handbook rounds d2 to 1.128), range limit 6.13", () => {
    put(ofRatios(INDIVIDUALS));
    const sheet = readAcrossSheet({});
    expect([fact(sheet, "centre line"), fact(sheet, "mean moving range")]).toEqual(["50.8100", "1.8778"]);
    const [lower, upper] = numbers(fact(sheet, "limits")?.split(" and ") ?? []), range = Number(fact(sheet, "limit of the moving range"));
    expect([lower?.toFixed(2), upper?.toFixed(2), range.toFixed(2)]).toEqual(["45.82", "55.80", "6.13"]);
    expect(sheet.sentence).toBe("Area ratio across ten runs: no run lies beyond its limits, and no pattern is met.");
  });

  it("NIST 6.3.2.4, EWMA: averages 50.60 to 51.99, limits 52.5884 and 47.4116, 51.8485 at the first run, none beyond", () => {
    put(ofRatios(EWMA.x));
    const sheet = readAcrossSheet({ chart: "ewma", centre: "50", sd: "2.0539", lambda: "0.3", width: "3" });
    numbers(column(sheet, 1)).forEach((value, i) => { expect(Math.abs(value - (EWMA.points[i] as number))).toBeLessThan(0.0051); });
    expect([fact(sheet, "limits in the long run"), fact(sheet, "upper limit at the first run")]).toEqual(["47.4116 and 52.5884", "51.8485"]);
    expect(sheet.sentence).toBe("Area ratio across 20 runs: the weighted average stays within its limits.");
  });

  it("NIST 6.3.2.3, CUSUM: target 325, k 0.3175, h 4.1959; its 20 pairs of sums, first signal at run 14", () => {
    put(ofRatios(CUSUM.x));
    const sheet = readAcrossSheet({ chart: "cusum", centre: "325", slack: "0.3175", decision: "4.1959" });
    expect([numbers(column(sheet, 1)), numbers(column(sheet, 2))]).toEqual([[...CUSUM.high], [...CUSUM.low]]);
    expect(sheet.sentence).toBe("Area ratio across 20 runs: the sum comes beyond its decision limit first at run 14, and at six more runs.");
    expect(sheet.rows.filter(({ said }) => said !== "").map(({ n }) => n).at(-1)).toBe(14);
  });

  it.each(RULE_SEQUENCES.map(({ z, first }) => ({ z, first, words: `${z.length} runs from z ${z.slice(0, 3).join(" ")}` })))("run rules, $words: first met $first, in words and on the chart by number", ({ z, first }) => {
    put(ofRatios(z));
    const sheet = readAcrossSheet({ centre: "0", sd: "1" }), met: Record<string, number> = {};
    for (const { n, said } of sheet.rows.toReversed()) for (const [, rule] of said.matchAll(/\b((?:N|WE)\d):/g)) met[rule as string] ??= n;
    expect(met).toEqual(first);
    expect(sheet.rules).toHaveLength(new Set(Object.keys(first).map((rule) => RULE_WORDS[rule as RunRule])).size);
    const drawn = new Set(sheet.drawing?.marks.flatMap((mark) => (mark.kind === "text" && mark.bold ? mark.text.split(" ") : [])));
    expect([...drawn].toSorted()).toEqual(Object.keys(first).flatMap((rule) => (rule.startsWith("N") ? [rule.slice(1)] : rule === "WE4" ? ["W4"] : [])).toSorted());
  });

  it("chart constants for n = 2 to 10 stand on the page: d2 1.12838 to 3.07751, D4 3.2665 (±0.002 by source) to 1.7770", () => {
    const { rows, columns } = readAcrossSheet({}).constants;
    expect(columns.map(({ title }) => title)).toEqual(["n", "d2", "d3", "c4", "A2", "D3", "D4"]);
    for (const [name, at, slack] of [["d2", 1, 6e-6], ["d3", 2, 6e-5], ["c4", 3, 6e-6], ["a2", 4, 6e-5], ["d3Limit", 5, 6e-5], ["d4Limit", 6, 1.1e-4]] as const) {
      rows.forEach((row, i) => { expect(Math.abs(Number(row[at]) - (CONSTANTS[name][i] as number))).toBeLessThan(slack); });
    }
  });
});

describe("which runs are charted", () => {
  it("by lot, nozzle and cell, alone and together, with the choices that there are", () => {
    put([{ lot: "A1", nozzleMm: 0.84, devices: ["profiler-2", "profiler-1"], means: [{ areaRatio: 0.97 }] }, { lot: "B2", nozzleMm: 0.6, means: [{ areaRatio: 1.01 }] }, { lot: "A1", nozzleMm: 0.6, means: [{ areaRatio: 1.04 }] }, { lot: null, means: [{ areaRatio: 0.99 }] }]);
    const charted = (parameters: Record<string, string>): number[] => numbers(column(readAcrossSheet(parameters), 0));
    expect(readAcrossSheet({}).choices).toEqual({ lots: ["A1", "B2"], nozzlesMm: [0.6, 0.84], cells: ["profiler-1", "profiler-1 + profiler-2"] });
    expect([charted({ lot: "A1" }), charted({ nozzle: "0.6" }), charted({ cell: "profiler-1 + profiler-2" }), charted({ lot: "A1", nozzle: "0.6" }), charted({ lot: "C3" })]).toEqual([[0.97, 1.04], [1.01, 1.04], [0.97], [1.04], []]);
    expect(readAcrossSheet({ lot: "C3" })).toMatchObject({ sentence: "Area ratio: no run with lot “C3” has a value to chart.", drawing: null, rows: [] });
  });

  it("rehearsals are told from prints of real cells, in words and by choice", () => {
    put([{ means: [{ areaRatio: 0.97 }], rehearsal: true }, { means: [{ areaRatio: 1.01 }] }, { means: [{ areaRatio: 1.04 }], rehearsal: true }]);
    expect(readAcrossSheet({}).cautions).toContain("Two runs of the 3 are rehearsals or demonstrations: no real cell printed them.");
    const [real, rehearsed] = [readAcrossSheet({ source: "real" }), readAcrossSheet({ source: "rehearsal" })];
    expect([numbers(column(real, 0)), numbers(column(rehearsed, 0)), real.sentence.slice(0, 42)]).toEqual([[1.01], [0.97, 1.04], "Area ratio across one run of real cells: n"]);
    expect(rehearsed.cautions).toContain("All of them are rehearsals or demonstrations: no real cell printed them.");
  });

  it("a run is the mean of its strand means, 0.9 and 1.1 and 1.06 are 1.02, and one that was not measured does not count in it", () => {
    put([{ means: [{ areaRatio: 0.9 }, { areaRatio: 1.1 }, { areaRatio: null }, { areaRatio: 1.06 }] }]);
    expect(column(readAcrossSheet({}), 0)).toEqual(["1.0200"]);
  });

  it("a recompute with 1.2 beside the run's own 0.98 is not charted, and neither are its findings", () => {
    const [runId = ""] = put([{ means: [{ areaRatio: 0.98 }] }]), { db } = sharedStore(), resultId = "recompute-1";
    const result = madeResult({ layers: 1, strands: 1, lengthMm: 20, spacingMm: 5, widthMm: 1, heightMm: 0.5, faults: [{ layer: 1, strand: 1, fromMm: 5, toMm: 10, kind: "gap" }] });
    readyResult({ run: { id: runId }, resultId, computedAt: "2026-03-01T08:00:00.000Z", acceptance: { minMeasuredFraction: 0.9, minInBandFraction: 0.8, maxActFindings: 1 }, result, recompute: { computedBy: "Dana Reyes", reason: "wider bands", jobText: "{}" } })(db);
    writeStrandMeans(db, resultId, [madeStrandMean(1, { areaRatio: 1.2 })]);
    const sheet = readAcrossSheet({});
    expect([column(sheet, 0), sheet.recurrence.sentence]).toEqual([["0.9800"], "No finding in one run."]);
  });

  it("results from before strand means, and runs without a measured strand, are left out and said; in-band length charts them all the same", () => {
    put([{ means: [{ areaRatio: 0.98 }], inBandFraction: 0.91 }, { inBandFraction: 0.92 }, { means: [{}], inBandFraction: 0.94 }, { means: [{ areaRatio: 1.01 }], inBandFraction: null }]);
    const sheet = readAcrossSheet({});
    expect(sheet.rows.map(({ n, name }) => [n, name])).toEqual([[2, "run 4"], [1, "run 1"]]);
    expect(sheet.cautions).toEqual(["Limits from two runs mean little: with fewer than 8 one run more may move them far.", "One run is left out: its result was made before strand means were kept.", "One run is left out: nothing was measured there."]);
    expect(numbers(column(readAcrossSheet({ metric: "inBand" }), 0))).toEqual([0.91, 0.92, 0.94]);
  });

  it("eight runs are not called few, and seven are", () => {
    put(ofRatios([0.97, 1.01, 1.02, 0.99, 0.98, 1.03, 1, 0.96]));
    expect(readAcrossSheet({}).cautions).toEqual([]);
    expect(readAcrossSheet({ lot: "A1", centre: "1" }).cautions[0]).toBe("The centre line was stated, and does not come from these runs.");
  });

  it("of 203 runs the newest 200 are charted, and three older ones are said to be left", () => {
    put(Array.from({ length: 203 }, (_, i) => ({ means: [{ areaRatio: 1 + 0.01 * Math.sin(i) }] })));
    const sheet = readAcrossSheet({});
    expect([sheet.rows.length, sheet.rows.at(-1)?.name, sheet.rows[0]?.n]).toEqual([200, "run 4", 200]);
    expect(sheet.cautions).toContain("Charted are the newest runs; three older runs are not.");
  });

  it("a jump from 1.026 to 1.074 is beyond the limit of the moving range: D4 (3.2665) times d2 (1.12838) times the stated 0.0125 is 0.0461", () => {
    put(ofRatios([1.05, 1.052, 1.049, 1.026, 1.074, 1.051]));
    const sheet = readAcrossSheet({ centre: "1.05", sd: "0.0125" });
    expect(fact(sheet, "limit of the moving range")).toBe("0.0461");
    expect(sheet.rules).toEqual(["Moving range beyond its limit: at run 5."]);
  });

  it("one run has no limits, and a fault in the form is said at its field with nothing charted", () => {
    put(ofRatios([0.98]));
    expect(readAcrossSheet({}).sentence).toBe("Area ratio across one run: no limits can be drawn yet.");
    const wrong = readAcrossSheet({ lambda: "1.5", sd: "0", chart: "pie", centre: "1,0" });
    expect(Object.keys(wrong.errors).toSorted()).toEqual(["centre", "chart", "lambda", "sd"]);
    expect(wrong.errors.lambda).toBe("expected a number above 0 and at most 1 or nothing, got “1.5”");
    expect([wrong.sentence, wrong.drawing]).toEqual(["Nothing was charted: four fields cannot be read.", null]);
  });
});

describe("what comes again", () => {
  const gap = (layer: number, fromMm: number): Finding => ({ kind: "gap", severity: "act", proven: true, layer, strand: 1, fromMm, toMm: fromMm + 1, lengthMm: 1, position: [fromMm, 1.4, 0.5], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 } });
  const stray: Finding = { kind: "strayMaterial", severity: "act", proven: true, layer: 1, areaMm2: 1.9, volumeMm3: 0.6, lengthMm: 2.1, position: [15, 5, 1], worst: { metric: "areaMm2", value: 1.9, limit: 0.5 } };

  it("a gap at 0.5 to 2.5 mm of 20 mm in three of four runs: layer, runs, findings and tenth in the table and on the drawing", () => {
    put([{ findings: [gap(1, 0.5), stray] }, { findings: [gap(1, 0.6), gap(1, 0.8)] }, { findings: [gap(1, 18.9)] }, {}]);
    const { recurrence } = readAcrossSheet({});
    expect(recurrence.sentence).toBe("Gap in layer 1 comes again most: in 3 of 4 runs, most often at 0–10 % of the strand.");
    expect(recurrence.table?.rows).toEqual([["G Gap", "1", "3", "4", "0–10 %"], ["S Stray material", "1", "1", "1", "–"]]);
    expect(recurrence.drawing?.alt).toBe("Gap: 3 at 0 to 10 %, 1 at 90 to 100 %.");
  });

  it("no finding in two runs is said plainly, with no empty table", () => {
    put([{}, {}]);
    expect(readAcrossSheet({}).recurrence).toEqual({ sentence: "No finding in two runs.", table: null, drawing: null });
  });
});
