import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { Device } from "../../lib/model/job.ts";
import type { Plan, PlanStrand } from "../../lib/model/plan.ts";
import { CsvFields, JsonFields, snakeCase, type Fields } from "../../lib/sensing/fields.ts";
import { decodeFrame, decodePasteMark, decodePose, decodeProgress, decodeRework, decodeSignal, ROW_KEYS } from "../../lib/sensing/rows.ts";
import { StrandIndex } from "../../lib/sensing/strands.ts";

const none = new Float64Array(0);
const strand = (layer: number, number: number, lengthMm: number): PlanStrand => ({
  layer, strand: number, approach: 1, pointCount: 2, lengthMm, pointsMm: none, normals: none, arcMm: none, widthMm: none, heightMm: none, speedMmS: none, flowMm3S: none,
});
const PLAN: Plan = { beadShape: "stadium", layerCount: 2, strands: [strand(1, 1, 10), strand(1, 2, 8), strand(2, 1, 7)] };
const STRANDS = new StrandIndex(PLAN);
const DEVICES: Device[] = [
  { id: "tracker-1", kind: "tracker", sigmaMm: null, clockOffsetS: null }, { id: "arm-1", kind: "arm", clockOffsetS: null },
  { id: "camera-1", kind: "camera", widthPx: 3, heightPx: 4, fx: 5, fy: 6, cx: 1, cy: 2, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0, maskPx: [], clockOffsetS: null, calibration: null },
];
const PLACE = { file: "rows", row: 5 };

type Stream = keyof typeof ROW_KEYS;
const DECODE: Record<Stream, (fields: Fields) => unknown> = {
  progress: (fields) => decodeProgress(fields, STRANDS), rework: (fields) => decodeRework(fields, STRANDS), paste: (fields) => decodePasteMark(fields, DEVICES),
  poses: (fields) => decodePose(fields, DEVICES), frames: (fields) => decodeFrame(fields, DEVICES), signals: decodeSignal,
};
const GOOD: Record<Stream, Record<string, unknown>> = {
  progress: { tS: 1.5, layer: 1, strand: 2, sMm: 3.25, event: "update" },
  rework: { tS: 2.5, layer: 1, strand: 1, fromMm: 4, toMm: 6, who: "A. N.", reason: "gap" },
  paste: { tS: 2.75, device: "camera-1", file: "frames/1.png", u0Px: -0.5, v0Px: 0.25, u1Px: 2.5, v1Px: 3.5, who: "A. N." },
  poses: { tS: 3.5, device: "tracker-1", tx: 1, ty: 2, tz: 3, qx: 0, qy: 0, qz: 0.6, qw: 0.8, from: "marker", to: "base", valid: 1 },
  frames: { file: "frames/1.png", device: "camera-1", tS: 4.5, tx: 1, ty: 2, tz: 3, qx: 0, qy: 0.6, qz: 0, qw: 0.8, frame: "plan" },
  signals: { tS: 5.5, name: "pressureKPa", value: 81.5 },
};

function csv(stream: Stream, row: Record<string, unknown>): Fields {
  const keys: readonly string[] = ROW_KEYS[stream];
  const fields = new CsvFields(new Map(keys.map((key, i) => [snakeCase(key), i])), keys, "rows");
  fields.cells = keys.map((key) => `${(row[key] ?? "") as string | number}`);
  fields.place = PLACE;
  return fields;
}
const json = (_: Stream, row: Record<string, unknown>): Fields => new JsonFields(row, PLACE);

