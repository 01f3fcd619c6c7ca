import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { resolveJob, toleranceEcho } from "../../lib/model/jobSchema.ts";

type Raw = Record<string, any>;

function rawJob(change: (job: Raw) => void = () => undefined): Raw {
  const job: Raw = {
    contract: "aslaid/1", name: "foam block", plan: { file: "plan.csv" }, stationSpacingMm: 0.5,
    nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 },
    material: { name: "test paste", beadShape: "stadium" },
    devices: [
      { id: "profiler-1", kind: "profiler", points: 640, x0Mm: -8, dxMm: 0.025, sigmaZMm: 0.012 },
      { id: "tracker-1", kind: "tracker", sigmaMm: 0.07 }, { id: "arm-1", kind: "arm" },
      { id: "camera-1", kind: "camera", widthPx: 1280, heightPx: 960, fx: 1400, fy: 1401, cx: 640, cy: 480, k1: 0.1, k2: 0.2, p1: 0.3, p2: 0.4, k3: 0.5 },
    ],
  };
  change(job);
  return job;
}

function errorOf(change: (job: Raw) => void): InputError {
  try {
    resolveJob(rawJob(change), "job.json");
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("expected an InputError, got none");
}

describe("defaults of the contract", () => {
  const { job, warnings } = resolveJob(rawJob(), "job.json");

  it("leaves null what has no default and what follows the planned bead", () => {
    expect(job.specimen).toBeNull();
    expect(job.material).toEqual({ name: "test paste", lot: null, beadShape: "stadium", syringeVolumeMm3: null, workingTimeS: null, clockStarts: null, mixedAt: null, translucent: false });
    expect(job.nozzle.lengthMm).toBeNull();
    const { widthMm, heightMm, offsetMm, liftMm, strayAreaMm2, judgeWithinS } = job.tolerance;
    expect({ widthMm, heightMm, offsetMm, liftMm, strayAreaMm2, judgeWithinS }).toEqual({ widthMm: null, heightMm: null, offsetMm: null, liftMm: null, strayAreaMm2: null, judgeWithinS: null });
    expect(Object.values(job.tolerance.minLengthMm)).toEqual([null, null, null, null, null, null]);
    expect(job.devices[0]).toMatchObject({ surfaceBiasMm: null, clockOffsetS: null });
    expect(job.arm).toBeNull();
    expect(warnings).toEqual([]);
  });

  it("fills in the fixed numbers of tolerance and acceptance", () => {
    expect(job.tolerance).toMatchObject({
      areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] }, gapRatio: 0.25, decisionRule: "guarded-1.645", camera: { separability: 0.9, poseErrorMm: 0.5 },
      motion: { horizonS: 0.1, markerLostHoldS: 0.5, displacementMm: 0.25, registrationNormalMm: 0.06, registrationMm: 0.15 },
    });
    expect(job.acceptance).toEqual({ minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 });
  });

  it("fills in the policy: pause for detached and lifted strands, at once; advise else, at the strand's end", () => {
    const { onFinding, pauseAt, ...rest } = job.policy;
    expect(onFinding).toMatchObject({ detachedStrand: "pause", liftedStrand: "pause", gap: "advise", strayMaterial: "advise", nozzleHang: "advise" });
    expect(pauseAt).toMatchObject({ detachedStrand: "now", liftedStrand: "now", strayMaterial: "now", gap: "strandEnd" });
    expect(rest).toEqual({
      layerGate: { minMeasuredFraction: 0.95, openAct: "hold" }, flow: { mode: "off", clamp: [0.85, 1.15], ratePerS: 0.02 },
      watchdogs: { profilerSilentS: 1, progressSilentS: 2, receiptS: 1, cellSilenceS: 2, diskFreeFraction: 0.05, backlogS: 2, workingTimeLeftS: 60 },
      resume: { overlapMm: 1, safeHeightMm: 10, nozzleIdleS: 90 },
    });
  });
});

