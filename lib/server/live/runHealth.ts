/** How far keeping and measuring of one run have come, and how fast it fills the disk. */
import { statfsSync } from "node:fs";
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

export function healthOf(kept: KeptState, { bytes, tS, lateCount }: Measured, { dataFolder, bytesPerS }: { readonly dataFolder: string; readonly bytesPerS: number }): LiveHealth {
  const { bavail, bsize } = statfsSync(dataFolder), freeBytes = bavail * bsize, waitsS = kept.lastS.profile - tS;
  return { keptBytes: kept.bytes, measuredBytes: bytes, backlogS: waitsS > 0 ? waitsS : 0, counts: kept.counts, lateCount, freeBytes, lastsS: bytesPerS > 0 ? freeBytes / bytesPerS : null };
}

/** The newest time on the reference clock that anything kept is of, s; 0: nothing is. */
export function referenceS({ profilerS, lastS: { progress, rework, pasteMark } }: KeptState, devices: readonly Device[]): number {
  const offsetS = (device: string): number => devices.find(({ id }) => id === device)?.clockOffsetS ?? 0;
  const profiles = [...profilerS].map(([device, tS]) => tS - offsetS(device));
  return [progress, rework, pasteMark, ...profiles].reduce((newest, tS) => (tS > newest ? tS : newest), 0);
}
