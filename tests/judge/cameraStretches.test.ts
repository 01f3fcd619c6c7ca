import { describe, expect, it } from "vitest";
import { limitsAt } from "../../lib/judge/bands.ts";
import { cameraGaps, disagreements, outsideGaps, type SeenStation } from "../../lib/judge/cameraStretches.ts";
import type { StationResult, StretchFinding, Verdict } from "../../lib/model/result.ts";
import { madeJob } from "../support/madePlan.ts";
import { PLANNED } from "../support/madeReading.ts";

const { tolerance } = madeJob();
const LIMITS = limitsAt(tolerance, PLANNED.widthMm, PLANNED.heightMm);
const near = (v: number): unknown => expect.closeTo(v, 9);

interface Made { readonly verdict?: Verdict; readonly camera?: "present" | "absent" | null; readonly share?: number; readonly isNewer?: boolean; readonly areaRatio?: number | null; readonly laid?: boolean }

/** Stations every 0.5 mm of a bead 1 mm wide. */
function stations(made: readonly Made[]): SeenStation[] {
  return made.map(({ verdict = "inBand", camera = "present", share = camera === "absent" ? 0.1 : 0.98, isNewer = true, areaRatio = verdict === "unmeasured" ? null : verdict === "gap" ? 0.05 : 1, laid = true }, i) => {
    const result: StationResult = {
      layer: 2, strand: 3, sMm: 0.5 * i, attempt: 1, position: [0.5 * i, 7, 0.5], laid, planned: PLANNED, measured: null, u: null, areaRatio, verdict, proven: false, sagMm: null, limits: LIMITS,
      camera: camera === null ? null : { state: camera, widthMm: null, u: { widthMm: null }, file: `frames/${i}.png` },
    };
    return { result, pasteFraction: camera === null ? NaN : share, isNewer };
  });
}
const times = (n: number, each: Made): Made[] => Array.from({ length: n }, () => each);
const OK: Made = {}, LOST: Made = { verdict: "unmeasured", camera: "absent" };

describe("gaps that the camera alone shows", () => {
  it("are watch and not proven, reach half-way to the stations beside them, and name the frame with the least paste; the verdict stays", () => {
    const along = stations([...times(4, OK), LOST, { ...LOST, share: 0.02 }, LOST, LOST, ...times(4, OK)]);
    expect(cameraGaps(along, tolerance)).toEqual([{
      kind: "gap", severity: "watch", proven: false, layer: 2, strand: 3, fromMm: near(1.75), toMm: near(3.75), lengthMm: near(2), position: [2.5, 7, 0.5],
      worst: { metric: "pasteFraction", value: 0.02, limit: tolerance.gapRatio }, file: "frames/5.png",
    }]);
    expect(along.slice(4, 8).map(({ result }) => result.verdict)).toEqual(times(4, LOST).map(() => "unmeasured"));
  });

  it("of just under the least length are none, on it they are", () => {
    const along = stations([OK, LOST, LOST, OK, OK]), of = (gap: number) => cameraGaps(along, { ...tolerance, minLengthMm: { ...tolerance.minLengthMm, gap } }); // from 0.25 to 1.25
    expect([of(1.0001).length, of(1).length]).toEqual([0, 1]);
  });

  it("end with the strand, and two apart are two", () => {
    const found = cameraGaps(stations([...times(4, LOST), OK, OK, ...times(4, LOST)]), tolerance);
    expect(found.map(({ fromMm, toMm }) => [fromMm, toMm])).toEqual([[0, near(1.75)], [near(2.75), 4.5]]);
  });

  it.each([["seen present", { verdict: "unmeasured" }], ["not laid", { ...LOST, laid: false }], ["measured", { camera: "absent" }], ["not shown", { verdict: "unmeasured", camera: null }]] as const)("are none where the station is %s", (_, made) => {
    expect(cameraGaps(stations(times(8, made)), tolerance)).toEqual([]);
  });
});

