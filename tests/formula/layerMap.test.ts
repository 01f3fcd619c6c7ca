import { describe, expect, it } from "vitest";
import { MAP_WIDTH_PX, barMm, mapScale, nearestOnMap, placeLetters, planAxes, traceFlanks, traceVerdict } from "../../lib/formula/layerMap.ts";
import { pathPen } from "../../lib/formula/laneEdges.ts";
import { madeStrand } from "../support/madeStrand.ts";

const along = madeStrand([{ s: 0, x: 0, y: 0, w: 2, ratio: 1 }, { s: 10, x: 10, y: 0, w: 2, ratio: 1, verdict: "under" }, { s: 20, x: 20, y: 0, w: 2, ratio: 1 }], { strand: 1 });
const up = madeStrand([{ s: 0, x: 20, y: 0 }, { s: 12, x: 20, y: 12 }], { strand: 2 });
const scale = mapScale([along, up], []);

function numbers(trace: (pen: ReturnType<typeof pathPen>) => void): number[][] {
  const pen = pathPen();
  trace(pen);
  return [...pen.text().matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map((match) => [Number(match[1]), Number(match[2])]);
}

describe("the map of a layer", () => {
  it("keeps one scale both ways, y up, and holds beds and bodies", () => {
    expect(scale.x(20) - scale.x(0)).toBeCloseTo(20 * scale.pxPerMm, 9);
    expect(scale.y(0) - scale.y(12)).toBeCloseTo(12 * scale.pxPerMm, 9);
    expect(scale.x(21)).toBeLessThan(MAP_WIDTH_PX);
    const withBody = mapScale([along], [{ xMm: 60, yMm: 0, areaMm2: 3, offPath: true }]);
    expect(withBody.x(61)).toBeLessThan(MAP_WIDTH_PX);
  });

  it("left of travel lies to the left: flanks of a strand to the right stand 1 mm above and below it, of a strand upwards 1 mm left and right", () => {
    const [first] = numbers((pen) => traceFlanks(pen, along, scale, "seen"));
    expect(first?.[1]).toBeCloseTo(scale.y(1), 1);
    const [upwards] = numbers((pen) => traceFlanks(pen, up, scale, "planned"));
    expect(upwards?.[0]).toBeCloseTo(scale.x(19), 1);
  });

  it("a verdict of the station at 10 mm covers 5 to 15 mm", () => {
    const xs = numbers((pen) => traceVerdict(pen, along, scale, "under")).map(([x]) => x as number);
    expect(Math.min(...xs)).toBeCloseTo(scale.x(5), 1);
    expect(Math.max(...xs)).toBeCloseTo(scale.x(15), 1);
    expect(numbers((pen) => traceVerdict(pen, along, scale, "lifted"))).toEqual([]);
  });

  it("the scale bar is 1, 2 or 5 · 10ⁿ mm and at most a fifth of the width", () => {
    expect([30.5, 7.7, 304].map((pxPerMm) => barMm({ pxPerMm, widthPx: MAP_WIDTH_PX }))).toEqual([2, 10, 0.5]);
    for (const pxPerMm of [3, 31, 152, 800]) expect(barMm({ pxPerMm, widthPx: MAP_WIDTH_PX }) * pxPerMm).toBeLessThanOrEqual(MAP_WIDTH_PX / 5);
  });

  it("an axis that points at the viewer has no arrow", () => {
    expect(planAxes({ normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] }).map(({ name }) => name)).toEqual(["x", "y"]);
    expect(planAxes({ normal: [0, 1, 0], right: [1, 0, 0], up: [0, 0, 1] }).map(({ name }) => name)).toEqual(["x", "z"]);
  });

  it("letters of five findings at one place cover none of the others and stay in the picture", () => {
    const letters = placeLetters([0, 1, 2, 3, 4].map((rank) => ({ rank, xMm: 10, yMm: 1 })), scale);
    expect(letters).toHaveLength(5);
    letters.forEach((a, i) => letters.slice(i + 1).forEach((b) => expect(Math.max(Math.abs(a.xPx - b.xPx), Math.abs(a.yPx - b.yPx))).toBeGreaterThan(20)));
  });

  it("the nearest station to (19, 11) is the second of the second strand", () => {
    expect(nearestOnMap([along, up], 19, 11)).toEqual({ strand: 2, station: 1 });
    expect(nearestOnMap([], 1, 1)).toBeNull();
  });
});
