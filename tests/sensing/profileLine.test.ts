import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { Profiler } from "../../lib/model/job.ts";
import { decodeProfileHeader, type ProfileHeader } from "../../lib/sensing/profileHeader.ts";
import { ProfileLineDecoder } from "../../lib/sensing/profileLine.ts";

const PROFILER: Profiler = { id: "profiler-1", kind: "profiler", points: 3, x0Mm: -1, dxMm: 0.9, sigmaZMm: 0.01, surfaceBiasMm: null, clockOffsetS: null };
const HEADER: ProfileHeader = { profiler: PROFILER, frame: "plan", unknownKeys: [] };
const PLACE = { file: "profiles.ndjson", line: 4 };
const GOOD = { seq: 7, tS: 1.25, pose: [1, 2, 60, 0, 0, 0.6, 0.8], zMm: [-59.5, null, -59.25] };

function decoder(isLayerRequired = false, unknown: string[] = []) {
  return new ProfileLineDecoder({ header: HEADER, isLayerRequired, onUnknownKey: (key) => unknown.push(key) });
}
function decode(text: string, using = decoder()) {
  const bytes = new TextEncoder().encode(`${text}\n`);
  return using.decode(bytes, 0, bytes.length - 1, PLACE);
}
function errorOf(line: object | string, using?: ProfileLineDecoder): InputError {
  try {
    decode(typeof line === "string" ? line : JSON.stringify(line), using);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("expected an InputError, got none");
}

describe("a line of profiles.ndjson", () => {
  it("becomes a profile with NaN where no light came back", () => {
    expect(decode(JSON.stringify(GOOD))).toEqual({
      kind: "profile", device: "profiler-1", frame: "plan", seq: 7, tS: 1.25, pose: [1, 2, 60, 0, 0, 0.6, 0.8], zMm: Float32Array.of(-59.5, Number.NaN, -59.25), xMm: null, layer: null,
    });
  });

  it("reads the same with its keys in another order, blanks, exponents, an escaped key and null for optional keys", () => {
    const plain = decode(JSON.stringify(GOOD));
    expect(decode('{ "zMm": [ -595e-1 , null, -59.25 ], "pose": [1,2,6e1,0,0,0.6,0.8],\t"tS":1.25, "seq":7 }\r')).toEqual(plain);
    expect(decode('{"z\\u004dm":[-59.5,null,-59.25],"pose":[1,2,60,0,0,0.6,0.8],"tS":1.25,"seq":7}')).toEqual(plain);
    expect(decode(JSON.stringify({ ...GOOD, xMm: null, layer: null }))).toEqual(plain);
  });

  it("takes any number of samples with their own x, and the layer", () => {
    const message = decode(JSON.stringify({ ...GOOD, zMm: [-59.5, -59.25], xMm: [0.5, 0.75], layer: 2 }));
    expect([...message.zMm, ...(message.xMm ?? []), message.layer]).toEqual([-59.5, -59.25, 0.5, 0.75, 2]);
    expect(decode(JSON.stringify({ ...GOOD, zMm: [], xMm: [], layer: 0 })).zMm).toHaveLength(0);
    expect([...(decode(JSON.stringify({ ...GOOD, zMm: [null, 3], xMm: [null, 0.5] })).xMm ?? [])]).toEqual([Number.NaN, 0.5]);
  });

  it("keeps earlier profiles whole while the slab grows past 262 144 samples", () => {
    const using = decoder();
    const messages = Array.from({ length: 8 }, (_, seq) => decode(JSON.stringify({ ...GOOD, seq, zMm: Array.from({ length: 40000 }, () => seq), xMm: Array.from({ length: 40000 }, (_, i) => i) }), using));
    for (const { seq, zMm, xMm } of messages) expect([zMm[0], zMm[39999], xMm?.[39999]]).toEqual([seq, seq, 39999]);
  });

  it("names each key it does not know", () => {
    const unknown: string[] = [];
    decode(JSON.stringify({ ...GOOD, intensity: [1, [2, { a: null }]], note: "ok" }), decoder(false, unknown));
    expect(unknown).toEqual(["intensity", "note"]);
  });

  it.each<[string, object | string, string, string | undefined]>([
    ["that is not JSON", "{]", "sensing.notJson", undefined],
    ["that is a list", "[1]", "sensing.notJson", undefined],
    ["with text after the object", `${JSON.stringify(GOOD)} x`, "sensing.notJson", undefined],
    ["without seq", { ...GOOD, seq: undefined }, "sensing.missingColumn", "seq"],
    ["with seq 1.5", { ...GOOD, seq: 1.5 }, "sensing.badValue", "seq"],
    ["with seq −1", { ...GOOD, seq: -1 }, "sensing.badValue", "seq"],
    ["without tS", { ...GOOD, tS: undefined }, "sensing.missingColumn", "tS"],
    ["with a text for tS", { ...GOOD, tS: "1.25" }, "sensing.badNumber", "tS"],
    ["with tS beyond all numbers", JSON.stringify(GOOD).replace("1.25", "1e999"), "sensing.badNumber", "tS"],
    ["without a pose", { ...GOOD, pose: undefined }, "sensing.missingColumn", "pose"],
    ["with a pose of six", { ...GOOD, pose: [1, 2, 3, 0, 0, 1] }, "sensing.badValue", "pose"],
    ["with a null in the pose", { ...GOOD, pose: [1, null, 3, 0, 0, 0, 1] }, "sensing.badNumber", "pose"],
    ["with a quaternion of length 1.0011", { ...GOOD, pose: [1, 2, 3, 0, 0, 0, 1.0011] }, "sensing.notUnit", "pose"],
    ["without heights", { ...GOOD, zMm: undefined }, "sensing.missingColumn", "zMm"],
    ["with a number for heights", { ...GOOD, zMm: 3 }, "sensing.badValue", "zMm"],
    ["with a text among heights", { ...GOOD, zMm: [1, "2", 3] }, "sensing.badNumber", "zMm[1]"],
    ["with a height beyond float32", { ...GOOD, zMm: [1, 2, 1e39] }, "sensing.badNumber", "zMm[2]"],
    ["of 2 points where the job says 3", { ...GOOD, zMm: [1, 2] }, "sensing.wrongCount", "zMm"],
    ["of 4 points where the job says 3", { ...GOOD, zMm: [1, 2, 4, 5] }, "sensing.wrongCount", "zMm"],
    ["with 3 heights at 2 places", { ...GOOD, xMm: [1, 2] }, "sensing.wrongCount", "zMm"],
    ["with a height at no place", { ...GOOD, xMm: [null, 2, 3] }, "sensing.badNumber", "xMm[0]"],
    ["with layer 1.5", { ...GOOD, layer: 1.5 }, "sensing.badValue", "layer"],
  ])("refuses a line %s", (_, line, code, key) => {
    const error = errorOf(line);
    expect([error.code, error.place]).toEqual([code, key === undefined ? PLACE : { ...PLACE, key }]);
  });

  it("is refused without a layer where the recording needs it", () => {
    expect(errorOf(GOOD, decoder(true))).toMatchObject({ code: "sensing.layersUnknown", place: { ...PLACE, key: "layer" } });
    expect(decode(JSON.stringify({ ...GOOD, layer: 1 }), decoder(true)).layer).toBe(1);
  });
});

describe("the header of profiles.ndjson", () => {
  const devices = [PROFILER, { id: "arm-1", kind: "arm" as const, clockOffsetS: null }];
  it("names the job's profiler and the frame", () => {
    expect(decodeProfileHeader('{"device":"profiler-1","frame":"base","lens":3}', devices, PLACE)).toEqual({ profiler: PROFILER, frame: "base", unknownKeys: ["lens"] });
  });

  it.each([
    ["no device", '{"frame":"plan"}', "sensing.missingColumn", "device"], ["no frame", '{"device":"profiler-1"}', "sensing.missingColumn", "frame"],
    ["an unknown device", '{"device":"profiler-9","frame":"plan"}', "sensing.unknownDevice", "device"], ["a device of another kind", '{"device":"arm-1","frame":"plan"}', "sensing.unknownDevice", "device"],
    ["a number for a device", '{"device":1,"frame":"plan"}', "sensing.badValue", "device"], ["an unknown frame", '{"device":"profiler-1","frame":"moon"}', "sensing.badValue", "frame"],
    ["no JSON", "device", "sensing.notJson", undefined],
  ])("is refused with %s", (_, text, code, key) => {
    expect(() => decodeProfileHeader(text, devices, PLACE)).toThrow(expect.objectContaining({ code, place: key === undefined ? PLACE : { ...PLACE, key } }));
  });
});
