import type { InspectResult } from "../../lib/model/result.ts";
import type { NewRun } from "../../lib/store/writeRun.ts";

/** A run around a result, every text different; `number` tells several apart. */
export function madeRun(number: number, newId: () => string, result: InspectResult): NewRun {
  const strands = [...new Map(result.stations.map((at) => [`${at.layer}/${at.strand}`, at])).values()].map(({ layer, strand }) => ({
    layer, strand, approach: 1, waypointCount: 11 + strand, lengthMm: result.stations.reduce((most, at) => (at.layer === layer && at.strand === strand ? Math.max(most, at.sMm) : most), 0), closed: layer === 2,
  }));
  const hash = (text: string): string => `${text}${String(number).padStart(4, "0")}`.padEnd(64, "0");
  return {
    run: {
      id: newId(), createdAt: `2026-02-0${number}T09:12:00.000Z`, contentSha256: hash("c"), name: `run ${number}`, specimen: `block ${number}`, materialName: "paste", lot: `A${number}`,
      beadShape: "segment", state: "recorded", rehearsal: number % 2 === 0, demo: number === 1, jobText: `{"n":${number}}`, jobSha256: hash("a"), planFile: "plan.csv",
      planText: `x${number}`, planSha256: hash("b"), layerCount: 2, strandCount: strands.length, plannedLengthMm: 74.5,
    },
    strands, resultId: newId(), computedAt: `2026-02-0${number}T09:13:00.000Z`, acceptance: { minMeasuredFraction: 0.94, minInBandFraction: 0.88, maxActFindings: 3 }, result,
  };
}
