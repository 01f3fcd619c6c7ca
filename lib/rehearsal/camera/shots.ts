/** When frames are taken: at even times while the print goes on, and once after each layer's last scan and each removal, when what was dragged or torn off is gone. */
import type { Schedule } from "../schedule.ts";
import type { CameraSettings } from "./cameraSettings.ts";

/** So long after a layer's end or a removal; the next strand begins 1 s after it. */
const AFTER_S = 0.5;

export interface Shot {
  /** As it stands in frames.csv, from 1. */
  readonly file: string;
  readonly tS: number;
  readonly withHand: boolean;
}

/** All frames in order of time. */
export function shotsOf({ lays, layers, removals }: Schedule, { everyS, hand }: Pick<CameraSettings, "everyS" | "hand">): Shot[] {
  const times = new Set([...layers.map((one) => one.afterS + AFTER_S), ...removals.map((one) => one.tS + AFTER_S)].map(toMicroseconds));
  const fromS = lays[0]?.startS ?? 0, toS = layers.at(-1)?.afterS ?? 0;
  for (let i = 1; fromS + i * everyS < toS; i++) times.add(toMicroseconds(fromS + i * everyS));
  return [...times].sort((a, b) => a - b).map((tS, i) => ({ file: `frames/${String(i + 1).padStart(4, "0")}.png`, tS, withHand: hand && i % 2 === 1 }));
}

function toMicroseconds(tS: number): number { return Math.round(tS * 1e6) / 1e6; }
