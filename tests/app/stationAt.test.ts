import { describe, expect, it } from "vitest";
import { numberRows, plusMinus, readingWords } from "../../app/runs/[id]/stationAt.ts";
import type { Station } from "../../app/runs/[id]/stationAt.ts";
import { madeLimits } from "../support/madeResult.ts";

const station: Station = {
  layer: 1, strand: 2, index: 9, attempt: 1, sMm: 4.5, sagMm: null, laid: true, plannedWidthMm: 1.2, plannedHeightMm: 0.6, plannedAreaMm2: 0.681, widthMm: 1.153, heightMm: 0.588, areaMm2: 0.642, offsetMm: -0.034, areaRatio: 0.943,
  uWidthMm: 0.021, uHeightMm: 0.0062, uAreaMm2: 0.0083, uOffsetMm: 0.012, coverage: 0.97, support: "measured", ageS: 0.61, verdict: "inBand", proven: true, camera: null, cameraWidthMm: null, uCameraWidthMm: null, cameraFrame: -1, limits: madeLimits(1.2, 0.6),
};

describe("a station in numbers", () => {
  it("two digits, three where u is under 0.01; a dash where nothing was measured", () => {
    expect(plusMinus(1.153, 0.021)).toBe("1.15 ± 0.02");
    expect(plusMinus(0.588, 0.0062)).toBe("0.588 ± 0.006");
    expect(plusMinus(-0.034, 0.012)).toBe("−0.03 ± 0.01");
    expect(plusMinus(null, 0.01)).toBe("–");
  });

  it("limits are absolute: width 1.2 mm ± 10 % and ± 20 %", () => {
    expect(numberRows(station)[0]).toEqual({ name: "width, mm", planned: "1.20", measured: "1.15 ± 0.02", watch: "1.08–1.32", act: "0.96–1.44" });
    expect(numberRows(station)[2]).toMatchObject({ watch: "0.61–0.75", act: "0.54–0.85" });
  });

  it("says what the reading rests on, and that there is none", () => {
    expect(readingWords(station)).toBe("area ratio 0.94 · coverage 0.97 · on a support that was seen · read 0.6 s after laying");
    expect(readingWords({ ...station, areaRatio: null })).toBe("Laid, and never seen well enough to measure.");
    expect(readingWords({ ...station, areaRatio: null, laid: false })).toBe("Not laid.");
    expect(readingWords({ ...station, widthMm: null })).toContain("a flank was not seen, so no width");
  });

  it("says of what the camera alone saw that height and area are not known", () => {
    const seen = { ...station, areaRatio: null, camera: "present", cameraWidthMm: 0.982, uCameraWidthMm: 0.081, cameraFrame: 3 } as const;
    expect(readingWords(seen)).toBe("Seen by the camera alone: present, width 0.98 ± 0.08 mm; height and area are not known.");
    expect(readingWords({ ...seen, camera: "absent", cameraWidthMm: null })).toBe("Seen by the camera alone: absent; height and area are not known.");
    expect(readingWords({ ...seen, areaRatio: 0.94 })).toMatch(/ · camera: present, width 0\.98 ± 0\.08 mm$/);
  });
});
