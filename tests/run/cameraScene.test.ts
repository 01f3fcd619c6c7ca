import { describe, expect, it } from "vitest";
import { LAID, LAID_BEFORE, NOT_LAID } from "../../lib/camera/scene.ts";
import { LaidStrand } from "../../lib/measure/laid.ts";
import type { FrameMessage } from "../../lib/model/messages.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { sceneOf, type SceneSources } from "../../lib/run/cameraScene.ts";
import { NozzlePath } from "../../lib/run/nozzlePath.ts";
import { StandingReadings } from "../../lib/run/standing.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

/** A strand of 2 mm in each of two layers, five stations each; 1 mm/s from 10 s and from 20 s on. */
function made(change: Partial<SceneSources> = {}) {
  const planned = madePlan([{ layer: 1, strand: 1, points: [[0, 0, 0.5], [2, 0, 0.5]] }, { layer: 2, strand: 1, points: [[0, 0, 1], [2, 0, 1]] }]), plan = buildStations(planned, 0.5);
  const laid = plan.strands.map((strand) => new LaidStrand(strand)), readings = new StandingReadings(plan.strands, madeJob()), nozzle = new NozzlePath(plan, planned);
  for (const [k, begin] of [10, 20].entries()) for (const [tS, sMm, event] of [[begin, 0, "start"], [begin + 2, 2, "end"]] as const) {
    const row = { kind: "progress", tS, layer: k + 1, strand: 1, sMm, event } as const;
    laid[k]?.progress(row);
    nozzle.take(row);
  }
  const sources: SceneSources = { plan, laid, readings, earlier: [], nozzle, begunS: (layer) => 10 * layer, marks: [], places: [], ...change };
  const frame = (tS: number): FrameMessage => ({ kind: "frame", tS, device: "camera-1", file: "frames/1.png", pose: [0, 0, 90, 1, 0, 0, 0], frame: "plan" });
  return { plan, laid, readings, at: (tS: number, more: Partial<SceneSources> = {}) => sceneOf(frame(tS), { ...sources, ...more }) };
}

describe("what is known at a frame's instant", () => {
  it("is laid what had been passed by then, in the layer begun last; the nozzle stands where it was", () => {
    const { at } = made();
    expect([...at(11.2).laid]).toEqual([LAID, LAID, LAID, NOT_LAID, NOT_LAID, 0, 0, 0, 0, 0]);
    expect(at(11.2)).toMatchObject({ layer: 1, file: "frames/1.png", nozzle: { tip: [expect.closeTo(1.2, 9), 0, 0.5] } });
    expect([...at(20.6).laid]).toEqual([1, 1, 1, 1, 1, 1, 1, 0, 0, 0]);
    expect([at(20.6).layer, at(15).nozzle]).toEqual([2, null]);
  });

  it("without progress all of a layer lies from when it was begun", () => {
    const { plan, at } = made(), whole = plan.strands.map((strand) => { const each = new LaidStrand(strand); each.layWhole(); return each; });
    expect([...at(15, { laid: whole }).laid]).toEqual([1, 1, 1, 1, 1, 0, 0, 0, 0, 0]);
    expect([...at(15, { laid: whole, begunS: () => NaN }).laid]).toEqual([0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
  });

  it("paste of an attempt that was taken off later lies there from its laying until it goes, with its own attempt", () => {
    const { laid, at } = made(), earlier = [{ station: 1, attempt: 1, laidAtS: 10.5, goneS: 30 }];
    laid[0]?.remove(0.4, 0.6);
    laid[0]?.progress({ kind: "progress", tS: 40, layer: 1, strand: 1, sMm: 0.4, event: "start" });
    laid[0]?.progress({ kind: "progress", tS: 41, layer: 1, strand: 1, sMm: 0.6, event: "end" });
    const seen = [10.4, 10.5, 29.9, 30, 40.4, 40.6].map((tS) => { const scene = at(tS, { earlier }); return [scene.laid[1], scene.attempt[1]]; });
    expect(seen).toEqual([[NOT_LAID, 2], [LAID_BEFORE, 1], [LAID_BEFORE, 1], [NOT_LAID, 2], [NOT_LAID, 2], [LAID, 2]]);
  });

  it("a reading in band is good and gives its numbers, a gap is bare and gives none, others are neither", () => {
    const { plan, readings, at } = made(), strand = plan.strands[0] as (typeof plan.strands)[number];
    const take = (i: number, areaMm2: number): unknown => readings.take(strand, i, madeReading({ areaMm2, uAreaMm2: 1e-4, widthMm: 1.01, heightMm: 0.49, uHeightMm: 0.01, offsetMm: 0.02 }), 10);
    const planned = strand.visibleAreaMm2[0] as number;
    take(0, planned);
    take(1, 0.02 * planned);
    take(2, 0.6 * planned);
    const { good, bare, widthMm, heightMm, uHeightMm, offsetMm } = at(15);
    expect([[...good.subarray(0, 4)], [...bare.subarray(0, 4)]]).toEqual([[1, 0, 0, 0], [0, 1, 0, 0]]);
    expect([widthMm, heightMm, uHeightMm, offsetMm].map((column) => [column[0], column[1], column[2], column[3]])).toEqual([1.01, 0.49, 0.01, 0.02].map((v) => [Math.fround(v), NaN, Math.fround(v), NaN]));
    expect([...at(9).good]).not.toContain(1); // before it was laid nothing is known of it
  });

  it("marks of its own camera alone", () => {
    const mark = (device: string) => ({ kind: "pasteMark", tS: 5, device, file: `${device}.png`, rectPx: [1, 2, 3, 4], who: "somebody" }) as const;
    expect(made().at(15, { marks: [mark("camera-1"), mark("camera-2")] }).marks).toEqual([{ file: "camera-1.png", rectPx: [1, 2, 3, 4] }]);
  });
});
