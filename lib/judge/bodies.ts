import type { Body } from "../model/body.ts";
import type { BodyFinding, Point } from "../model/result.ts";

/** A body this close to a gap of its layer is the strand that is missing there, mm. */
const NEAR_GAP_MM = 5;

/** Bodies off the path as findings: detached where a gap of the same layer lies within 5 mm, else stray. `pointsOf` gives places along a gap. */
export function judgeBodies<G extends { readonly layer: number }>(bodies: readonly Body[], gaps: readonly G[], leastAreaMm2: number, pointsOf: (gap: G) => readonly Point[]): BodyFinding[] {
  return bodies.map((body) => {
    const near = gaps.some((gap) => gap.layer === body.layer && pointsOf(gap).some((p) => distanceTo(body, p) <= NEAR_GAP_MM));
    return {
      kind: near ? "detachedStrand" : "strayMaterial", severity: "act", proven: true, layer: body.layer, areaMm2: body.areaMm2,
      volumeMm3: body.volumeMm3, lengthMm: body.lengthMm, position: body.position,
      worst: { metric: "areaMm2", value: body.areaMm2, limit: leastAreaMm2 },
    };
  });
}

function distanceTo(body: Body, p: Point): number {
  let least = Infinity;
  for (const q of body.outline) least = Math.min(least, Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]));
  return least;
}
