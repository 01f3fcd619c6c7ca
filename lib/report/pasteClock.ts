/** How long the paste still works, against what is left to lay. */
import type { Material } from "../model/job.ts";
import type { PasteClock } from "../model/liveSheet.ts";

/** When the paste stops working, unix ms; NaN: the job states no working time, or not when it began. */
function pasteEndMs({ workingTimeS, clockStarts, mixedAt }: Pick<Material, "workingTimeS" | "clockStarts" | "mixedAt">): number {
  return workingTimeS === null || mixedAt === null || clockStarts === "none" ? Number.NaN : Date.parse(mixedAt) + 1000 * workingTimeS;
}

/** `toPrintS`: laying what is left, at the planned speed; NaN: not known. null: there is no clock. */
export function pasteClock(material: Pick<Material, "workingTimeS" | "clockStarts" | "mixedAt">, nowMs: number, toPrintS: number): PasteClock | null {
  const endMs = pasteEndMs(material);
  if (Number.isNaN(endMs) || material.workingTimeS === null) return null;
  return { endsAt: new Date(endMs).toISOString(), leftS: (endMs - nowMs) / 1000, workingTimeS: material.workingTimeS, toPrintS: Number.isNaN(toPrintS) ? null : toPrintS };
}
