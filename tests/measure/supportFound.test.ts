import { describe, expect, it } from "vitest";
import { RunEngine } from "../../lib/run/engine.ts";
import { RunKeeper } from "../../lib/run/keepRun.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { SupportFound } from "../../lib/model/supportFound.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { messagesOf } from "../support/phantom.ts";

const FIELD: Partial<RehearsalSettings> = { seed: 51, strands: 4, lengthMm: 10, sigmaMm: 0.008, points: 500 };

/** Runs a rehearsal whose plan's points were moved by `move`, so that the target lies off it the other way. */
function foundOf(settings: Partial<RehearsalSettings>, move: (p: readonly [number, number, number], n: readonly [number, number, number]) => readonly [number, number, number] = (p) => p, change: (json: Record<string, unknown>) => void = () => {}): SupportFound | null {
  const r = simulate({ ...FIELD, ...settings });
  const json = structuredClone(r.jobJson);
  change(json);
  const { job } = resolveJob(json, "job.json");
  const [head, ...rows] = r.planCsv.trim().split("\n");
  const moved = rows.map((row) => {
    const cells = row.split(","), v = cells.map(Number);
    return [...cells.slice(0, 2), ...move([v[2]!, v[3]!, v[4]!], [v[5]!, v[6]!, v[7]!]), ...cells.slice(5)].join(",");
  });
  const { plan } = readPlanCsv([head, ...moved, ""].join("\n"), job, "plan.csv");
  const keeper = new RunKeeper();
  const engine = new RunEngine(plan, job, { hasProgress: r.progress.length > 0, output: keeper });
  for (const message of messagesOf(r)) {
    if (message.kind === "progress" && message.layer > 1) break;
    engine.push(message);
    if (keeper.support !== null) break;
  }
  return keeper.support;
}

