import { describe, expect, it } from "vitest";
import type { SeenBody } from "../../lib/camera/scene.ts";
import type { Body } from "../../lib/model/body.ts";
import type { DisagreementFinding, Point, StretchFinding } from "../../lib/model/result.ts";
import { isMissing, offPathFindings, type OffPath } from "../../lib/run/offPath.ts";

const body = (x: number, outline: readonly Point[] = [[x, 9, 0]]): Body => ({ layer: 2, areaMm2: 2.5, volumeMm3: 0.9, lengthMm: 2.7, position: [x, 10, 0], outline });
const seen = (x: number, file: string, outline: readonly Point[] = [[x, 11, 0]]) => ({ body: { position: [x, 10, 0], areaMm2: 2.1, lengthMm: 2.2, outline } satisfies SeenBody, layer: 2, file, missed: 0 });
const found = (change: Partial<OffPath>) => offPathFindings({ layer: 2, bodies: [], seen: [], missing: [], leastMm2: 0.5, pointsOf: () => [], ...change });

describe("paste off the path", () => {
  it("by profile and camera is one finding: the profile's place, area and volume, and the frame", () => {
    expect(found({ bodies: [body(5)], seen: [seen(6.9, "frames/7.png")] })).toEqual([{
      kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 2.5, volumeMm3: 0.9, lengthMm: 2.7, position: [5, 10, 0], worst: { metric: "areaMm2", value: 2.5, limit: 0.5 }, file: "frames/7.png",
    }]);
  });

  it("by the camera alone its volume is not known", () => {
    expect(found({ seen: [seen(6, "frames/7.png")] })).toEqual([{
      kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 2.1, volumeMm3: null, lengthMm: 2.2, position: [6, 10, 0], worst: { metric: "areaMm2", value: 2.1, limit: 0.5 }, file: "frames/7.png",
    }]);
  });

  it("by profiles alone it names no frame", () => expect(found({ bodies: [body(5)] }).map((f) => "file" in f)).toEqual([false]));

  it("is the same where middles lie 2 mm apart or outlines 1 mm; just beyond both it is two, each with its own frame", () => {
    const count = (x: number, outline?: readonly Point[]): number => found({ bodies: [body(5)], seen: [seen(x, "frames/7.png", outline)] }).length;
    expect([count(7), count(7.001)]).toEqual([1, 2]);
    expect([count(9, [[5, 8, 0]]), count(9, [[5, 7.999, 0]])]).toEqual([1, 2]);
    expect(found({ bodies: [body(5), body(20)], seen: [seen(20, "frames/8.png"), seen(40, "frames/9.png")] }).map(({ position, file }) => [position[0], file])).toEqual([[5, undefined], [20, "frames/8.png"], [40, "frames/9.png"]]);
  });

  it("near a stretch where paste is missing it came off there, whoever saw the body: 5 mm from its outline", () => {
    const gap: StretchFinding = { kind: "gap", severity: "act", proven: true, layer: 2, strand: 1, fromMm: 0, toMm: 2, lengthMm: 2, position: [6, 0, 0], worst: { metric: "areaRatio", value: 0, limit: 0.25 } };
    const kinds = (y: number): string[] => found({ bodies: [body(5, [[6, 10, 0]])], seen: [seen(30, "frames/7.png", [[9, 11, 0]])], missing: [gap], pointsOf: () => [[6, y, 0], [9, y, 0]] }).map(({ kind }) => kind);
    expect([kinds(6), kinds(5.5), kinds(4.9)]).toEqual([["detachedStrand", "detachedStrand"], ["detachedStrand", "strayMaterial"], ["strayMaterial", "strayMaterial"]]);
  });

  it("missing are gaps, and what the camera sees bare against the profiler", () => {
    expect([{ kind: "gap" }, { kind: "underExtrusion" }, { kind: "sensorsDisagree", camera: "absent" }, { kind: "sensorsDisagree", camera: "present" }].map((f) => isMissing(f as StretchFinding | DisagreementFinding))).toEqual([true, false, true, false]);
  });
});
