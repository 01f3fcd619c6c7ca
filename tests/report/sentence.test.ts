import { describe, expect, it } from "vitest";
import type { BodyFinding, Finding, PoreFinding, StretchFinding, Summary } from "../../lib/model/result.ts";
import { openSentence, registerSentence, stateSentence } from "../../lib/report/sentence.ts";

const acceptance = { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 };
const summary: Summary = { stations: 620, laid: 620, measured: 612, inBandLengthFraction: 0.9623, plannedVolumeMm3: 113, measuredVolumeMm3: 109.8 };
const gap: StretchFinding = {
  kind: "gap", severity: "act", proven: true, layer: 2, strand: 5, fromMm: 6.04, toMm: 8.61, lengthMm: 2.57, position: [1, 2, 3], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 },
};
const under: StretchFinding = { ...gap, kind: "underExtrusion", layer: 1, strand: 7, fromMm: 3.2, toMm: 14.1, lengthMm: 10.9 };
const watch: StretchFinding = { ...gap, kind: "displacedStrand", severity: "watch", strand: 9 };
const stray: BodyFinding = {
  kind: "strayMaterial", severity: "act", proven: true, layer: 3, areaMm2: 2.2, volumeMm3: 0.4, lengthMm: 1.9, position: [4.4, 5.5, 6.6], worst: { metric: "areaMm2", value: 2.2, limit: 0.5 },
};
const pore: PoreFinding = { kind: "closedPore", severity: "watch", proven: false, layer: 1, strand: 4, position: [7, 8, 9], areaMm2: 0.6 };
const say = (change: Partial<Summary> = {}, findings: readonly Finding[] = []) => stateSentence({ summary: { ...summary, ...change }, acceptance, findings });

describe("the state in a sentence", () => {
  it("two act findings against a limit of none are not acceptable, and the gap is named before the longer under-extrusion", () => {
    const words = say({}, [under, gap, watch]);
    expect(words.acceptable).toBe(false);
    expect(words.headline).toBe("Not acceptable: two act findings. 96.2\u00a0% of the laid length is in band.");
    expect(words.detail).toBe("612 of 620 laid stations measured. Seen from above, 109.8 mm³ lie where 113.0 were planned, 2.8\u00a0% less. The worst: strand 5 of layer 2 has a gap of 2.6 mm at 6.0 mm.");
    expect(words.advice).toBe("Fill it, or take the strand off and lay it again, before a layer covers it.");
  });

  it("no act finding, 96.2 % in band of 90 % asked and 98.7 % measured of 95 % asked are acceptable; a watch finding does not change that", () => {
    expect(say({}, [watch])).toMatchObject({ acceptable: true, headline: "Acceptable: no act findings. 96.2\u00a0% of the laid length is in band." });
    expect(say().advice).toBeNull();
  });

  it("in band on 90 % is enough, just under is not", () => {
    expect(say({ inBandLengthFraction: 0.9 }).acceptable).toBe(true);
    expect(say({ inBandLengthFraction: 0.8999 })).toMatchObject({ acceptable: false, headline: "Not acceptable: no act findings. Only 90.0\u00a0% of the laid length is in band; 90\u00a0% is asked." });
    expect(say({ inBandLengthFraction: 1 }).headline).toBe("Acceptable: no act findings. All of the laid length is in band.");
  });

  it("589 of 620 stations measured are enough of 95 % asked, 588 are not, and the sentence says so", () => {
    expect(say({ measured: 589 }).acceptable).toBe(true);
    const words = say({ measured: 588 });
    expect(words.acceptable).toBe(false);
    expect(words.headline).toContain("Only 94.8\u00a0% of it was measured; 95\u00a0% is asked.");
  });

  it("one act finding is acceptable where the job allows one", () => {
    expect(stateSentence({ summary, acceptance: { ...acceptance, maxActFindings: 1 }, findings: [gap] }).acceptable).toBe(true);
  });

  it("a run that is laid in part is judged so far", () => {
    expect(say({ laid: 310, measured: 309 }).headline).toMatch(/^Acceptable so far: /);
    expect(say({ laid: 311, measured: 308 }, [gap]).headline).toMatch(/^Not acceptable so far: one act finding\./);
  });

  it("nothing laid and nothing measured are never called good", () => {
    expect(say({ laid: 0, measured: 0, inBandLengthFraction: null })).toEqual({ acceptable: null, headline: "Nothing has been laid yet.", detail: "620 stations are planned.", advice: null });
    const blind = say({ measured: 0, inBandLengthFraction: 0 });
    expect(blind.acceptable).toBeNull();
    expect(blind.headline).toBe("Nothing was measured, so nothing can be said.");
  });

  it("volumes that read the same are just as much; 1.4 % more says more", () => {
    expect(say({ measuredVolumeMm3: 113.02 }).detail).toContain("113.0 mm³ lie where 113.0 were planned, just as much.");
    expect(say({ measuredVolumeMm3: 114.6 }).detail).toContain("1.4\u00a0% more");
  });

  it("names bodies by layer and pores by strand", () => {
    expect(say({}, [stray]).detail).toContain("The worst: on layer 3 material of 1.9 mm lies off the path.");
    expect(say({}, [pore]).detail).toContain("The worst: strand 4 of layer 1 has a closed pore beside it.");
  });
});

