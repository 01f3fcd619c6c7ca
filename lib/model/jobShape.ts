/**
 * The raw job.json, block by block. Every default of the contract that is a fixed number stands here and nowhere else;
 * what follows the planned bead has none here (`judge/` fills it in station by station).
 */
import { z } from "zod";
import { band, block, finite, flag, fraction, notNegative, oneOf, orNull, poseOf7, positive, range, sizeBand, text, whole } from "./jobFields.ts";
import { FINDING_KINDS, type FindingKind } from "./result.ts";

export const CAMERA_DEFAULT = { separability: 0.9, poseErrorMm: 0.5 } as const;
export const MOTION_DEFAULT = { horizonS: 0.1, markerLostHoldS: 0.5, displacementMm: 0.25, registrationNormalMm: 0.06, registrationMm: 0.15 } as const;

const plan = block({
  file: text.refine((f) => !f.includes("\0"), { error: "a file name without a NUL" }),
  flowWord: z.string({ error: "one letter" }).regex(/^[A-Z]$/i, { error: "one letter" }).optional(),
  flowUnit: oneOf(["mm3", "plungerMm"]).optional(),
  flowMode: oneOf(["total", "increment"]).optional(),
  syringeAreaMm2: positive.optional(),
  axisWords: z.string({ error: "three different letters" }).regex(/^(?!.*(.).*\1)[A-Z]{3}$/i, { error: "three different letters" }).optional(),
});

const nozzle = block({
  innerDiameterMm: positive,
  outerDiameterMm: positive,
  coneAngleDeg: finite.gte(0, { error: "an angle from 0 to below 180" }).lt(180, { error: "an angle from 0 to below 180" }),
  lengthMm: orNull(positive),
}).refine((n) => n.outerDiameterMm > n.innerDiameterMm, { path: ["outerDiameterMm"], error: "an outer diameter above the inner one" });

const time = z.iso.datetime({ offset: true, error: "a time as in 2026-02-03T09:12:00Z" });

const material = block({
  name: text,
  lot: orNull(text),
  beadShape: oneOf(["stadium", "segment"]),
  syringeVolumeMm3: orNull(positive),
  workingTimeS: orNull(positive),
  clockStarts: orNull(oneOf(["mixing", "wetting", "warming", "none"])),
  mixedAt: orNull(time),
  translucent: flag.default(false),
});

const id = text.regex(/^[^/\\\p{Cc}]+$/u, { error: "an id without slashes or control characters" });
const clockOffsetS = orNull(finite);

const profiler = block({
  id, kind: z.literal("profiler"), points: whole(2), x0Mm: finite, dxMm: positive, sigmaZMm: notNegative,
  surfaceBiasMm: orNull(block({ value: finite, u: notNegative })), clockOffsetS,
});
const calibration = block({
  at: text, pictures: whole(1), points: whole(1), rmsPx: notNegative, verdict: oneOf(["good", "doubtful", "bad"]), why: z.array(text, { error: "a list of sentences" }),
  u: block({ fx: orNull(notNegative), fy: orNull(notNegative), cx: orNull(notNegative), cy: orNull(notNegative), k1: orNull(notNegative), k2: orNull(notNegative), p1: orNull(notNegative), p2: orNull(notNegative), k3: orNull(notNegative) }),
});
/** A camera's block in a job. */
export const cameraBlock = block({
  id, kind: z.literal("camera"), widthPx: whole(1), heightPx: whole(1), fx: positive, fy: positive, cx: finite, cy: finite,
  k1: finite, k2: finite, p1: finite, p2: finite, k3: finite,
  maskPx: z.array(z.tuple([finite, finite, finite, finite], { error: "four numbers" }), { error: "a list of masked rectangles" }).default([]),
  clockOffsetS, calibration: orNull(calibration),
});
const tracker = block({ id, kind: z.literal("tracker"), sigmaMm: orNull(positive), clockOffsetS });
const arm = block({ id, kind: z.literal("arm"), clockOffsetS });
const device = z.discriminatedUnion("kind", [profiler, cameraBlock, tracker, arm], {
  error: (issue) => (issue.code === "invalid_union" ? 'one of "profiler", "camera", "tracker", "arm"' : "an object"),
});

const cameraLimits = block({
  separability: finite.gte(0.5, { error: "a number from 0.5 to 1" }).lte(1, { error: "a number from 0.5 to 1" }).optional(),
  poseErrorMm: positive.optional(),
});
const motionLimits = block({
  horizonS: positive.optional(), markerLostHoldS: positive.optional(), displacementMm: positive.optional(),
  registrationNormalMm: positive.optional(), registrationMm: positive.optional(),
});

