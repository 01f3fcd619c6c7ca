/** What is known of a print at a frame's instant, as the camera is told it. */
import { LAID, LAID_BEFORE, type FrameScene } from "../camera/scene.ts";
import type { LaidStrand } from "../measure/laid.ts";
import type { FrameMessage, PasteMarkMessage } from "../model/messages.ts";
import type { Point } from "../model/result.ts";
import type { StationPlan } from "../model/stations.ts";
import type { NozzlePath } from "./nozzlePath.ts";
import type { StandingReadings } from "./standing.ts";

/** Paste that lay at a station in an attempt that was taken off. */
export interface EarlierPaste { readonly station: number; readonly attempt: number; readonly laidAtS: number; readonly goneS: number }

export interface SceneSources {
  readonly plan: StationPlan;
  readonly laid: readonly LaidStrand[];
  readonly readings: StandingReadings;
  readonly earlier: readonly EarlierPaste[];
  readonly nozzle: NozzlePath;
  /** When a layer was begun, s; without progress its strands count as laid from then on. NaN: not begun. */
  readonly begunS: (layer: number) => number;
  readonly marks: readonly PasteMarkMessage[];
  readonly places: readonly Point[];
}

export function sceneOf(frame: FrameMessage, { plan, laid, readings, earlier, nozzle, begunS, marks, places }: SceneSources): FrameScene {
  const n = plan.stationCount, nan = (): Float32Array => new Float32Array(n).fill(Number.NaN);
  const scene = { laid: new Uint8Array(n), attempt: new Uint8Array(n).fill(1), widthMm: nan(), heightMm: nan(), uHeightMm: nan(), offsetMm: nan(), good: new Uint8Array(n), bare: new Uint8Array(n) };
  let at = 0, layer = 1;
  for (const strand of plan.strands) {
    const own = laid[strand.index] as LaidStrand, isBegun = begunS(strand.layer) <= frame.tS;
    if (isBegun) layer = strand.layer;
    for (let i = 0; i < strand.count; i++, at++) {
      scene.attempt[at] = own.attempt[i] as number;
      if (own.laid[i] !== 1 || !isBegun || (own.laidAtS[i] as number) > frame.tS) continue;
      scene.laid[at] = LAID;
      const standing = readings.of(strand, i);
      if (standing === null) continue;
      const { reading, judgement: { verdict } } = standing;
      scene.good[at] = verdict === "inBand" ? 1 : 0;
      scene.bare[at] = verdict === "gap" ? 1 : 0;
      if (verdict === "gap") continue;
      scene.widthMm[at] = reading.widthMm;
      scene.heightMm[at] = reading.heightMm;
      scene.uHeightMm[at] = reading.uHeightMm;
      scene.offsetMm[at] = reading.offsetMm;
    }
  }
  for (const { station, attempt, laidAtS, goneS } of earlier) {
    if (!(laidAtS <= frame.tS && frame.tS < goneS)) continue;
    scene.laid[station] = LAID_BEFORE;
    scene.attempt[station] = attempt;
  }
  return {
    file: frame.file, device: frame.device, tS: frame.tS, pose: frame.pose, frame: frame.frame, layer, ...scene, nozzle: nozzle.at(frame.tS), places,
    marks: marks.filter(({ device }) => device === frame.device).map(({ file, rectPx }) => ({ file, rectPx })),
  };
}