describe("the register's sentence", () => {
  it("says how many runs are kept and what the newest is", () => {
    expect(registerSentence(0, null)).toBe("No runs are kept yet.");
    expect(registerSentence(1, true)).toBe("One run is kept. The newest is acceptable.");
    expect(registerSentence(14, false)).toBe("14 runs are kept. The newest is not acceptable.");
    expect(registerSentence(3, null)).toBe("Three runs are kept.");
  });
});

describe("the register's sentence about runs that are not over", () => {
  it("counts them by what is done with them, those under way first", () => {
    expect(openSentence([])).toBe("");
    expect(openSentence(["prepared"])).toBe("One run is prepared.");
    expect(openSentence(["prepared", "live", "onHold", "prepared", "ending", "paused", "prepared"])).toBe("One run is being laid, one run is paused, one run is on hold, one run is being ended, three runs are prepared.");
  });
});

describe("a run that a camera alone saw", () => {
  const alone = { ...summary, measured: 0, inBandLengthFraction: 0, plannedVolumeMm3: 0, measuredVolumeMm3: 0 };
  it("has no verdict, and says what is not known", () => {
    const said = stateSentence({ summary: alone, acceptance, findings: [], cameraAlone: { present: 401, absent: 6 } });
    expect(said.acceptable).toBeNull();
    expect(said.headline).toBe("Seen by the camera alone, so nothing can be called good.");
    expect(said.detail).toContain(`the camera saw paste at 401 and none at 6; ${alone.laid - 407} it did not see. Height, area and volume are not known, and nothing is in band on area.`);
    expect(said.advice).toBe("Measure it with a profiler before anybody relies on it.");
  });
  it("where no frame could be used it says so, and what is missing", () => {
    const said = (reason: "nothingLearned" | "blurred") => stateSentence({ summary: alone, acceptance, findings: [], frames: [{ used: false, reason }, { used: false, reason: "blurred" }] });
    expect(said("nothingLearned")).toMatchObject({ detail: "None of the 620 stations that were laid was seen by a profiler, and of two camera frames none could be used.", advice: "Mark a rectangle of paste in one frame, so that the camera can tell paste from target." });
    expect(said("blurred").advice).toBe("See at each frame why it could not be used.");
  });
  it("beside a profiler, what the camera alone saw is counted apart", () => {
    expect(stateSentence({ summary, acceptance, findings: [], cameraAlone: { present: 3, absent: 1 } }).detail).toMatch(/laid stations measured; the camera alone saw 4 more, paste at 3 of them\./);
  });
});
