import { describe, expect, it } from "vitest";
import { pickAt, pickOfLayer, stepped, type StationPick } from "../../app/runs/[id]/picks.ts";
import { madeStrand } from "../support/madeStrand.ts";

const frame = { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] } as const;
const one = [madeStrand([{ s: 0 }, { s: 2 }, { s: 5 }], { layer: 2, strand: 3 }), madeStrand([{ s: 0 }, { s: 4 }], { layer: 2, strand: 4 })];
const layers = [{ layer: 2, strands: one, frame, frameWords: "from above" }, { layer: 3, strands: [madeStrand([{ s: 0 }, { s: 1.5 }, { s: 3 }], { layer: 3, strand: 8 })], frame, frameWords: "from above" }];
const at = (layer: number, strand: number, station: number): StationPick => ({ layer, strand, station });

describe("a place", () => {
  it("at 4.1 mm leads to the station at 5 mm, and one on no strand to none", () => {
    expect(pickAt(layers, { layer: 2, strand: 3, sMm: 4.1 })).toEqual(at(2, 3, 2));
    expect([pickAt(layers, { layer: 2, strand: 8, sMm: 4.1 }), pickAt(layers, { layer: 3, strand: 3, sMm: 4.1 })]).toEqual([null, null]);
  });

  it("of a layer is its first station", () => {
    expect([pickOfLayer(layers, 3), pickOfLayer(layers, 4)]).toEqual([at(3, 8, 0), null]);
  });
});

describe("a step", () => {
  it("goes one station on or back and ends at the ends", () => {
    expect([stepped(layers, at(2, 3, 1), "station", 1), stepped(layers, at(2, 3, 1), "station", -1), stepped(layers, at(2, 3, 2), "station", 1), stepped(layers, at(2, 3, 0), "station", -1)]).toEqual([at(2, 3, 2), at(2, 3, 0), null, null]);
  });

  it("keeps the length along the strand: from 5 mm to 4 mm of the next strand, and to 3 mm of the next layer's first", () => {
    expect([stepped(layers, at(2, 3, 2), "strand", 1), stepped(layers, at(2, 3, 2), "layer", 1), stepped(layers, at(3, 8, 1), "layer", -1)]).toEqual([at(2, 4, 1), at(3, 8, 2), at(2, 3, 1)]);
  });

  it("ends at the first and last strand and layer, and leads nowhere from a strand that is not there", () => {
    expect([stepped(layers, at(2, 3, 0), "strand", -1), stepped(layers, at(2, 4, 0), "strand", 1), stepped(layers, at(3, 8, 0), "layer", 1), stepped(layers, at(2, 3, 0), "layer", -1)]).toEqual([null, null, null, null]);
    for (const what of ["layer", "strand", "station"] as const) expect(stepped(layers, at(9, 1, 0), what, 1)).toBeNull();
  });
});
