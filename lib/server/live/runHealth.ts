/** How far keeping and measuring of one run have come, and how fast it fills the disk. */
import { statfsSync } from "node:fs";
import { referenceS as onReferenceS } from "../../sensing/clock.ts";
import type { Device } from "../../model/job.ts";
import type { LiveHealth } from "../../model/liveEvent.ts";
import type { KeptState } from "./keeper.ts";

/** Bytes of the journal that were measured, the newest stamp that was (NaN: none), and messages that came too late for it. */
export interface Measured { readonly bytes: number; readonly tS: number; readonly lateCount: number }

/** Bytes that were kept at a time, and how fast they grew until then; NaN: not known yet. */
export interface FillRate { readonly bytes: number; readonly atMs: number; readonly perS: number }
export const NO_RATE: FillRate = { bytes: 0, atMs: Number.NaN, perS: Number.NaN };
/** The rate is over so long, ms. */
const RATE_MS = 10_000;

export function nextRate(rate: FillRate, bytes: number, nowMs: number): FillRate {
  return Math.abs(nowMs - rate.atMs) < RATE_MS ? rate : { bytes, atMs: nowMs, perS: (1000 * (bytes - rate.bytes)) / (nowMs - rate.atMs) };
}

export interface HealthAsked { readonly dataFolder: string; readonly bytesPerS: number; readonly devices: readonly Device[] }
export function healthOf(kept: KeptState, { bytes, tS, lateCount }: Measured, { dataFolder, bytesPerS, devices }: HealthAsked): LiveHealth {
  const { bavail, bsize } = statfsSync(dataFolder), freeBytes = bavail * bsize, waitsS = newestProfileS(kept, devices) - tS;
  return { keptBytes: kept.bytes, measuredBytes: bytes, backlogS: waitsS > 0 ? waitsS : 0, counts: kept.counts, lateCount, freeBytes, lastsS: bytesPerS > 0 ? freeBytes / bytesPerS : null };
}

/** The newest kept profile's time on the reference clock, s; NaN: there is none. */
export function newestProfileS({ profilerS }: Pick<KeptState, "profilerS">, devices: readonly Device[]): number {
  const offsetS = (device: string): number | null => devices.find(({ id }) => id === device)?.clockOffsetS ?? null;
  return [...profilerS].map(([device, tS]) => onReferenceS(tS, offsetS(device))).reduce((newest, tS) => (newest > tS ? newest : tS), Number.NaN);
}

/** The newest time on the reference clock that anything kept is of, s; 0: nothing is. */
export function referenceS(kept: KeptState, devices: readonly Device[]): number {
  const { progress, rework, pasteMark } = kept.lastS;
  return [progress, rework, pasteMark, newestProfileS(kept, devices)].reduce((newest, tS) => (tS > newest ? tS : newest), 0);
}
