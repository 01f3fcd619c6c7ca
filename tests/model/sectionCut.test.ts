import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { SUPPORT_KINDS } from "../../lib/model/result.ts";
import { decodeCut, encodeCut, packCut, unpackCut, type CutDrawing, type SectionCut } from "../../lib/model/sectionCut.ts";

/** Lengths as a blob holds them: whole micrometres, within ± 32.767 mm. */
const length = fc.integer({ min: -32767, max: 32767 }).map((um) => um / 1000);
const points = fc.array(fc.record({ bMm: length, nMm: length, used: fc.boolean() }), { maxLength: 192 });
const support = fc.record({ first: fc.integer({ min: -3000, max: 0 }), step: fc.integer({ min: 1, max: 200 }), cells: fc.array(fc.record({ nMm: length, kind: fc.constantFrom(...SUPPORT_KINDS) }), { maxLength: 64 }) })
  .map(({ first, step, cells }) => cells.map((cell, i) => ({ bMm: (first + i * step) / 1000, ...cell })));
/** Slants as a blob holds them: fifths of a thousandth, up to 81°. */
const slant = fc.integer({ min: -32767, max: 32767 }).map((step) => step / 5000);
const drawing: fc.Arbitrary<CutDrawing> = fc.record({
  points, support, alongMm: length, slant: fc.record({ perB: slant, perN: slant }), usedCount: fc.nat(65535), notUsedCount: fc.nat(65535), crownMm: fc.option(length),
  flanks: fc.record({ rightMm: fc.option(length), leftMm: fc.option(length) }), window: fc.record({ rightMm: length, leftMm: length }),
});

describe("a section as a blob", () => {
  it("comes back as it was, for any section in whole micrometres", () => {
    fc.assert(fc.property(drawing, (cut) => { expect(decodeCut(encodeCut(cut))).toEqual(cut); }), { seed: 11, numRuns: 200 });
  });

  it("lengths between micrometres come back to half a one", () => {
    const between = fc.double({ min: -32.7, max: 32.7, noNaN: true });
    fc.assert(fc.property(between, between, (bMm, nMm) => {
      const cut = decodeCut(encodeCut({ ...EMPTY, points: [{ bMm, nMm, used: true }] }));
      expect(Math.abs(cut.points[0]!.bMm - bMm)).toBeLessThan(0.00050001);
      expect(Math.abs(cut.points[0]!.nMm - nMm)).toBeLessThan(0.00050001);
    }), { seed: 12 });
  });

  it("192 points over 64 cells, the most that is kept of a station, take 972 bytes or less", () => {
    const full = { ...EMPTY, points: Array.from({ length: 192 }, (_, i) => ({ bMm: i / 100, nMm: i / 70, used: i % 3 > 0 })), support: Array.from({ length: 64 }, (_, i) => ({ bMm: i / 20, nMm: i / 90, kind: SUPPORT_KINDS[i % 3]! })) };
    expect(encodeCut(full).byteLength).toBeLessThanOrEqual(972);
    expect(decodeCut(encodeCut(full)).points.filter((p) => p.used)).toHaveLength(128);
  });

  it("a length of 32.768 mm, NaN, a blob cut short and one of another version are RangeErrors", () => {
    expect(() => encodeCut({ ...EMPTY, alongMm: 32.768 })).toThrow(RangeError);
    expect(() => encodeCut({ ...EMPTY, alongMm: Number.NaN })).toThrow(RangeError);
    const blob = encodeCut({ ...EMPTY, points: [{ bMm: 1, nMm: 2, used: true }] });
    expect(() => decodeCut(blob.subarray(0, blob.length - 1))).toThrow(RangeError);
    expect(() => decodeCut(blob.with(0, 9))).toThrow(RangeError);
  });

  it("a blob of version 1, kept before slants were, is a section of a plane that stood square", () => {
    const blob = encodeCut({ ...EMPTY, points: [{ bMm: 1, nMm: 2, used: true }] }), old = new Uint8Array([...blob.subarray(0, 32), ...blob.subarray(36)]);
    expect(decodeCut(old.with(0, 1))).toEqual({ ...EMPTY, slant: { perB: 0, perN: 0 }, points: [{ bMm: 1, nMm: 2, used: true }] });
  });

  it("packed it keeps where it belongs and which profile it shows", () => {
    const cut: SectionCut = { ...EMPTY, layer: 2, strand: 5, attempt: 3, stationIndex: 17, device: "profiler-2", seq: 901, tS: 33.125, crownMm: 0.487 };
    expect(packCut(cut)).toMatchObject({ layer: 2, strand: 5, attempt: 3, stationIndex: 17, device: "profiler-2", seq: 901, tS: 33.125 });
    expect(unpackCut(packCut(cut))).toEqual(cut);
  });
});

const EMPTY: CutDrawing = { alongMm: 0.125, slant: { perB: 0.5774, perN: -0.1764 }, points: [], usedCount: 211, notUsedCount: 3, support: [], flanks: { rightMm: -0.51, leftMm: null }, crownMm: null, window: { rightMm: -0.8, leftMm: 0.75 } };
