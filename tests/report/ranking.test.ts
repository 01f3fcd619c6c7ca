import { describe, expect, it } from "vitest";
import { FINDING_KINDS } from "../../lib/model/result.ts";
import type { Finding, StretchFinding } from "../../lib/model/result.ts";
import { ADVICE, findingClause } from "../../lib/report/findingWords.ts";
import { rankFindings } from "../../lib/report/ranking.ts";

const at = (kind: StretchFinding["kind"], severity: "act" | "watch", proven: boolean, lengthMm: number): Finding => ({
  kind, severity, proven, layer: 1, strand: 2, fromMm: 3, toMm: 3 + lengthMm, lengthMm, position: [0, 0, 0], worst: { metric: "areaRatio", value: 0.4, limit: 0.8 },
});

describe("worst first", () => {
  it("act stands before watch, a gap before under-extrusion, proven before not, 5 mm before 4 mm", () => {
    const findings = [at("gap", "watch", false, 9), at("underExtrusion", "act", true, 4), at("underExtrusion", "act", false, 8), at("underExtrusion", "act", true, 5), at("gap", "act", true, 1)];
    expect(rankFindings(findings)).toEqual([4, 3, 1, 2, 0]);
  });

  it("equal findings keep their order, and an empty list stays empty", () => {
    expect(rankFindings([at("gap", "act", true, 2), at("gap", "act", true, 2)])).toEqual([0, 1]);
    expect(rankFindings([])).toEqual([]);
  });
});

describe("finding words", () => {
  it("a stretch is placed by strand, layer and place to 0.1 mm, a body by its layer", () => {
    expect(findingClause(at("gap", "act", true, 2.57))).toBe("strand 2 of layer 1 has a gap of 2.6 mm at 3.0 mm");
    const body: Finding = { kind: "detachedStrand", severity: "act", proven: true, layer: 4, areaMm2: 3, volumeMm3: null, lengthMm: 6.5, position: [1.25, -2.5, 7], worst: { metric: "areaMm2", value: 3, limit: 0.5 } };
    expect(findingClause(body)).toBe("on layer 4 a piece of 6.5 mm has come off its strand");
  });

  it("every kind has its advice, and each is a sentence", () => {
    for (const kind of FINDING_KINDS) expect(ADVICE[kind]).toMatch(/^[A-Z].*\.$/);
  });
});