describe("what the job gives", () => {
  it("takes camera and motion from the top of the job, and those inside tolerance before them, key by key", () => {
    const { job } = resolveJob(rawJob((raw) => {
      raw.camera = { poseErrorMm: 0.7, separability: 0.8 };
      raw.motion = { horizonS: 0.3 };
      raw.tolerance = { camera: { separability: 0.95 }, motion: { displacementMm: 0.4 } };
    }), "job.json");
    expect(job.tolerance.camera).toEqual({ separability: 0.95, poseErrorMm: 0.7 });
    expect(job.tolerance.motion).toMatchObject({ horizonS: 0.3, displacementMm: 0.4, markerLostHoldS: 0.5 });
  });

  it("counts null as not given", () => {
    const { job } = resolveJob(rawJob((raw) => { raw.specimen = null; raw.tolerance = { gapRatio: null, judgeWithinS: null }; }), "job.json");
    expect([job.specimen, job.tolerance.gapRatio, job.tolerance.judgeWithinS]).toEqual([null, 0.25, null]);
  });

  it("normalises a mount's quaternion of length 1.0005", () => {
    const { job } = resolveJob(rawJob((raw) => { raw.mounts = [{ from: "profiler-1", to: "tool", pose: [1, 2, 3, 0, 0, 0.6 * 1.0005, 0.8 * 1.0005] }]; }), "job.json");
    expect(job.mounts[0]?.pose[5]).toBeCloseTo(0.6, 12);
    expect(job.mounts[0]?.u).toBeNull();
  });

  it("gives one warning per unknown key, at any depth, and names it", () => {
    const { job, warnings } = resolveJob(rawJob((raw) => {
      raw.colour = "red";
      raw.nozzle.bore = 3;
      raw.devices[0].lens = 4;
      raw.policy = { onFinding: { gap: "pause", bubble: "log" } };
    }), "job.json");
    expect(warnings.map((w) => w.message.split(" ")[2])).toEqual(["nozzle.bore", "devices.0.lens", "policy.onFinding.bubble", "colour"]);
    expect(warnings.every((w) => w.code === "job.unknownKey" && w.file === "job.json")).toBe(true);
    expect(job.policy.onFinding["gap"]).toBe("pause");
  });

  it("resolves a plan in words with its flow, letters in capitals", () => {
    const { job } = resolveJob(rawJob((raw) => { raw.plan = { file: "plan.gcode", flowWord: "e", flowUnit: "plungerMm", flowMode: "increment", syringeAreaMm2: 78.5, axisWords: "ijk" }; }), "job.json");
    expect(job.plan).toEqual({ file: "plan.gcode", gcode: { flowWord: "E", flowUnit: "plungerMm", flowMode: "increment", syringeAreaMm2: 78.5, axisWords: "IJK" } });
  });
});