describe("camera against profiler", () => {
  const GONE: Made = { camera: "absent", share: 0.1 }, BACK: Made = { verdict: "gap", share: 0.9 };
  const found = (made: readonly Made[]) => disagreements(stations(made), tolerance);

  it("absent where paste was measured, and present where a gap was: two act findings, along the strand, each with its worst station", () => {
    expect(found([OK, OK, ...times(3, BACK), { ...BACK, share: 0.95 }, OK, OK, GONE, { ...GONE, share: 0.01 }, GONE, GONE, OK])).toEqual([
      { kind: "sensorsDisagree", severity: "act", proven: true, layer: 2, strand: 3, fromMm: near(0.75), toMm: near(2.75), lengthMm: near(2), position: [2.5, 7, 0.5], camera: "present", verdict: "gap", worst: { metric: "pasteFraction", value: 0.95, limit: tolerance.gapRatio }, file: "frames/5.png" },
      { kind: "sensorsDisagree", severity: "act", proven: true, layer: 2, strand: 3, fromMm: near(3.75), toMm: near(5.75), lengthMm: near(2), position: [4.5, 7, 0.5], camera: "absent", verdict: "inBand", worst: { metric: "pasteFraction", value: 0.01, limit: tolerance.gapRatio }, file: "frames/9.png" },
    ]);
  });

  it("an older frame says nothing", () => {
    expect(found([...times(6, { ...GONE, isNewer: false }), ...times(6, { ...BACK, isNewer: false })])).toEqual([]);
  });

  it.each(["watch", "under", "over", "lifted"] as const)("paste called %s lies there: the camera's absent contradicts it", (verdict) => expect(found(times(6, { ...GONE, verdict }))).toHaveLength(1));
  it.each(["displaced", "gap", "unmeasured", "pending", "removed"] as const)("absent is no contradiction of %s", (verdict) => expect(found(times(6, { ...GONE, verdict, areaRatio: 1 }))).toEqual([]));

  it("neither contradicts the other where it is not clear: half of the planned area, half of the planned width", () => {
    expect([0.499, 0.5].map((areaRatio) => found(times(6, { ...GONE, verdict: "under", areaRatio })).length)).toEqual([0, 1]);
    expect([0.499, 0.5].map((share) => found(times(6, { ...BACK, share })).length)).toEqual([0, 1]);
  });

  it("of just under a gap's least length are none, on it they are", () => {
    const along = stations([OK, GONE, GONE, OK, OK]), of = (gap: number) => disagreements(along, { ...tolerance, minLengthMm: { ...tolerance.minLengthMm, gap } });
    expect([of(1.0001).length, of(1).length]).toEqual([0, 1]);
  });
});

describe("a stretch belongs to one finding", () => {
  const finding = (change: Partial<StretchFinding>): StretchFinding => ({ kind: "unmeasured", severity: "watch", proven: false, layer: 1, strand: 1, fromMm: 0, toMm: 20, lengthMm: 20, position: [0, 0, 0], worst: { metric: "coverage", value: null, limit: 0.6 }, ...change });
  const gap = (fromMm: number, toMm: number, change: Partial<StretchFinding> = {}): StretchFinding => finding({ kind: "gap", fromMm, toMm, lengthMm: toMm - fromMm, ...change });
  const spans = (findings: readonly StretchFinding[]): number[][] => findings.map(({ fromMm, toMm, lengthMm }) => [fromMm, toMm, lengthMm]);

  it("gaps split an unmeasured stretch; what is left and shorter than 2 mm goes, of 2 mm it stays", () => {
    expect(spans(outsideGaps([finding({})], [gap(5, 8), gap(12, 14)], 2))).toEqual([[0, 5, 5], [8, 12, 4], [14, 20, 6]]);
    expect(spans(outsideGaps([finding({})], [gap(1.9, 8), gap(10, 18)], 2))).toEqual([[8, 10, 2], [18, 20, 2]]);
    expect(outsideGaps([finding({})], [gap(-1, 21)], 2)).toEqual([]);
  });

  it("one without a gap in it stays as it is, even a short one; other kinds, strands and layers are left alone", () => {
    const short = finding({ toMm: 1, lengthMm: 1 }), under = finding({ kind: "underExtrusion" });
    expect(outsideGaps([short, under], [gap(3, 8)], 2)).toEqual([short, under]);
    expect(outsideGaps([finding({})], [gap(3, 8, { strand: 2 }), gap(3, 8, { layer: 2 })], 2)).toEqual([finding({})]);
  });
});
