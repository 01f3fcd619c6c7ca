import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { FINDING_KINDS } from "../../lib/model/result.ts";
import type { FrameResult } from "../../lib/model/frame.ts";
import type { Finding, InspectResult, StationResult } from "../../lib/model/result.ts";
import { readFrames } from "../../lib/store/frameRows.ts";
import { listRuns, readRun } from "../../lib/store/readRuns.ts";
import { readOutline } from "../../lib/store/readStations.ts";
import { findRunByContent, writeRun } from "../../lib/store/writeRun.ts";
import { madeRun } from "../support/madeRun.ts";
import { madeLimits, madeResult } from "../support/madeResult.ts";
import type { TempStore } from "../support/tempStore.ts";
import { tempStore } from "../support/tempStore.ts";

let temp: TempStore;
beforeEach(() => { temp = tempStore(); });
afterEach(() => temp.remove());

const plain = madeResult({
  layers: 2, strands: 3, lengthMm: 6, spacingMm: 0.5, widthMm: 0.9, heightMm: 0.4, laidStrands: 2,
  faults: [{ layer: 1, strand: 2, fromMm: 1, toMm: 3, kind: "gap" }, { layer: 1, strand: 3, fromMm: 2, toMm: 4, kind: "unmeasured" }],
});
/** Every kind of finding, every number different from every other. */
const findings: Finding[] = FINDING_KINDS.map((kind, i): Finding => {
  const common = { severity: i % 2 === 0 ? "act" as const : "watch" as const, proven: i % 3 === 0, layer: i + 1, position: [i + 0.1, i + 0.2, -i - 0.3] as const };
  if (kind === "closedPore") return { kind, ...common, strand: i + 20, areaMm2: i + 0.4 };
  if (kind === "detachedStrand" || kind === "strayMaterial") {
    return { kind, ...common, areaMm2: i + 0.5, volumeMm3: kind === "detachedStrand" ? null : i + 0.6, lengthMm: i + 0.7, worst: { metric: "areaMm2", value: i + 0.5, limit: i + 0.8 }, ...(kind === "detachedStrand" ? { file: "frames/body.png" } : {}) };
  }
  const file = `frames/00${i}.png`;
  if (kind === "nozzleHang") return { kind, ...common, areaMm2: i + 0.9, worst: { metric: "areaMm2", value: i + 0.9, limit: 0 }, file };
  if (kind === "cameraPose") return { kind, ...common, device: "camera-2", worst: { metric: "poseErrorMm", value: i + 0.15, limit: 0.5 }, file };
  if (kind === "sensorsDisagree") return { kind, ...common, strand: i + 40, fromMm: i + 1.3, toMm: i + 3, lengthMm: 1.7, camera: "absent", verdict: "inBand", worst: { metric: "pasteFraction", value: 0, limit: 0.25 }, file };
  if (kind === "gap") return { kind, ...common, strand: i + 50, fromMm: i + 1.4, toMm: i + 2, lengthMm: 0.6, worst: { metric: "pasteFraction", value: 0.07, limit: 0.25 }, file };
  return {
    kind, ...common, strand: i + 30, fromMm: i + 1.1, toMm: i + 2.25, lengthMm: 1.15,
    worst: kind === "unmeasured" ? { metric: "coverage", value: null, limit: 0.6 } : { metric: "heightMm", value: i - 3.3, limit: i - 2.2 },
  };
});
const odd: StationResult = {
  layer: 2, strand: 1, sMm: 0.123456789, attempt: 2, position: [1.5, -2.5, 3.25], laid: true, planned: { widthMm: 1.01, heightMm: 0.51, areaMm2: 0.47 },
  measured: { widthMm: 0, heightMm: -0.001, areaMm2: 0, offsetMm: 0, coverage: 1, support: "spanned", ageS: 0 }, u: { widthMm: 0, heightMm: 0.002, areaMm2: 0.003, offsetMm: null, placementMm: 0.12 },
  areaRatio: 0, verdict: "gap", proven: true, sagMm: 0.07, camera: { state: "present", widthMm: 0.97, u: { widthMm: 0.04 }, file: "frames/002.png" }, limits: { ...madeLimits(1.01, 0.51), gapRatio: 0.33 },
};
const frames: readonly FrameResult[] = [
  { file: "frames/002.png", tS: 1.5, used: true, reason: null, separability: 0.97, poseErrorMm: 0, stretches: [{ layer: 1, strand: 2, fromMm: 0, toMm: 3.5, state: "present" }, { layer: 1, strand: 3, fromMm: 0, toMm: 6, state: "hidden" }], bodies: [{ position: [1, -2, 0.5], areaMm2: 3.1 }], nozzleHangMm2: 0 },
  { file: "frames/001.png", tS: 2.25, used: false, reason: "blurred", separability: null, poseErrorMm: null, stretches: [], bodies: [], nozzleHangMm2: null },
];
const whole: InspectResult = {
  ...plain, findings, earlierAttempts: [{ ...odd, sMm: 0.5, attempt: 1, measured: null, u: null, areaRatio: null, verdict: "removed", sagMm: null }],
  stations: plain.stations.map((at, i) => (i === 40 ? { ...odd, sMm: at.sMm } : i === 41 ? { ...at, camera: { state: "absent" as const, widthMm: null, u: { widthMm: null }, file: "frames/001.png" } } : at)), frames,
  warnings: [{ code: "job.unknownKey", message: "unknown key colour", file: "job.json", line: 3 }], tolerance: { gapRatio: 0.25, areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] } },
};

