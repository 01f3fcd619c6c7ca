import { describe, expect, it } from "vitest";
import { packTarget, unpackTarget, type TargetShape } from "../../lib/model/targetShape.ts";

const shape: TargetShape = {
  beadShape: "segment", nozzle: { outerDiameterMm: 1.25, coneAngleDeg: 18, lengthMm: 31 }, fieldMm: [-9.5, 9.75],
  strands: [
    { layer: 1, strand: 4, positionsMm: Float32Array.of(1, 2, 3, 1.5, 2.25, 3.125), tangents: Float32Array.of(1, 0, 0, 0, 1, 0), normals: Float32Array.of(0, 0, 1, 0, 0, -1) },
    { layer: 7, strand: 2, positionsMm: Float32Array.of(-4, 5, 6), tangents: Float32Array.of(0, 0.5, 0.75), normals: Float32Array.of(0.25, 0, 1) },
  ],
};

describe("a packed target", () => {
  it("comes back as it was, in 10 + 2 · 3 + 3 · 9 words of 4 bytes, the first four saying ASLT", () => {
    const bytes = packTarget(shape);
    expect(bytes.length).toBe(4 * (10 + 2 * 3 + 3 * 9));
    expect(new TextDecoder().decode(bytes.subarray(0, 4))).toBe("ASLT");
    expect(unpackTarget(bytes.buffer)).toEqual(shape);
  });

  it("says null where the nozzle's length and the profiler are not stated, and may hold no strand", () => {
    const bare: TargetShape = { ...shape, beadShape: "stadium", nozzle: { ...shape.nozzle, lengthMm: null }, fieldMm: null, strands: [] };
    expect(unpackTarget(packTarget(bare).buffer)).toEqual(bare);
  });

  const faults: [string, (words: Uint32Array<ArrayBuffer>) => ArrayBuffer][] = [
    ["cut off by a word", (words) => words.slice(0, -1).buffer], ["with a byte too many", (words) => new Uint8Array([...new Uint8Array(words.buffer), 7]).buffer], ["shorter than its head", (words) => words.slice(0, 9).buffer],
    ["of another beginning", (words) => { words[0] = 3; return words.buffer; }], ["of another version", (words) => { words[1] = 2; return words.buffer; }], ["of an unknown bead", (words) => { words[2] = 5; return words.buffer; }],
    ["whose strands are not its stations", (words) => { words[12] = 1; return words.buffer; }],
  ];
  it.each(faults)("%s is refused", (_, spoil) => {
    expect(() => unpackTarget(spoil(new Uint32Array(packTarget(shape).buffer)))).toThrow(expect.objectContaining({ code: "wire.badBody" }));
  });
});
