import { describe, expect, it } from "vitest";
import type { HistoryReading } from "../../lib/model/history.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { bandWords } from "../../lib/report/bandWords.ts";
import { attemptWords } from "../../lib/report/historyWords.ts";
import { jobWords } from "../../lib/report/jobWords.ts";
import { layerFrame, mapPoint } from "../../lib/report/layerFrame.ts";
import { recordWords } from "../../lib/report/recordWords.ts";
import { madeLimits } from "../support/madeResult.ts";

const normals = (...vectors: readonly number[][]) => ({ normals: Float64Array.from(vectors.flat()), pointCount: vectors.length });

describe("from where a layer is seen", () => {
  it("a flat layer from above: x right, y up", () => {
    const { frame, words } = layerFrame([normals([0, 0, 1], [0, 0, 1])]);
    expect([frame.right, frame.up]).toEqual([[1, 0, 0], [0, 1, 0]]);
    expect(mapPoint(frame, [3, 4, 9])).toEqual([3, 4]);
    expect(words).toBe("seen along its mean normal (0.00, 0.00, 1.00)");
  });

  it("a wall whose normal is the plan's y has x up, and right, up and normal are right-handed", () => {
    const { frame: { right, up, normal } } = layerFrame([normals([0, 1, 0])]);
    expect(up).toEqual([1, 0, 0]);
    expect([right[1] * up[2] - right[2] * up[1], right[2] * up[0] - right[0] * up[2], right[0] * up[1] - right[1] * up[0]]).toEqual([...normal]);
  });

  it("normals all around, and a plan that cannot be read, are seen along z and say so", () => {
    for (const strands of [[normals([1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0])], []]) {
      expect(layerFrame(strands)).toMatchObject({ frame: { normal: [0, 0, 1] }, words: "goes all around, seen along the plan’s z" });
    }
  });
});

describe("what was used", () => {
  const { job } = resolveJob({
    contract: "aslaid/1", name: "block", specimen: "block 12", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: 12.7 },
    material: { name: "test paste", lot: "A7", beadShape: "stadium", syringeVolumeMm3: 3000, workingTimeS: 240, clockStarts: "mixing" },
    devices: [{ id: "profiler-1", kind: "profiler", points: 640, x0Mm: -8, dxMm: 0.025, sigmaZMm: 0.012 }],
  }, "job.json");

  it("the job in facts, lengths as they were written, defaults filled in", () => {
    const facts = Object.fromEntries(jobWords(job).map(({ name, value }) => [name, value]));
    expect(facts).toMatchObject({
      job: "block, block 12", plan: "plan.csv, a station every 0.5 mm", material: "test paste, lot A7, laid as a stadium", syringe: "3000 mm³", "working time": "240 s from mixing",
      nozzle: "0.84 mm inside, 1.27 mm outside, cone 20°, 12.7 mm long", "profiler-1": "profiler, 640 points 0.025 mm apart, noise 0.012 mm",
      "accepted with": "at least 95\u00a0% measured and 90\u00a0% in band, at most no act findings", "called good": "inside its limits by 1.645 standard uncertainties",
    });
    expect(facts["judged within"]).toBeUndefined();
  });

  it("bands of a bead of 1.2 × 0.6 mm with their signs, and of six sizes four are spelled out", () => {
    const [block] = bandWords([madeLimits(1.2, 0.6)], [{ widthMm: 1.2, heightMm: 0.6, areaMm2: 0.7 }]);
    expect(block?.bead).toBe("bead 1.20 × 0.60 mm");
    expect(block?.rows[1]).toEqual({ name: "width against plan", watch: "−0.12 to +0.12 mm", act: "−0.24 to +0.24 mm" });
    const many = bandWords([1, 2, 3, 4, 5, 6].map((w) => madeLimits(w, 0.5)), [null, null, null, null, null, null]);
    expect([many.length, many[3]?.bead]).toEqual([4, "any bead; 2 more sizes have limits of their own, shown with each station"]);
  });
});

describe("the record in words", () => {
  const record = { whole: true, problem: null, head: "9e71b50c".padEnd(64, "4"), count: 12, lastSealAt: "2026-02-03T09:12:07.000Z", keyId: "f1".padEnd(64, "0") };

  it("whole: how many entries, its head in short for the title block", () => {
    const words = recordWords(record, "2026-02-04T10:00:01.000Z");
    expect(words).toMatchObject({ whole: true, title: "whole · head 9e71b50c…4444" });
    expect(words.sentence).toContain("The record is whole: its 12 entries are sealed, and every file that they name is there.");
    expect(words.facts.map(({ value }) => value)).toEqual(["2026-02-04 10:00:01 UTC", "12", record.head, "2026-02-03 09:12:07 UTC", record.keyId]);
  });

  it("not whole: what is wrong first, and nothing that looks whole in the title block", () => {
    const words = recordWords({ ...record, whole: false, problem: "entry 4 was changed" }, "2026-02-04T10:00:01.000Z");
    expect([words.title, words.sentence]).toEqual(["not whole", "The record is not whole: entry 4 was changed."]);
    expect(recordWords({ whole: false, problem: "there is none", head: "", count: 0, lastSealAt: null, keyId: "" }, "2026-02-04T10:00:01.000Z").facts.map(({ value }) => value).slice(1)).toEqual(["0", "none", "none", "none"]);
  });
});

describe("readings of a station in words", () => {
  const reading = (ordinal: number, more: Partial<HistoryReading>): HistoryReading => ({
    layer: 1, strand: 2, attempt: 1, stationIndex: 4, ordinal, device: "profiler-1", seq: 7, tS: 31.26, ageS: 2.44, good: true, stood: true, widthMm: 1.153, heightMm: 0.588, areaMm2: 0.642, offsetMm: -0.034,
    uWidthMm: 0.021, uHeightMm: 0.0042, uAreaMm2: 0.0083, uOffsetMm: 0.012, areaRatio: 0.94, coverage: 0.97, support: "measured", sagMm: null, verdict: "watch", proven: false, ...more,
  });

  it("the last that stood stands; digits follow u; what was not seen is a dash", () => {
    const { words, readings } = attemptWords(1, { count: 5, readings: [reading(3, {}), reading(4, { verdict: "inBand", proven: true, ageS: null }), reading(5, { stood: false, good: false, widthMm: null, uWidthMm: null })] });
    expect(words).toBe("Five readings; two older ones are not kept one by one.");
    expect(readings.map(({ state }) => state)).toEqual(["stood until the next", "stands", "not good"]);
    expect(readings[0]).toMatchObject({ read: "2.4 s after laying, profiler-1", width: "1.15\u00a0±\u00a00.02", height: "0.588\u00a0±\u00a00.004", offset: "−0.03\u00a0±\u00a00.01", verdict: "watch" });
    expect(readings[1]).toMatchObject({ read: "at 31.3 s, profiler-1", verdict: "in band, proven" });
    expect(readings[2]?.width).toBe("–");
  });

  it("none is said as none", () => {
    expect(attemptWords(2, { count: 0, readings: [] })).toEqual({ attempt: 2, words: "No readings.", readings: [] });
  });
});