describe("a run written and read", () => {
  it("comes back bit for bit: 78 stations of which one was laid again beside its earlier attempt, all twelve kinds of finding, two frames and what they say of stations, a true 0 as 0 and null as null", async () => {
    const run = madeRun(3, temp.newId, whole);
    writeRun(temp.store.db, run);
    const back = await readRun(temp.store, run.run.id);
    expect(back?.stations).toEqual(whole.stations);
    expect(back?.earlierAttempts).toEqual(whole.earlierAttempts);
    expect(back?.result.findings).toEqual(findings);
    expect([...readFrames(temp.store.db, run.resultId)]).toEqual(frames);
    expect(back?.result).toMatchObject({ summary: whole.summary, acceptance: run.acceptance, warnings: whole.warnings, computedAt: run.computedAt });
    expect(back?.strands).toEqual(run.strands.map((strand) => ({ runId: run.run.id, ...strand })));
  });

  it("Prisma reads every column of every table as it was written", async () => {
    const run = madeRun(4, temp.newId, whole);
    writeRun(temp.store.db, run);
    const { prisma } = temp.store;
    expect(await prisma.run.findUnique({ where: { id: run.run.id } })).toEqual({ ...run.run, idempotencyKey: null, endAsked: null });
    expect(await prisma.result.findMany()).toMatchObject([{ id: run.resultId, toleranceJson: JSON.stringify(whole.tolerance), actFindingCount: 6, watchFindingCount: 6 }]);
    expect([await prisma.reading.count(), await prisma.limitSet.count(), await prisma.finding.count()]).toEqual([79, 2, 12]);
    expect(await prisma.frame.findMany({ select: { frameIndex: true, file: true, used: true } })).toEqual([{ frameIndex: 0, file: "frames/002.png", used: true }, { frameIndex: 1, file: "frames/001.png", used: false }]);
  });

  it("Prisma's own connection syncs fully and keeps foreign keys too", async () => {
    const [row] = await temp.store.prisma.$queryRawUnsafe<Record<string, bigint>[]>("SELECT * FROM pragma_synchronous, pragma_foreign_keys");
    expect(Object.values(row ?? {}).map(Number)).toEqual([2, 1]);
  });
});

describe("writing", () => {
  it("the same content twice is the same run, and nothing is added", async () => {
    const run = madeRun(5, temp.newId, plain);
    const again = { ...madeRun(6, temp.newId, plain) };
    expect(writeRun(temp.store.db, run)).toBe(run.run.id);
    expect(writeRun(temp.store.db, { ...again, run: { ...again.run, contentSha256: run.run.contentSha256 } })).toBe(run.run.id);
    expect(await temp.store.prisma.run.count()).toBe(1);
    expect(findRunByContent(temp.store.db, run.run.contentSha256)).toBe(run.run.id);
    expect(findRunByContent(temp.store.db, "d".repeat(64))).toBeNull();
  });

  it("is all or nothing: a station that comes twice leaves no run behind", async () => {
    const [station] = plain.stations;
    const run = madeRun(7, temp.newId, { ...plain, stations: [...plain.stations, station as StationResult], earlierAttempts: [station as StationResult] });
    expect(() => writeRun(temp.store.db, run)).toThrow(/UNIQUE/);
    expect(await temp.store.prisma.run.count()).toBe(0);
    expect(await temp.store.prisma.reading.count()).toBe(0);
  });

  it("refuses a result of no run: foreign keys are kept", () => {
    expect(() => temp.store.db.prepare(`INSERT INTO "Strand" VALUES ('none', 1, 1, 1, 2, 3.5, 0)`).run()).toThrow(/FOREIGN KEY/);
  });
});

describe("lists", () => {
  it("runs come newest first, three in pages of two, each with its own result, which a recompute stands beside", async () => {
    const runs = [1, 2, 3].map((number) => madeRun(number, temp.newId, plain));
    for (const run of runs) writeRun(temp.store.db, run);
    temp.store.db.prepare(`INSERT INTO "Result" SELECT 'later', runId, '2026-03-01T00:00:00.000Z', toleranceJson, warningsJson, stationCount, laidCount, 7, inBandLengthFraction,
      plannedVolumeMm3, measuredVolumeMm3, minMeasuredFraction, minInBandFraction, maxActFindings, actFindingCount, watchFindingCount, 'Dana Reyes', 'narrower bands', '{}', cameraPresentCount, cameraAbsentCount FROM "Result" WHERE id = ?`).run(runs[2]?.resultId);
    const page = await listRuns(temp.store.prisma, { count: 2, after: null });
    expect(page.map(({ run }) => run.name)).toEqual(["run 3", "run 2"]);
    expect(page.map(({ result }) => [result.summary.measured, result.recompute])).toEqual([[plain.summary.measured, null], [plain.summary.measured, null]]);
    const later = await readRun(temp.store, runs[2]?.run.id as string, "later");
    expect([later?.result.summary.measured, later?.result.recompute?.reason]).toEqual([7, "narrower bands"]);
    expect((await listRuns(temp.store.prisma, { count: 2, after: page[1]?.run.id as string })).map(({ run }) => run.name)).toEqual(["run 1"]);
  });

  it("an outline comes in order of layer, strand and place, of the asked result alone", () => {
    const [one, two] = [1, 2].map((number) => madeRun(number, temp.newId, plain)) as [ReturnType<typeof madeRun>, ReturnType<typeof madeRun>];
    writeRun(temp.store.db, one);
    writeRun(temp.store.db, two);
    expect(readOutline(temp.store.db, two.resultId)).toEqual(plain.stations.map(({ layer, strand, sMm, verdict }) => ({ layer, strand, sMm, verdict })));
  });

  it("a run that is not there is null", async () => {
    expect(await readRun(temp.store, "018f0000-0000-7000-8000-000000000000")).toBeNull();
  });
});
