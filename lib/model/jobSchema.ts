import type { z } from "zod";
import { InputError, type InputCode, type Warning } from "../base/errors.ts";
import { describe } from "./describe.ts";
import type { Job, Mount, PlanSource, Tolerance } from "./job.ts";
import { CAMERA_DEFAULT, jobShape, MOTION_DEFAULT, type JobShape } from "./jobShape.ts";
import { unitPose } from "./pose.ts";
import type { ToleranceEcho } from "./result.ts";

/**
 * The job as the program uses it, from parsed JSON. A null anywhere counts as not given; an unknown key at any depth is one
 * warning that names it and is otherwise ignored.
 * Throws InputError job.missing, job.badValue, job.wrongContract or job.duplicateDevice with the dotted key.
 */
export function resolveJob(raw: unknown, file: string): { job: Job; warnings: Warning[] } {
  if (typeof raw !== "object" || raw === null || Array.isArray(raw)) throw new InputError("job.badValue", "a JSON object", describe(raw), { file });
  const cleaned = withoutNulls(raw) as Record<string, unknown>;
  if (cleaned["contract"] !== "aslaid/1") {
    throw new InputError("job.wrongContract", '"aslaid/1"', describe(cleaned["contract"]), { file, key: "contract" });
  }
  const { shape, unknownKeys } = parseLeniently(cleaned, file);
  refuseDuplicates(shape, file);
  const warnings = unknownKeys.map((key): Warning => ({ code: "job.unknownKey", message: `the key ${key} is not known and is ignored`, file }));
  return { job: jobOf(shape, file), warnings };
}

/** The tolerance as the job gave it (`raw` is its JSON), defaults filled in where they are fixed numbers; limits that follow the planned bead stand only where the job gave them. */
export function toleranceEcho(raw: unknown, job: Job): ToleranceEcho {
  const given = ((raw as { tolerance?: unknown } | null)?.tolerance ?? {}) as Record<string, unknown>;
  const echo: Record<string, unknown> = {};
  for (const [key, value] of Object.entries(job.tolerance)) {
    if (key === "minLengthMm") {
      const stated = Object.fromEntries(Object.entries(job.tolerance.minLengthMm).filter(([, mm]) => mm !== null));
      if ((given[key] ?? null) !== null) echo[key] = stated;
    } else if (value !== null) echo[key] = value;
  }
  return echo;
}

function withoutNulls(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withoutNulls);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== null).map(([k, v]) => [k, withoutNulls(v)]));
}

/** Takes unknown keys out of `value` until the schema has nothing against it but real faults. */
function parseLeniently(value: Record<string, unknown>, file: string): { shape: JobShape; unknownKeys: string[] } {
  const unknownKeys: string[] = [];
  for (;;) {
    const parsed = jobShape.safeParse(value);
    if (parsed.success) return { shape: parsed.data, unknownKeys };
    const strangers = parsed.error.issues.filter((issue) => issue.code === "unrecognized_keys");
    if (strangers.length === 0) throw errorOf(parsed.error.issues, value, file);
    for (const { path, keys } of strangers) {
      const owner = valueAt(value, path) as Record<string, unknown>;
      for (const key of keys) {
        unknownKeys.push([...path, key].join("."));
        delete owner[key];
      }
    }
  }
}

function valueAt(root: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>((at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key], root);
}

function errorOf(issues: readonly z.core.$ZodIssue[], root: unknown, file: string): InputError {
  const issue = issues[0];
  if (issue === undefined) throw new TypeError("a failed parse has an issue");
  const found = valueAt(root, issue.path);
  return new InputError(found === undefined ? "job.missing" : "job.badValue", issue.message, describe(found), { file, key: issue.path.join(".") });
}

function refuseDuplicates(shape: JobShape, file: string): void {
  const seen = new Set<string>();
  shape.devices.forEach((device, i) => {
    if (seen.has(device.id)) throw new InputError("job.duplicateDevice", "an id of its own for each device", describe(device.id), { file, key: `devices.${i}.id` });
    seen.add(device.id);
  });
}

function jobOf(shape: JobShape, file: string): Job {
  const { camera, motion, plan, tolerance, mounts, ...rest } = shape;
  const limits: Tolerance = {
    ...tolerance,
    camera: withDefaults(CAMERA_DEFAULT, camera, tolerance.camera),
    motion: withDefaults(MOTION_DEFAULT, motion, tolerance.motion),
  };
  return { ...rest, plan: planSource(plan, file), tolerance: limits, mounts: mounts.map((mount, i) => mountOf(mount, i, file)) };
}

/** The limits inside `tolerance` win over those at the top of the job, key by key. */
function withDefaults<T extends Readonly<Record<string, number>>>(base: T, top: object, inner: object): { [K in keyof T]: number } {
  return { ...base, ...top, ...inner };
}

function mountOf(mount: JobShape["mounts"][number], i: number, file: string): Mount {
  const pose = unitPose(mount.pose);
  if (pose === null) throw new InputError("job.badValue", "a quaternion of unit length within 0.001", describe(mount.pose.slice(3)), { file, key: `mounts.${i}.pose` });
  return { ...mount, pose };
}

function planSource(plan: JobShape["plan"], file: string): PlanSource {
  const isGcode = /\.gcode$/i.test(plan.file) || (plan.flowWord !== undefined && !/\.csv$/i.test(plan.file));
  if (!isGcode) return { file: plan.file, gcode: null };
  const refuse = (code: InputCode, key: string, expected: string, got: unknown): never => {
    throw new InputError(code, expected, describe(got), { file, key: `plan.${key}` });
  };
  const { flowWord, flowUnit, flowMode, syringeAreaMm2 = null, axisWords } = plan;
  if (flowWord === undefined) return refuse("job.missing", "flowWord", "the letter of the word that carries material flow", flowWord);
  if (flowUnit === undefined) return refuse("job.missing", "flowUnit", '"mm3" or "plungerMm"', flowUnit);
  if (flowMode === undefined) return refuse("job.missing", "flowMode", '"total" or "increment"', flowMode);
  if (flowUnit === "plungerMm" && syringeAreaMm2 === null) return refuse("job.missing", "syringeAreaMm2", "the syringe's area for a flow in plungerMm", undefined);
  const letters = `GXYZF${(axisWords ?? "").toUpperCase()}`;
  if (letters.includes(flowWord.toUpperCase())) return refuse("job.badValue", "flowWord", `a letter other than ${letters.split("").join(" ")}`, flowWord);
  if (/[GXYZF]/i.test(axisWords ?? "")) return refuse("job.badValue", "axisWords", "letters other than G X Y Z F", axisWords);
  return { file: plan.file, gcode: { flowWord: flowWord.toUpperCase(), flowUnit, flowMode, syringeAreaMm2, axisWords: axisWords?.toUpperCase() ?? null } };
}
