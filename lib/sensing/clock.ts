import { InputError, type Place } from "../base/errors.ts";
import type { Device } from "../model/job.ts";

/**
 * Watches that time does not run backwards within a device (equal stamps are fine). `tS` as the device sent it.
 * For files; on the wire late messages are accepted.
 */
export class DeviceClocks {
  private readonly lastS = new Map<string, number>();

  /** Throws sensing.timeBack where `tS` lies before the device's last one. */
  check(device: string, tS: number, place: () => Place): void {
    const lastS = this.lastS.get(device);
    if (lastS !== undefined && tS < lastS) {
      throw new InputError("sensing.timeBack", `a time of at least ${lastS} s, the one before of the same device`, `${tS} s`, place());
    }
    this.lastS.set(device, tS);
  }
}

/** Reference time of a device's stamp: `tS − clockOffsetS`; a job that states no offset means 0. */
export function referenceS(tS: number, clockOffsetS: number | null): number {
  return tS - (clockOffsetS ?? 0);
}

/** A device's message with its stamp on the reference clock, as a recording's are read; the message itself where the job states no offset. */
export function onReference<M extends { readonly device: string; readonly tS: number }>(message: M, devices: readonly Pick<Device, "id" | "clockOffsetS">[]): M {
  const clockOffsetS = devices.find(({ id }) => id === message.device)?.clockOffsetS ?? null;
  return clockOffsetS === null ? message : { ...message, tS: referenceS(message.tS, clockOffsetS) };
}
