import { describe, expect, it } from "vitest";
import type { Finding } from "../../lib/model/result.ts";
import { findingClause, footprintMm2, placeWords } from "../../lib/report/findingWords.ts";
import { valueWords } from "../../lib/report/valueWords.ts";

const common = { proven: true, layer: 2, position: [1, 2, 3] as const, file: "frames/4.png" };
const GAP: Finding = { ...common, kind: "gap", severity: "watch", strand: 5, fromMm: 3, toMm: 4.5, lengthMm: 1.5, worst: { metric: "pasteFraction", value: 0.05, limit: 0.25 } };
const HANG: Finding = { ...common, kind: "nozzleHang", severity: "act", areaMm2: 2.1, worst: { metric: "areaMm2", value: 2.1, limit: 0 } };
const POSE: Finding = { ...common, kind: "cameraPose", severity: "watch", device: "camera-1", worst: { metric: "poseErrorMm", value: 0.83, limit: 0.5 } };

describe("what only frames know, in words", () => {
  it("is a share of the planned width, an area on the nozzle, or a distance, each with its limit", () => {
    expect(valueWords(GAP, null)).toEqual({ value: "paste over 5\u00a0% of the planned width", limit: "limit 25\u00a0%" });
    expect(valueWords(HANG, null)).toEqual({ value: "2.10 mm² seen on the nozzle", limit: "limit 0.00 mm²" });
    expect(valueWords(POSE, null)).toEqual({ value: "0.8 mm off", limit: "limit 0.5 mm" });
  });

  it("lies on its strand, at the nozzle, or where a camera looks; a drop at the nozzle has no footprint on the target", () => {
    expect(placeWords(GAP, 9, 1)).toEqual({ whereWords: "strand 5", rangeWords: "3.0–4.5 mm" });
    expect(placeWords(HANG, 3, 12)).toEqual({ whereWords: "nozzle", rangeWords: "over strand 3, 12.0 mm" });
    expect(placeWords(POSE, 3, 12)).toEqual({ whereWords: "camera-1", rangeWords: "looking at strand 3, 12.0 mm" });
    expect([GAP, HANG, POSE].map(footprintMm2)).toEqual([null, null, null]);
    expect([HANG, POSE].map(findingClause)).toEqual(["on layer 2 paste hangs at the nozzle", "on layer 2 a camera is not where it says"]);
  });
});
