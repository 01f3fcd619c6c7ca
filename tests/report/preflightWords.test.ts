import { describe, expect, it } from "vitest";
import type { SupportFound } from "../../lib/model/supportFound.ts";
import { preflightSheet, supportSentence, supportSheet } from "../../lib/report/preflightWords.ts";
import { judged, mountBehind, wholeJob } from "../support/madePreflight.ts";

const FOUND: SupportFound = {
  maps: [{ cellMm: 0.5, nu: 2, nv: 1, overUm: [31, null], strands: [] }], meanMm: 0.0312, p5Mm: -0.021, p95Mm: 0.094,
  worst: { strand: 3, sMm: 7.25, position: [1, 2, 3], overMm: 0.104, limitMm: 0.12 }, seenFraction: 0.997, outsideFraction: 0, bandMm: [-0.11, 0.12],
  limits: { seenFraction: 0.95, outsideFraction: 0.01 }, go: true, because: [],
};

describe("the pre-flight list in words", () => {
  it("of a clean plan says that nothing was found and what could not be checked", () => {
    const sheet = preflightSheet(judged([{ strand: 1, points: [[0, 0, 0.5], [9, 0, 0.5]] }]));
    expect(sheet.sentence).toBe("Nothing was found against the plan. Four checks could not be made, or not everywhere.");
    expect([sheet.lines, sheet.moreCount]).toEqual([[], 0]);
    expect(sheet.totals).toBe("9.0 mm of path, 4.0 mm³ of paste, 2 s of laying alone");
    expect(sheet.notChecked[0]?.label).toBe("Laying against the working time");
  });

  it("counts act and watch, names the first, and leads each line to its place with value and limit", () => {
    const job = wholeJob((json) => { json["mounts"] = [mountBehind(3)]; });
    const sheet = preflightSheet(judged([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5]] }, { strand: 2, points: [[3, -4, 0.5], [3, 4, 0.5]] }], job));
    expect(sheet.sentence).toMatch(/^The plan has one act item and \w+ watch items?, the first at layer 1, strand 2, 3\.5–4\.5 mm: strands of a layer cross\. /);
    expect(sheet.lines[0]).toEqual({
      severity: "act", label: "Strands of a layer cross", where: "layer 1, strand 2, 3.5–4.5 mm", value: "0.50\u00a0mm", limit: "limit 0\u00a0mm",
      other: "with strand 1 of layer 1 at 3.0 mm", place: { layer: 1, strand: 2, sMm: 4 },
    });
    expect(sheet.detours[0]?.where).toBe("layer 1, strand 1");
    expect(sheet.detours[0]?.words).toMatch(/^\d+\.\d mm of it seen, 3\.0 to \d+\.\d mm of path and 0\.5 to \d+\.\d s after laying$/);
    expect(sheet.assumptions).toHaveLength(3);
  });

  it("shows 200 lines and counts the other 40", () => {
    const preflight = judged([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5]] }, { strand: 2, points: [[3, -4, 0.5], [3, 4, 0.5]] }]);
    const many = { ...preflight, items: Array.from({ length: 240 }, () => preflight.items[0]!) };
    expect([preflightSheet(many).lines.length, preflightSheet(many).moreCount]).toEqual([200, 40]);
  });
});

describe("the support as found in words", () => {
  it("go, with the place that comes nearest to its limit", () => {
    expect(supportSentence(FOUND)).toBe("Go: the target lies within the first layer's height band. It comes nearest to its limit at strand 3, 7.3 mm: +0.104 mm, limit +0.120 mm.");
  });

  it("no go, for each reason, with the worst place", () => {
    const found: SupportFound = { ...FOUND, seenFraction: 0.82, outsideFraction: 0.034, worst: { ...FOUND.worst!, overMm: -0.2, limitMm: -0.11 }, go: false, because: ["notSeen", "outside"] };
    expect(supportSentence(found).replaceAll("\u00a0", " ")).toBe("No go for layer 1: only 82.0 % of its ground was seen beforehand, and 95 % is asked for; 3.4 % of the ground that was seen lies outside the band, and 1 % may. The worst is at strand 3, 7.3 mm: −0.200 mm, limit −0.110 mm.");
  });

  it("nothing seen says so and has no numbers", () => {
    const found: SupportFound = { ...FOUND, meanMm: null, p5Mm: null, p95Mm: null, worst: null, seenFraction: 0, go: false, because: ["notSeen"] };
    expect(supportSentence(found)).toBe("No go for layer 1: nothing of it was seen beforehand.");
    expect(supportSheet(found).rows.slice(0, 3).map((r) => r.value)).toEqual(["not seen", "not seen", "not seen"]);
  });
});
