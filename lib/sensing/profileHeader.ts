import { InputError, type Place } from "../base/errors.ts";
import { describe } from "../model/describe.ts";
import type { Device, Profiler } from "../model/job.ts";
import { deviceOf } from "./fields.ts";

/** Frames of reference that a profile's pose may carry sensor coordinates into. */
export const FRAMES = ["plan", "base", "tool", "marker"] as const;

/** What a profile stream says of itself: whose profiles, and in which frame their poses are. */
export interface ProfileHeader {
  readonly profiler: Profiler;
  readonly frame: string;
  /** Keys beside `device` and `frame`: ignored, worth a warning. */
  readonly unknownKeys: readonly string[];
}

/** Checks the header of a profile stream: the first line of NDJSON, or the schema metadata of Arrow. */
export function checkProfileHeader(entries: ReadonlyMap<string, unknown>, devices: readonly Device[], place: Place): ProfileHeader {
  const [device, frame] = ["device", "frame"].map((key) => {
    const value = entries.get(key);
    if (value === undefined) throw new InputError("sensing.missingColumn", `a ${key}`, "nothing", { ...place, key });
    if (typeof value !== "string") throw new InputError("sensing.badValue", "a text", describe(value), { ...place, key });
    return value;
  }) as [string, string];
  const profiler = deviceOf(devices, device, ["profiler"], { ...place, key: "device" });
  if (!FRAMES.some((known) => known === frame)) {
    throw new InputError("sensing.badValue", `one of ${FRAMES.join(", ")}`, describe(frame), { ...place, key: "frame" });
  }
  return { profiler, frame, unknownKeys: [...entries.keys()].filter((key) => key !== "device" && key !== "frame") };
}

/** The header line of profiles.ndjson. */
export function decodeProfileHeader(text: string, devices: readonly Device[], place: Place): ProfileHeader {
  return checkProfileHeader(new Map(Object.entries(parseObject(text, place))), devices, place);
}

/** A line's JSON object; sensing.notJson otherwise. */
export function parseObject(text: string, place: Place): Record<string, unknown> {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    throw new InputError("sensing.notJson", "a JSON object", cause instanceof Error ? cause.message : String(cause), place, cause);
  }
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw new InputError("sensing.notJson", "a JSON object", describe(value), place);
  return value as Record<string, unknown>;
}
