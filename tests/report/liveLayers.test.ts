import { describe, expect, it } from "vitest";
import { VERDICTS } from "../../lib/model/result.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { liveLayers } from "../../lib/report/liveLayers.ts";
import { planPicture } from "../../lib/report/planPicture.ts";
import { madePlan } from "../support/madePlan.ts";

const plan = madePlan([
  { layer: 1, strand: 1, points: [[2, 1, 0.5], [5.2, 1, 0.5]] }, { layer: 1, strand: 2, points: [[2, 3, 0.5], [9, 3, 0.5]], widthMm: 1.4 }, { layer: 2, strand: 1, points: [[4, 0, 1], [4, 6, 1]], heightMm: 0.6 },
]);

describe("a plan's strands with nothing on them", () => {
  const layers = liveLayers(buildStations(plan, 0.5), plan);

  it("stand layer by layer, a station every 0.5 mm and at the end, with what was planned there", () => {
    expect(layers.map(({ layer, strands }) => [layer, strands.map(({ strand, sMm, lengthMm }) => [strand, sMm.length, lengthMm])])).toEqual([[1, [[1, 8, 3.2], [2, 15, 7]]], [2, [[1, 13, 6]]]]);
    const [first, second] = layers[0]?.strands ?? [];
    expect([first?.sMm[7], second?.plannedWidthMm[3], layers[1]?.strands[0]?.plannedHeightMm[5]]).toEqual([Math.fround(3.2), Math.fround(1.4), Math.fround(0.6)]);
    expect([first?.xMm[2], first?.yMm[2]]).toEqual([3, 1]);
  });

  it("nothing of it is measured, and no station is called laid or not", () => {
    for (const strand of layers.flatMap(({ strands }) => strands)) {
      expect([...strand.areaRatio, ...strand.widthMm, ...strand.coverage].every(Number.isNaN)).toBe(true);
      expect([...strand.laid].every((laid) => laid === 0)).toBe(true);
      expect([...strand.verdict].every((verdict) => VERDICTS[verdict] === "unmeasured")).toBe(true);
    }
  });
});

describe("the picture of a plan", () => {
  it("is 7 × 6 mm with y up, its corner at the strands' left and top", () => {
    const picture = planPicture(plan);
    expect([picture.widthMm, picture.heightMm]).toEqual([7, 6]);
    expect(picture.strands).toEqual([{ layer: 1, places: [0, 5, 3.2, 5] }, { layer: 1, places: [0, 3, 7, 3] }, { layer: 2, places: [2, 6, 2, 0] }]);
  });

  it("a strand of 1 001 waypoints is thinned to at most 121 places and keeps both ends", () => {
    const fine = madePlan([{ strand: 1, points: Array.from({ length: 1001 }, (_, i) => [i / 100, 2, 0.5] as const) }]);
    const [strand] = planPicture(fine).strands;
    expect(strand?.places.length).toBeLessThanOrEqual(242);
    expect([strand?.places[0], strand?.places.at(-2)]).toEqual([0, 10]);
  });

  it("a plan without strands has no size", () => {
    expect(planPicture({ strands: [] })).toMatchObject({ widthMm: 0, heightMm: 0, strands: [] });
  });
});
