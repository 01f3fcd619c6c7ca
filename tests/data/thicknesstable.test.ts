/** 360 lines of extruded ink, 3 repeats each (MIT; "In situ characterization of low-viscosity direct ink writing"). What scatter a tolerance band meets. */
import { describe, expect, it } from "vitest";
import { limitsAt } from "../../lib/judge/bands.ts";
import { madeJob } from "../support/madePlan.ts";
import { correlationOf, meanOf, medianOfList, ranksOf, sdOf } from "../support/numbers.ts";
import { isRecorded, readRows, titleOf } from "./recordings.ts";

const PATH = "diw-filament/thicknesstable.csv";

interface Line { readonly setting: string; readonly ratio: number; readonly heightMm: number | null }

function lines(): Line[] {
  return readRows(PATH).map((r) => ({
    setting: [r["TEGDMA"], r["h"], r["noz"], r["sub"], r["vf"], r["vs"]].join(" "), ratio: Number(r["vf"]) / Number(r["vs"]),
    heightMm: r["thickness (mm)"] === "" ? null : Number(r["thickness (mm)"]),
  }));
}

describe.skipIf(!isRecorded(PATH))(titleOf("measured heights of extruded lines", PATH), () => {
  const all = isRecorded(PATH) ? lines() : [];
  const bySetting = new Map<string, Line[]>();
  for (const line of all) bySetting.set(line.setting, [...(bySetting.get(line.setting) ?? []), line]);

  it("are 360 in 120 settings; 55 are blank, and 14 settings have no height at all: broken lines are missing, not 0", () => {
    expect([all.length, bySetting.size, all.filter((l) => l.heightMm === null).length]).toEqual([360, 120, 55]);
    expect([...bySetting.values()].filter((three) => three.every((l) => l.heightMm === null))).toHaveLength(14);
    expect(all.every((l) => l.heightMm === null || l.heightMm > 0)).toBe(true);
  });

  it("rise with flow over stage speed: Spearman 0.88, n = 305", () => {
    const seen = all.filter((l) => l.heightMm !== null);
    expect(seen).toHaveLength(305);
    expect(correlationOf(ranksOf(seen.map((l) => l.ratio)), ranksOf(seen.map((l) => l.heightMm as number)))).toBeCloseTo(0.88, 2);
  });

  it("scatter by a median of 5.8 % from repeat to repeat; the default watch band of ± 12 % of the height is two such to 5 %, so that it does not cry at what the process does anyway", () => {
    const cvs = [...bySetting.values()].flatMap((three) => {
      const heights = three.flatMap((l) => l.heightMm ?? []);
      return heights.length === 3 ? [sdOf(heights) / meanOf(heights)] : [];
    });
    const cv = medianOfList(cvs);
    expect([cvs.length, cv]).toEqual([96, expect.closeTo(0.058, 3)]);
    const heightMm = 0.37, { watch, act } = limitsAt(madeJob().tolerance, 0.9, heightMm).heightMm;
    expect(Math.abs(watch[1] / heightMm / (2 * cv) - 1)).toBeLessThan(0.05);
    expect(Math.abs(act[1] / heightMm / (4 * cv) - 1)).toBeLessThan(0.05);
  });
});
