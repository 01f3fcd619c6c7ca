/** Bodies of the wire that are JSON, and what it answers: the schemas that check them describe them too. */
import { z } from "zod";

/** Largest bodies, bytes. */
export const BODY_LIMIT_BYTES = { json: 64 << 20, rows: 8 << 20, profiles: 96 << 20, frame: 48 << 20, small: 64 << 10 } as const;

/** Text that every writer of JSON, the log and the database keep as it is. */
const words = z.string().refine((text) => !/\p{Surrogate}/u.test(text), { error: "text without halves of surrogate pairs" });

export const newRunBody = z.strictObject({
  job: z.record(z.string(), z.unknown()).describe("job.json of the run folder"),
  planText: words.min(1).describe("plan.csv or plan.gcode as text"),
  planFormat: z.enum(["csv", "gcode"]),
});
export type NewRunBody = z.output<typeof newRunBody>;

export const receiptBody = z.strictObject({
  outcome: z.enum(["done", "refused", "failed"]),
  tS: z.number().describe("the cell's clock, s"),
  note: words.max(2000).default(""),
});
export type ReceiptBody = z.output<typeof receiptBody>;

const reason = words.max(2000).describe("why, for the log");
const place = { layer: z.int().min(1), strand: z.int().min(1) };

/** What the cell can be asked for. */
export const commandBody = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("pause"), at: z.enum(["now", "strandEnd", "layerEnd"]), retractMm: z.number().min(0).max(1000).default(0), reason }),
  z.strictObject({ kind: z.literal("resume"), ...place, sMm: z.number().min(0), overlapMm: z.number().min(0).default(0), rows: z.array(z.record(words, z.union([words, z.number(), z.boolean(), z.null()]))).default([]) }),
  z.strictObject({ kind: z.literal("abort"), reason }),
  z.strictObject({ kind: z.literal("flowFactor"), factor: z.number().positive().max(10), ...place, fromMm: z.number().min(0) }),
]);
export type CommandBody = z.output<typeof commandBody>;

/** A command as the cell gets it: its number, and what it asks. */
export type NumberedCommand = CommandBody & { readonly n: number };

/** The answer to everything that brings data. */
export interface Kept {
  readonly accepted: number;
  readonly duplicates: number;
  readonly rejected: readonly { readonly index: number; readonly reason: string }[];
}
