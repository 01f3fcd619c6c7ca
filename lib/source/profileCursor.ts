import { DeviceClocks, referenceS } from "../sensing/clock.ts";
import { InputError, type Place, type Warning } from "../base/errors.ts";
import type { Device } from "../model/job.ts";
import type { ProfileMessage } from "../model/messages.ts";
import type { ProfileHeader } from "../sensing/profileHeader.ts";
import type { Cursor } from "./cursor.ts";
import type { WarningLog } from "./warningLog.ts";

/** A file of profiles in the folder. */
export interface ProfileFile {
  readonly path: string;
  /** Name relative to the folder. */
  readonly file: string;
  /** The ID of `profiles.ID.…`; null where the name has none. */
  readonly deviceInName: string | null;
}

export interface ProfileReading {
  readonly devices: readonly Device[];
  readonly isLayerRequired: boolean;
  readonly warnings: WarningLog;
}

/** A cursor over one profiler's file; `header` is known after the first `refill`, and stays null where the stream broke off before it. */
export interface ProfileCursor extends Cursor {
  readonly header: ProfileHeader | null;
}

/** Profiles of one decoded batch are handed on in pieces of this many. */
export const PIECE = 256;

/** Checks time within the device and turns its stamps into reference time. */
export class ProfileClock {
  private readonly clocks = new DeviceClocks();
  constructor(private readonly header: ProfileHeader) {}

  settle(message: ProfileMessage, place: () => Place): ProfileMessage {
    const { id, clockOffsetS } = this.header.profiler;
    this.clocks.check(id, message.tS, place);
    return clockOffsetS === null ? message : { ...message, tS: referenceS(message.tS, clockOffsetS) };
  }
}

/** What a header says that the reader of the result should know. */
export function headerWarnings(header: ProfileHeader, file: string): Warning[] {
  const warnings = header.unknownKeys.map((key): Warning => ({ code: "sensing.unknownKey", message: `the key ${key} of the header is not known and is ignored`, file }));
  if (header.frame !== "plan") {
    warnings.push({ code: "sensing.frameNotPlan", message: `profiles of ${header.profiler.id} are in the frame ${header.frame}: they are kept, and measure nothing`, file });
  }
  return warnings;
}

/** `profiles.ID.…` holds the profiles of the device ID. */
export function checkName(header: ProfileHeader, source: ProfileFile, place: Place): void {
  const { deviceInName } = source;
  if (deviceInName === null || deviceInName === header.profiler.id) return;
  throw new InputError("sensing.unknownDevice", `the device ${deviceInName}, as the file's name says`, header.profiler.id, { ...place, key: "device" });
}
