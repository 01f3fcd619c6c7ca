import { createElement } from "react";
import { renderToStaticMarkup } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { Preflight } from "../../app/runs/[id]/Preflight.tsx";
import { SupportFound } from "../../app/runs/[id]/SupportFound.tsx";
import { classOf, strandPath, supportPaths } from "../../app/runs/[id]/supportFoundGeometry.ts";
import type { PreflightSheet } from "../../lib/model/preflight.ts";
import type { SupportMap } from "../../lib/model/supportFound.ts";

const MAP: SupportMap = { cellMm: 0.5, nu: 4, nv: 2, overUm: [10, 20, null, 90, -70, -200, 150, 160], strands: [{ strand: 1, uvMm: [0.25, 0.5, 1.75, 0.75] }] };
const BAND = [-0.12, 0.1] as const;

describe("the support map", () => {
  it("classes: inner half of the band, outer half of either side, outside; on a limit is inside", () => {
    expect([-0.121, -0.12, -0.06, 0.05, 0.051, 0.1, 0.101].map((v) => classOf(v, BAND))).toEqual(["underBand", "under", "near", "near", "over", "over", "overBand"]);
  });

  it("runs of a class are one rectangle, v upwards; what was not seen has none", () => {
    expect(supportPaths(MAP, BAND)).toEqual({ near: "M0 0.5h1v0.5H0z", over: "M1.5 0.5h0.5v0.5H1.5z", under: "M0 0h0.5v0.5H0z", underBand: "M0.5 0h0.5v0.5H0.5z", overBand: "M1 0h1v0.5H1z" });
  });

  it("a centre line runs in the same millimetres", () => {
    expect(strandPath(MAP, MAP.strands[0]!.uvMm)).toBe("M0.25 0.5L1.75 0.25");
  });

  it("is a picture with its sentence as text, a scale, a key and a table", () => {
    const html = renderToStaticMarkup(createElement(SupportFound, { found: { sentence: "No go for layer 1: it lies high.", rows: [{ name: "seen", value: "99.7 %" }], bandMm: BAND, maps: [MAP] } }));
    expect(html).toContain('role="img" aria-label="Map of the target under layer 1. No go for layer 1: it lies high."');
    for (const part of ["1 mm", "blank: not seen", "<td>99.7 %</td>", "over the band"]) expect(html).toContain(part);
  });
});

describe("the pre-flight list", () => {
  const sheet: PreflightSheet = {
    sentence: "The plan has one act item.", totals: "9.0 mm of path", moreCount: 7, assumptions: ["The tool turns."], detours: [{ where: "layer 1, strand 2", words: "never seen" }],
    lines: [{ severity: "act", label: "Strands of a layer cross", where: "layer 1, strand 2, 3.5–4.5 mm", value: "0.50 mm", limit: "limit 0.00 mm", other: "with strand 1 of layer 1 at 3.0 mm", place: { layer: 1, strand: 2, sMm: 4 } }],
    notChecked: [{ label: "More paste than the syringe holds", reason: "the job gives no syringeVolumeMm3" }],
  };

  it("shows each line with number, limit and severity, a way to its place, what was not checked with its reason, and the rest counted", () => {
    const html = renderToStaticMarkup(createElement(Preflight, { preflight: sheet }));
    for (const part of ["Strands of a layer cross", "0.50 mm", "limit 0.00 mm · act", "More paste than the syringe holds: the job gives no syringeVolumeMm3", "7 more", "layer 1, strand 2: never seen", "The tool turns."]) expect(html).toContain(part);
    expect(html).toContain('<a href="#place-1-2-4">layer 1, strand 2, 3.5–4.5 mm</a>');
  });
});