describe("bad jobs", () => {
  it.each<[string, (job: Raw) => void, string, string]>([
    ["another contract", (j) => { j.contract = "aslaid/2"; }, "job.wrongContract", "contract"],
    ["no contract", (j) => { delete j.contract; }, "job.wrongContract", "contract"],
    ["no nozzle", (j) => { delete j.nozzle; }, "job.missing", "nozzle"],
    ["no kind of device", (j) => { delete j.devices[1].kind; }, "job.missing", "devices.1.kind"],
    ["an unknown kind of device", (j) => { j.devices[1].kind = "scale"; }, "job.badValue", "devices.1.kind"],
    ["640.5 points", (j) => { j.devices[0].points = 640.5; }, "job.badValue", "devices.0.points"],
    ["a text for a number", (j) => { j.devices[0].dxMm = "0.025"; }, "job.badValue", "devices.0.dxMm"],
    ["a spacing of 0", (j) => { j.stationSpacingMm = 0; }, "job.badValue", "stationSpacingMm"],
    ["a nozzle thinner outside than inside", (j) => { j.nozzle.outerDiameterMm = 0.8; }, "job.badValue", "nozzle.outerDiameterMm"],
    ["a cone of 180 degrees", (j) => { j.nozzle.coneAngleDeg = 180; }, "job.badValue", "nozzle.coneAngleDeg"],
    ["a round bead", (j) => { j.material.beadShape = "round"; }, "job.badValue", "material.beadShape"],
    ["a translucent that is a text", (j) => { j.material.translucent = "no"; }, "job.badValue", "material.translucent"],
    ["a mixing time that is none", (j) => { j.material.mixedAt = "yesterday"; }, "job.badValue", "material.mixedAt"],
    ["watch limits upside down", (j) => { j.tolerance = { areaRatio: { watch: [1.1, 0.9], act: [0.8, 1.25] } }; }, "job.badValue", "tolerance.areaRatio.watch"],
    ["act limits inside watch", (j) => { j.tolerance = { widthMm: { watch: [-0.2, 0.2], act: [-0.1, 0.3] } }; }, "job.badValue", "tolerance.widthMm.act"],
    ["act limits beside the plan", (j) => { j.tolerance = { heightMm: { watch: [0.1, 0.2], act: [0.05, 0.3] } }; }, "job.badValue", "tolerance.heightMm.act"],
    ["no act limit", (j) => { j.tolerance = { offsetMm: { watch: 0.15 } }; }, "job.missing", "tolerance.offsetMm.act"],
    ["an offset's act limit below watch", (j) => { j.tolerance = { offsetMm: { watch: 0.3, act: 0.29 } }; }, "job.badValue", "tolerance.offsetMm.act"],
    ["a gap ratio of 1", (j) => { j.tolerance = { gapRatio: 1 }; }, "job.badValue", "tolerance.gapRatio"],
    ["an unknown decision rule", (j) => { j.tolerance = { decisionRule: "simple" }; }, "job.badValue", "tolerance.decisionRule"],
    ["a fraction of 1.01", (j) => { j.acceptance = { minMeasuredFraction: 1.01 }; }, "job.badValue", "acceptance.minMeasuredFraction"],
    ["a flow clamp without 1", (j) => { j.policy = { flow: { clamp: [1.01, 1.2] } }; }, "job.badValue", "policy.flow.clamp"],
    ["an unknown act", (j) => { j.policy = { onFinding: { gap: "stop" } }; }, "job.badValue", "policy.onFinding.gap"],
    ["two devices of one id", (j) => { j.devices[2].id = "tracker-1"; }, "job.duplicateDevice", "devices.2.id"],
    ["a device id with a slash", (j) => { j.devices[0].id = "../x"; }, "job.badValue", "devices.0.id"],
    ["a mount's quaternion of length 1.002", (j) => { j.mounts = [{ from: "a", to: "b", pose: [0, 0, 0, 0, 0, 0, 1.002] }]; }, "job.badValue", "mounts.0.pose"],
    ["a mount of six numbers", (j) => { j.mounts = [{ from: "a", to: "b", pose: [0, 0, 0, 0, 0, 1] }]; }, "job.badValue", "mounts.0.pose"],
    ["a joint without room to move", (j) => { j.arm = { dh: [{ aMm: 1, alphaRad: 2, dMm: 3, thetaRad: 4, minRad: 0.5, maxRad: 0.5 }] }; }, "job.badValue", "arm.dh.0.maxRad"],
    ["G-code without a flow word", (j) => { j.plan = { file: "plan.gcode" }; }, "job.missing", "plan.flowWord"],
    ["plungerMm without the syringe's area", (j) => { j.plan = { file: "plan.gcode", flowWord: "E", flowUnit: "plungerMm", flowMode: "total" }; }, "job.missing", "plan.syringeAreaMm2"],
    ["a flow word that is an axis", (j) => { j.plan = { file: "plan.gcode", flowWord: "X", flowUnit: "mm3", flowMode: "total" }; }, "job.badValue", "plan.flowWord"],
    ["axis words that repeat", (j) => { j.plan = { file: "plan.gcode", flowWord: "E", flowUnit: "mm3", flowMode: "total", axisWords: "IJI" }; }, "job.badValue", "plan.axisWords"],
  ])("refuses %s", (_, change, code, key) => {
    const error = errorOf(change);
    expect([error.code, error.place.key, error.place.file]).toEqual([code, key, "job.json"]);
    expect(error.message).toMatch(/^expected .+, got .+ \(at job\.json, key /);
  });

  it("refuses a list in place of the job", () => {
    expect(() => resolveJob([], "job.json")).toThrow(expect.objectContaining({ code: "job.badValue" }));
  });

  it("takes a decision rule of guarded-0, watch limits equal to act, and a gap ratio just above 0", () => {
    const { job } = resolveJob(rawJob((j) => { j.tolerance = { decisionRule: "guarded-0", gapRatio: 1e-6, widthMm: { watch: [-0.2, 0.21], act: [-0.2, 0.21] } }; }), "job.json");
    expect([job.tolerance.decisionRule, job.tolerance.gapRatio]).toEqual(["guarded-0", 1e-6]);
  });
});

describe("the tolerance in the result", () => {
  it("shows what the job gave and the fixed defaults, not what follows the planned bead", () => {
    const raw = rawJob((j) => { j.tolerance = { widthMm: { watch: [-0.1, 0.11], act: [-0.2, 0.21] }, minLengthMm: { gap: 1.5 }, judgeWithinS: 30 }; });
    expect(toleranceEcho(raw, resolveJob(raw, "job.json").job)).toEqual({
      areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] }, widthMm: { watch: [-0.1, 0.11], act: [-0.2, 0.21] }, gapRatio: 0.25, judgeWithinS: 30, minLengthMm: { gap: 1.5 },
      decisionRule: "guarded-1.645", camera: { separability: 0.9, poseErrorMm: 0.5 },
      motion: { horizonS: 0.1, markerLostHoldS: 0.5, displacementMm: 0.25, registrationNormalMm: 0.06, registrationMm: 0.15 },
    });
  });

  it("has only the five fixed keys where the job gives no tolerance", () => {
    const raw = rawJob();
    expect(Object.keys(toleranceEcho(raw, resolveJob(raw, "job.json").job))).toEqual(["areaRatio", "gapRatio", "decisionRule", "camera", "motion"]);
  });
});