const tolerance = block({
  areaRatio: band(1).default({ watch: [0.9, 1.1], act: [0.8, 1.25] }),
  widthMm: orNull(band(0)),
  heightMm: orNull(band(0)),
  offsetMm: orNull(sizeBand),
  gapRatio: finite.gt(0, { error: "a ratio above 0 and below 1" }).lt(1, { error: "a ratio above 0 and below 1" }).default(0.25),
  liftMm: orNull(positive),
  strayAreaMm2: orNull(positive),
  judgeWithinS: orNull(positive),
  minLengthMm: block({
    gap: orNull(notNegative), underExtrusion: orNull(notNegative), overExtrusion: orNull(notNegative),
    liftedStrand: orNull(notNegative), displacedStrand: orNull(notNegative), unmeasured: orNull(notNegative),
  }).prefault({}),
  decisionRule: z.string({ error: 'a rule as in "guarded-1.645"' }).regex(/^guarded-\d+(\.\d+)?$/, { error: 'a rule as in "guarded-1.645"' }).default("guarded-1.645"),
  camera: cameraLimits.prefault({}),
  motion: motionLimits.prefault({}),
});

const acceptance = block({ minMeasuredFraction: fraction.default(0.95), minInBandFraction: fraction.default(0.9), maxActFindings: whole(0).default(0) });

/** One field per finding kind, each with its own default. */
function perKind<F extends z.ZodEnum, V extends z.output<F> & string>(field: F, usual: V, special: Partial<Record<FindingKind, V>>) {
  const shape = {} as Record<FindingKind, z.ZodDefault<F>>;
  for (const kind of FINDING_KINDS) shape[kind] = field.default((special[kind] ?? usual) as never);
  return block(shape).prefault({});
}

const policy = block({
  onFinding: perKind(oneOf(["log", "advise", "pause"]), "advise", { detachedStrand: "pause", liftedStrand: "pause" }),
  pauseAt: perKind(oneOf(["now", "strandEnd", "layerEnd"]), "strandEnd", { detachedStrand: "now", liftedStrand: "now", strayMaterial: "now" }),
  layerGate: block({ minMeasuredFraction: fraction.default(0.95), openAct: oneOf(["hold", "advise"]).default("hold") }).prefault({}),
  flow: block({
    mode: oneOf(["off", "advise", "act"]).default("off"),
    clamp: range.refine(([low, high]) => low > 0 && low <= 1 && high >= 1, { error: "two factors above 0 with 1 between them" }).default([0.85, 1.15]),
    ratePerS: positive.default(0.02),
  }).prefault({}),
  watchdogs: block({
    profilerSilentS: positive.default(1), progressSilentS: positive.default(2), receiptS: positive.default(1), cellSilenceS: positive.default(2),
    diskFreeFraction: fraction.default(0.05), backlogS: positive.default(2), workingTimeLeftS: notNegative.default(60),
  }).prefault({}),
  resume: block({ overlapMm: notNegative.default(1), safeHeightMm: notNegative.default(10), nozzleIdleS: positive.default(90) }).prefault({}),
});

/** One mount. */
export const mountBlock = block({ from: text, to: text, pose: poseOf7, u: orNull(block({ mm: notNegative, deg: notNegative })) });
const dhRow = block({ aMm: finite, alphaRad: finite, dMm: finite, thetaRad: finite, minRad: finite, maxRad: finite })
  .refine((r) => r.minRad < r.maxRad, { path: ["maxRad"], error: "an upper joint limit above the lower one" });

/** job.json as it is written, defaults filled in; `camera` and `motion` may stand here or inside `tolerance`. */
export const jobShape = block({
  contract: z.literal("aslaid/1", { error: '"aslaid/1"' }),
  name: text,
  specimen: orNull(text),
  rehearsal: z.boolean({ error: "true or false" }).default(false),
  plan,
  stationSpacingMm: positive,
  nozzle,
  material,
  devices: z.array(device, { error: "a list of devices" }),
  tolerance: tolerance.prefault({}),
  acceptance: acceptance.prefault({}),
  policy: policy.prefault({}),
  mounts: z.array(mountBlock, { error: "a list of mounts" }).default([]),
  arm: orNull(block({ dh: z.array(dhRow, { error: "a list of joints" }).min(1, { error: "at least one joint" }) })),
  camera: cameraLimits.prefault({}),
  motion: motionLimits.prefault({}),
});
export type JobShape = z.output<typeof jobShape>;
