/** Fields of the job's schema. Every message is what was expected, in words that fit after "expected". */
import { z } from "zod";

export const text = z.string({ error: "a text" }).trim().min(1, { error: "a text that is not blank" });
export const flag = z.boolean({ error: "true or false" });
export const finite = z.number({ error: "a finite number" });
export const positive = finite.gt(0, { error: "a number above 0" });
export const notNegative = finite.gte(0, { error: "a number of at least 0" });
export const fraction = finite.gte(0, { error: "a fraction from 0 to 1" }).lte(1, { error: "a fraction from 0 to 1" });

/** Whole number of at least `least`. */
export const whole = (least: number): z.ZodNumber => {
  const error = `a whole number of at least ${least}`;
  return z.number({ error }).int({ error }).gte(least, { error });
};

export const oneOf = <const T extends readonly [string, ...string[]]>(values: T): z.ZodEnum<{ [K in T[number]]: K }> =>
  z.enum(values, { error: `one of ${values.map((v) => `"${v}"`).join(", ")}` });

/** An object whose unknown keys show as issues; `resolveJob` turns those into warnings. */
export const block = <T extends z.core.$ZodLooseShape>(shape: T): z.ZodObject<T, z.core.$strict> => z.strictObject(shape, { error: "an object" });

/** Optional, without a default: null where it is not given. */
export const orNull = <T extends z.ZodType>(field: T): z.ZodDefault<z.ZodNullable<T>> => field.nullable().default(null as never);

const pair = z.tuple([finite, finite], { error: "two numbers [low, high]" });
export const range = pair.refine(([low, high]) => low < high, { error: "two numbers [low, high] with low below high" });

/** Watch inside act, and the planned value `plan` strictly inside act (a metric's act limits are distances from the plan). */
export const band = (plan: number): z.ZodType<{ watch: [number, number]; act: [number, number] }> =>
  block({ watch: range, act: range })
    .refine((b) => b.act[0] <= b.watch[0] && b.act[1] >= b.watch[1], { path: ["act"], error: "limits that hold the watch limits inside them" })
    .refine((b) => b.act[0] < plan && b.act[1] > plan, { path: ["act"], error: `limits with the planned value ${plan} between them` });

export const sizeBand = block({ watch: positive, act: positive })
  .refine((b) => b.act >= b.watch, { path: ["act"], error: "a limit of at least the watch limit" });

export const poseOf7 = z.tuple([finite, finite, finite, finite, finite, finite, finite], { error: "seven numbers [tx, ty, tz, qx, qy, qz, qw]" });