describe("the support as found", () => {
  it.each(["plane", "sphere", "saddle", "mandibleAngle"] as const)("on a %s where it was planned: mean within 3 µm, 90 %% within 12 µm, all seen, go (seed 51)", (surface) => {
    const found = foundOf({ surface })!;
    expect(Math.abs(found.meanMm!)).toBeLessThan(0.003);
    expect(Math.max(-found.p5Mm!, found.p95Mm!)).toBeLessThan(0.012);
    expect(found).toMatchObject({ seenFraction: 1, outsideFraction: 0, go: true, because: [], bandMm: [-0.12, 0.12] });
  });

  it.each([["plane", 0.07], ["sphere", -0.09]] as const)("a %s that lies %s mm over the planned base along its normals is found so within 3 µm, and is go", (surface, overMm) => {
    const found = foundOf({ surface }, (p, n) => [0, 1, 2].map((k) => p[k]! - overMm * n[k]!) as unknown as [number, number, number])!;
    expect(Math.abs(found.meanMm! - overMm)).toBeLessThan(0.003);
    expect(found.go).toBe(true);
  });

  it.each([0.13, -0.13])("%s mm is beyond the act limit of 0.24 h = 0.12 mm everywhere: no go", (overMm) => {
    const found = foundOf({}, ([x, y, z]) => [x, y, z - overMm])!;
    expect(found.outsideFraction).toBeGreaterThan(0.95);
    expect(found).toMatchObject({ go: false, because: ["outside"] });
    expect(Math.sign(found.worst!.limitMm)).toBe(Math.sign(overMm));
  });

  it("limits of the job count, turned round: with act −0.05 … +0.2 mm of height a target 0.06 mm too high is no go, 0.15 mm too low is go", () => {
    const act = (json: Record<string, unknown>): void => { json["tolerance"] = { heightMm: { watch: [-0.04, 0.15], act: [-0.05, 0.2] } }; };
    expect(foundOf({}, ([x, y, z]) => [x, y, z - 0.06], act)).toMatchObject({ go: false, because: ["outside"], bandMm: [-0.2, 0.05] });
    expect(foundOf({}, ([x, y, z]) => [x, y, z + 0.15], act)).toMatchObject({ go: true });
  });

  it("a target tilted by 1.2° along the strands lies off by the slope at every place, and is worst at an end of the 10 mm", () => {
    const slope = Math.tan(1.2 * Math.PI / 180);
    const found = foundOf({}, ([x, y, z]) => [x, y, z + slope * x])!; // the plan rises along x, so the target falls away
    expect(Math.abs(found.meanMm!)).toBeLessThan(0.003);
    const { overMm, position } = found.worst!;
    expect(Math.abs(overMm + slope * position[0])).toBeLessThan(0.015);
    expect(Math.abs(position[0])).toBeGreaterThan(4.8);
    expect(Math.abs(found.p95Mm! - 0.9 * 5 * slope)).toBeLessThan(0.01);
    expect(found.go).toBe(true);
    const [map] = found.maps;
    let worst = 0;
    for (const { uvMm } of map!.strands) for (let i = 0; i + 1 < uvMm.length; i += 2) {
      const cell = Math.floor(uvMm[i + 1]! / map!.cellMm) * map!.nu + Math.floor(uvMm[i]! / map!.cellMm);
      const over = map!.overUm[cell]! / 1000;
      worst = Math.max(worst, Math.abs(Math.abs(over) - slope * Math.abs(uvMm[i + 1]! - map!.nv * map!.cellMm / 2)));
    }
    expect(worst).toBeLessThan(0.02);
  });

  it("what was never seen is no go and has no numbers", () => {
    expect(foundOf({ supportScan: false })).toMatchObject({ seenFraction: 0, meanMm: null, p5Mm: null, p95Mm: null, worst: null, go: false, because: ["notSeen"] });
  });

  it("a field moved 4 mm beside what a line of 6 mm scanned was seen in part, and is no go for that alone", () => {
    const found = foundOf({ points: 200 }, ([x, y, z]) => [x, y + 4, z])!;
    expect(found.seenFraction).toBeGreaterThan(0.3);
    expect(found.seenFraction).toBeLessThan(0.9);
    expect(found).toMatchObject({ go: false, because: ["notSeen"] });
  });

  it("keeps at most 20 000 cells, blank where nothing is laid near", () => {
    const found = foundOf({ strands: 2, pitchMm: 8 })!;
    const [map] = found.maps;
    expect(map!.nu * map!.nv).toBeLessThanOrEqual(20_000);
    expect(map!.overUm).toHaveLength(map!.nu * map!.nv);
    const blank = map!.overUm.filter((v) => v === null).length / map!.overUm.length;
    expect(blank).toBeGreaterThan(0.3);
  });

  it("moved together, plan and poses give the same numbers (30, −20, 8 mm)", () => {
    const plain = foundOf({})!;
    const r = simulate(FIELD), { job } = resolveJob(r.jobJson, "job.json");
    const [head, ...rows] = r.planCsv.trim().split("\n");
    const shift = [30, -20, 8];
    const moved = rows.map((row) => row.split(",").map((cell, i) => (i >= 2 && i <= 4 ? Number(cell) + shift[i - 2]! : cell)).join(","));
    const keeper = new RunKeeper();
    const engine = new RunEngine(readPlanCsv([head, ...moved, ""].join("\n"), job, "plan.csv").plan, job, { hasProgress: true, output: keeper });
    for (const message of messagesOf(r)) {
      if (message.kind === "profile") {
        const [x, y, z, ...q] = message.pose;
        engine.push({ ...message, pose: [x + 30, y - 20, z + 8, ...q] });
      } else engine.push(message);
      if (keeper.support !== null) break;
    }
    const { maps: _, ...numbers } = keeper.support!, { maps: __, ...before } = plain;
    expect(numbers.meanMm).toBeCloseTo(before.meanMm!, 3);
    expect(numbers.p95Mm).toBeCloseTo(before.p95Mm!, 2);
    expect([numbers.go, numbers.seenFraction, numbers.outsideFraction]).toEqual([before.go, before.seenFraction, before.outsideFraction]);
  });
});
