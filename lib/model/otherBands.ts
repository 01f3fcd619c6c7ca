/** A job with other bands: what a recompute measures the same data with. */
import { InputError } from "../base/errors.ts";
import { describe } from "./describe.ts";
import type { Job } from "./job.ts";
import { resolveJob } from "./jobSchema.ts";

type Json = Readonly<Record<string, unknown>>;

/** What may change. Plan, devices, nozzle and material are what was laid and seen. */
const MAY_CHANGE = ["tolerance", "acceptance"] as const;

const isBlock = (value: unknown): value is Json => typeof value === "object" && value !== null && !Array.isArray(value);

/** Key by key; what is not a block takes the other's place. */
function merged(own: unknown, changes: Json): Json {
  const base = isBlock(own) ? own : {};
  return { ...base, ...Object.fromEntries(Object.entries(changes).map(([key, value]) => [key, isBlock(value) ? merged(base[key], value) : value])) };
}

/** A key that the job does not know would change nothing without a word. */
function requireKnown(changes: Json, known: unknown, at: string, file: string): void {
  for (const [key, value] of Object.entries(changes)) {
    const path = at === "" ? key : `${at}.${key}`, inner = isBlock(known) && Object.hasOwn(known, key) ? known[key] : undefined;
    if (inner === undefined) throw new InputError("job.badValue", "a key that the job knows", describe(key), { file, key: path });
    if (isBlock(value) && isBlock(inner)) requireKnown(value, inner, path, file);
  }
}

/**
 * `changes` are keys of `tolerance` and `acceptance` (inside blocks of those names), merged over the job's own; null takes the job's own away, so that
 * the default counts. `rawJob` is the JSON of the run's job. InputError job.* with `file` and the dotted key; job.badValue also for a key that the job
 * does not know, for any other block, and for changes that change nothing.
 */
export function withOtherBands(rawJob: unknown, changes: unknown, file: string): { readonly rawJob: Json; readonly job: Job } {
  const { job: own } = resolveJob(rawJob, "job.json");
  if (!isBlock(changes)) throw new InputError("job.badValue", `an object with ${MAY_CHANGE.join(" or ")}`, describe(changes), { file });
  for (const [key, value] of Object.entries(changes)) {
    if (!MAY_CHANGE.some((each) => each === key)) throw new InputError("job.badValue", `changes of ${MAY_CHANGE.join(" and ")} alone`, describe(key), { file, key });
    if (!isBlock(value)) throw new InputError("job.badValue", "an object", describe(value), { file, key });
  }
  const raw = merged(rawJob, changes), { job } = resolveJob(raw, file);
  requireKnown(changes, job, "", file);
  const bandsOf = ({ tolerance, acceptance }: Job): string => JSON.stringify([tolerance, acceptance]);
  if (bandsOf(job) === bandsOf(own)) throw new InputError("job.badValue", "bands that differ from the run’s own", "the same", { file });
  return { rawJob: raw, job };
}
