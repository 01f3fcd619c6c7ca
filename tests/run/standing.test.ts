import { describe, expect, it } from "vitest";
import type { Job } from "../../lib/model/job.ts";
import type { Reading } from "../../lib/model/reading.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { StandingReadings } from "../../lib/run/standing.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

const PLAN = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [4, 0, 0.5]] }, { strand: 2, points: [[0, 3, 0.5], [3, 3, 0.5]] }]), 0.5);
const [FIRST, SECOND] = PLAN.strands as [typeof PLAN.strands[0], typeof PLAN.strands[0]];
const LAID_S = 10;

/** Readings of one station at given times, taken in order; what stands after them, and which `take` said yes. */
function after(job: Job, readings: readonly Partial<Reading>[]): { standing: ReturnType<StandingReadings["of"]>; taken: boolean[] } {
  const standing = new StandingReadings(PLAN.strands, job);
  const area = FIRST.visibleAreaMm2[3]!;
  const taken = readings.map((change) => standing.take(FIRST, 3, madeReading({ areaMm2: area, ...change }), LAID_S).stands);
  return { standing: standing.of(FIRST, 3), taken };
}
const within = (judgeWithinS: number): Job => madeJob("stadium", (json) => { json["tolerance"] = { judgeWithinS }; });

describe("the reading that stands", () => {
  it("is the newest good one, with its age since laying", () => {
    const { standing, taken } = after(madeJob(), [{ tS: 11 }, { tS: 14.5, widthMm: 1.02 }, { tS: 13, good: false, coverage: 0.4 }]);
    expect(taken).toEqual([true, true, false]);
    expect(standing).toMatchObject({ reading: { tS: 14.5 }, ageS: 4.5, judgement: { verdict: "inBand" } });
  });

  it("stands over an older one though it is worse: a strand dragged away after its first scan is a gap", () => {
    expect(after(madeJob(), [{ tS: 11 }, { tS: 130, areaMm2: 0.004 }]).standing?.judgement.verdict).toBe("gap");
  });

  it("is none where no reading was good, and unmeasured is the judgement of one that is not", () => {
    const { standing, taken } = after(madeJob(), [{ tS: 11, good: false }]);
    expect([standing, taken]).toEqual([null, [false]]);
    expect(new StandingReadings(PLAN.strands, madeJob()).judge(FIRST, 3, madeReading({ good: false }))).toEqual({ verdict: "unmeasured", proven: false, cause: null });
  });

  it("is told with its meaning and age also where it does not stand", () => {
    expect(new StandingReadings(PLAN.strands, madeJob()).take(FIRST, 3, madeReading({ tS: 13, good: false }), LAID_S)).toMatchObject({ stands: false, ageS: 3, judgement: { verdict: "unmeasured" } });
  });

  it("is of its own station and strand alone", () => {
    const standing = new StandingReadings(PLAN.strands, madeJob());
    standing.take(SECOND, 3, madeReading({ tS: 17 }), LAID_S);
    expect([standing.of(FIRST, 3), standing.of(SECOND, 2), standing.of(SECOND, 3)?.reading.tS]).toEqual([null, null, 17]);
  });
});

describe("judgeWithinS 30 s", () => {
  it.each([[39.9, true], [40, true], [40.1, false]])("a reading at %d s of a bead laid at 10 s counts: %s", (tS, counts) => {
    const { standing, taken } = after(within(30), [{ tS: 12 }, { tS, heightMm: 0.48 }]);
    expect(taken[1]).toBe(counts);
    expect(standing?.reading.tS).toBe(counts ? tS : 12);
  });

  it.each<[string, Partial<Reading>, boolean]>([
    ["gone", { areaMm2: 0.01 }, true], ["lifted", { heightMm: 0.75 }, true], ["displaced", { offsetMm: 0.4 }, true],
    ["slumped: under by height", { heightMm: 0.35 }, false], ["over by area", { areaMm2: 0.75 }, false], ["as planned", {}, false],
  ])("later, at 95 s, a bead that is %s counts: %s", (_what, change, counts) => {
    expect(after(within(30), [{ tS: 12 }, { tS: 95, ...change }]).taken[1]).toBe(counts);
  });

  it("after a late reading that does not count, with no earlier one, nothing stands", () => {
    expect(after(within(30), [{ tS: 95 }])).toEqual({ standing: null, taken: [false] });
  });

  it("without progress there is no age, and the reading counts", () => {
    const standing = new StandingReadings(PLAN.strands, within(30));
    expect(standing.take(FIRST, 1, madeReading({ tS: 500 }), Number.NaN).stands).toBe(true);
    expect(standing.of(FIRST, 1)?.ageS).toBeNaN();
  });
});

describe("a stretch taken off", () => {
  it("hands back what stood and leaves nothing", () => {
    const standing = new StandingReadings(PLAN.strands, madeJob());
    for (const tS of [11, 12]) standing.take(FIRST, 2, madeReading({ tS }), LAID_S);
    expect(standing.clear(FIRST, 2)?.reading.tS).toBe(12);
    expect(standing.of(FIRST, 2)).toBeNull();
    expect(standing.clear(FIRST, 2)).toBeNull();
  });
});

describe("what light does", () => {
  const verdict = (change: (json: Record<string, any>) => void): string | undefined => after(madeJob("stadium", change), [{ tS: 11 }]).standing?.judgement.verdict;
  it("the same reading is inBand when opaque, watch when translucent without a stated bias, inBand with one on every profiler, watch where one of two has none", () => {
    expect(verdict(() => {})).toBe("inBand");
    expect(verdict((json) => { json["material"].translucent = true; })).toBe("watch");
    expect(verdict((json) => { json["material"].translucent = true; json["devices"][0].surfaceBiasMm = { value: -0.03, u: 0.004 }; })).toBe("inBand");
    expect(verdict((json) => {
      json["material"].translucent = true;
      json["devices"][0].surfaceBiasMm = { value: -0.03, u: 0.004 };
      json["devices"].push({ ...json["devices"][0], id: "profiler-2", surfaceBiasMm: null });
    })).toBe("watch");
  });
});