describe.each([["CSV", csv], ["JSON", json]] as const)("a row as %s", (_, carry) => {
  it.each(Object.keys(GOOD) as Stream[])("of %s is decoded", (stream) => {
    const { tx, ty, tz, qx, qy, qz, qw, valid, u0Px, v0Px, u1Px, v1Px, ...rest } = GOOD[stream];
    const kind = { progress: "progress", rework: "rework", paste: "pasteMark", poses: "pose", frames: "frame", signals: "signal" }[stream];
    expect(valid ?? 1).toBe(1);
    expect(DECODE[stream](carry(stream, GOOD[stream]))).toEqual({ kind, ...rest, ...(tx === undefined ? {} : { pose: [tx, ty, tz, qx, qy, qz, qw] }), ...(u0Px === undefined ? {} : { rectPx: [u0Px, v0Px, u1Px, v1Px] }) });
  });

  it.each<[string, Stream, Record<string, unknown>, string, string]>([
    ["a text for a time", "progress", { tS: "soon" }, "sensing.badNumber", "tS"],
    ["a time of Infinity", "signals", { tS: Infinity }, "sensing.badNumber", "tS"],
    ["layer 3 of a plan of 2", "progress", { layer: 3 }, "sensing.unknownStrand", "layer"],
    ["strand 3 of a layer of 2", "progress", { strand: 3 }, "sensing.unknownStrand", "strand"],
    ["strand 0", "progress", { strand: 0 }, "sensing.badValue", "strand"],
    ["9.01 mm along a strand of 8", "progress", { sMm: 9.01 }, "sensing.beyondStrand", "sMm"],
    ["−1.01 mm along a strand", "progress", { sMm: -1.01 }, "sensing.beyondStrand", "sMm"],
    ["an unknown event", "progress", { event: "stop" }, "sensing.badValue", "event"],
    ["a removal that ends before it begins", "rework", { toMm: 3.9 }, "sensing.badValue", "toMm"],
    ["a removal past the strand", "rework", { toMm: 11.5 }, "sensing.beyondStrand", "toMm"],
    ["a mark left of a picture of 3 × 4 px", "paste", { u0Px: -0.51 }, "sensing.badValue", "u0Px"],
    ["a mark below it", "paste", { v1Px: 3.51 }, "sensing.badValue", "v1Px"],
    ["a mark 2.99 px wide", "paste", { u1Px: 2.49 }, "sensing.badValue", "u1Px"],
    ["a mark 2.99 px high", "paste", { v1Px: 3.24 }, "sensing.badValue", "v1Px"],
    ["a mark whose edges are exchanged", "paste", { u0Px: 2.5, u1Px: -0.5 }, "sensing.badValue", "u1Px"],
    ["a mark in a tracker's picture", "paste", { device: "tracker-1" }, "sensing.unknownDevice", "device"],
    ["a tracker that the job does not have", "poses", { device: "tracker-2" }, "sensing.unknownDevice", "device"],
    ["a camera among the poses", "poses", { device: "camera-1" }, "sensing.unknownDevice", "device"],
    ["a quaternion of length 1.0011", "poses", { qz: 0, qw: 1.0011 }, "sensing.notUnit", "qx"],
    ["valid 2", "poses", { valid: 2 }, "sensing.badValue", "valid"],
    ["no frame to carry into", "poses", { to: " " }, "sensing.badValue", "to"],
    ["an arm among the frames", "frames", { device: "arm-1" }, "sensing.unknownDevice", "device"],
    ["a frame without a pose", "frames", { tx: "" }, "sensing.badNumber", "tx"],
    ["a signal without a name", "signals", { name: "" }, "sensing.badValue", "name"],
    ["a signal of NaN", "signals", { value: Number.NaN }, "sensing.badNumber", "value"],
  ])("is refused with %s", (_, stream, change, code, key) => {
    const fields = carry(stream, { ...GOOD[stream], ...change });
    expect(() => DECODE[stream](fields)).toThrow(expect.objectContaining({ code, place: { ...PLACE, key: fields.nameOf(key) } }));
  });

  it("of progress is taken 1 mm past either end of its strand", () => {
    for (const sMm of [9, -1]) expect(DECODE.progress(carry("progress", { ...GOOD.progress, sMm }))).toMatchObject({ sMm });
  });

  it("of poses that is not valid carries no pose, whatever its columns hold", () => {
    const lost = { ...GOOD.poses, valid: 0, tx: "", qw: 9 };
    expect(DECODE.poses(carry("poses", lost))).toEqual({ kind: "pose", tS: 3.5, device: "tracker-1", from: "marker", to: "base", pose: null });
  });
});

describe("a row over the wire", () => {
  it("is refused without a key, and with a number as text", () => {
    const { value: _, ...rest } = GOOD.signals;
    expect(() => decodeSignal(json("signals", rest))).toThrow(expect.objectContaining({ code: "sensing.missingColumn", place: { ...PLACE, key: "value" } }));
    expect(() => decodeSignal(json("signals", { ...rest, value: "3" }))).toThrow(InputError);
  });
});
