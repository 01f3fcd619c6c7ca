/** Bodies off the path as findings: what profiles saw, what frames saw, and both as one. */
import { judgeBodies } from "../judge/bodies.ts";
import type { Body } from "../model/body.ts";
import type { BodyFinding, DisagreementFinding, Point, StretchFinding } from "../model/result.ts";
import { distance, SAME_BODY_MM, type StandingBody } from "./cameraStanding.ts";
import { rounded, roundedOrNull } from "./stationResult.ts";

/** A stretch where paste is missing: what lies off the path near by may have come from there. */
export type Missing = StretchFinding | DisagreementFinding;
export const isMissing = (f: StretchFinding | DisagreementFinding): f is Missing => f.kind === "gap" || (f.kind === "sensorsDisagree" && f.camera === "absent");

/** Profiler and camera mean the same body: their middles or any places of their outlines lie close together. */
function isSameBody(a: { readonly position: Point; readonly outline: readonly Point[] }, b: { readonly position: Point; readonly outline: readonly Point[] }): boolean {
  return distance(a.position, b.position) <= SAME_BODY_MM || a.outline.some((p) => b.outline.some((q) => distance(p, q) <= SAME_BODY_MM / 2));
}

export interface OffPath {
  readonly layer: number;
  readonly bodies: readonly Body[];
  /** By frames. */
  readonly seen: readonly StandingBody[];
  readonly missing: readonly Missing[];
  readonly leastMm2: number;
  readonly pointsOf: (gap: Missing) => readonly Point[];
}

/** Of one layer: profiles' bodies, those of them that frames show too with the frame, and what frames alone show, whose volume is not known. */
export function offPathFindings({ layer, bodies, seen, missing, leastMm2, pointsOf }: OffPath): BodyFinding[] {
  const fileOf = (body: Body): string | undefined => seen.find((each) => isSameBody(each.body, body))?.file;
  const alone = seen.filter((each) => !bodies.some((body) => isSameBody(each.body, body)));
  const all = [...bodies.map((body) => ({ body, file: fileOf(body) })), ...alone.map(({ body, file }) => ({ body: { ...body, layer, volumeMm3: Number.NaN }, file }))];
  return judgeBodies(all.map(({ body }) => body), missing, leastMm2, pointsOf).map((f, i) => ({
    ...f, areaMm2: rounded(f.areaMm2), volumeMm3: roundedOrNull(f.volumeMm3 ?? Number.NaN), lengthMm: rounded(f.lengthMm),
    position: f.position.map(rounded) as unknown as Point, worst: { ...f.worst, value: rounded(f.worst.value), limit: rounded(f.worst.limit) }, ...(all[i]?.file === undefined ? {} : { file: all[i].file }),
  }));
}
