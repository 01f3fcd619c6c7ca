import { describe, expect, it } from "vitest";
import { NO_MARKING, marked, shownStretch, type Marking } from "../../app/runs/[id]/live/marking.ts";
import { walked } from "../../app/runs/[id]/live/usePlace.ts";
import { madeStrand } from "../support/madeStrand.ts";

const at = (strand: number, sMm: number) => ({ layer: 2, strand, sMm });

describe("marking a stretch taken off", () => {
  it("takes two places of a strand in either order: 9.5 then 4 mm is 4 to 9.5 mm", () => {
    const open = marked(NO_MARKING, at(7, 9.5));
    expect(open).toEqual({ state: "open", start: at(7, 9.5) });
    expect(marked(open, at(7, 4))).toEqual({ state: "whole", stretch: { layer: 2, strand: 7, fromMm: 4, toMm: 9.5 } });
  });

  it("begins anew on another strand, waits at the same place, and begins another stretch after a whole one", () => {
    const open = marked({ state: "begun" }, at(7, 9.5));
    expect(marked(open, at(8, 3))).toEqual({ state: "open", start: at(8, 3) });
    expect(marked(open, at(7, 9.5))).toEqual(open);
    expect(marked(marked(open, at(7, 4)), at(7, 5.5))).toEqual({ state: "open", start: at(7, 5.5) });
  });

  it("shows what is open up to the chosen place of the same strand, and nothing before it has begun", () => {
    const open: Marking = { state: "open", start: at(7, 6) };
    expect(shownStretch(open, at(7, 2.5))).toEqual({ layer: 2, strand: 7, fromMm: 2.5, toMm: 6 });
    expect(shownStretch(open, at(8, 2.5))).toEqual({ layer: 2, strand: 7, fromMm: 6, toMm: 6 });
    expect([shownStretch(NO_MARKING, at(7, 1)), shownStretch({ state: "begun" }, null)]).toEqual([null, null]);
  });
});

describe("walking", () => {
  const frame = { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] } as const;
  const strands = [madeStrand([{ s: 0 }, { s: 2 }, { s: 5 }], { layer: 2, strand: 3 }), madeStrand([{ s: 0 }, { s: 4 }], { layer: 2, strand: 4 })];
  const layers = [{ layer: 2, strands, frame, frameWords: "from above" }];

  it("goes one station on or back and ends at the ends", () => {
    const from = (station: number, by: 1 | -1): number => walked(layers, { layer: 2, strand: 3, station }, "station", by).station;
    expect([from(1, 1), from(1, -1), from(2, 1), from(0, -1)]).toEqual([2, 0, 2, 0]);
  });

  it("goes to the nearest place of the next strand: from 5 mm to 4 mm, and stays where there is no other", () => {
    expect(walked(layers, { layer: 2, strand: 3, station: 2 }, "strand", 1)).toEqual({ layer: 2, strand: 4, station: 1 });
    expect(walked(layers, { layer: 2, strand: 3, station: 2 }, "strand", -1)).toEqual({ layer: 2, strand: 3, station: 2 });
    expect(walked(layers, { layer: 9, strand: 1, station: 2 }, "station", 1)).toEqual({ layer: 9, strand: 1, station: 2 });
  });
});
