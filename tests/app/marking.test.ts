import { describe, expect, it } from "vitest";
import { NO_MARKING, marked, shownStretch, type Marking } from "../../app/runs/[id]/live/marking.ts";

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
