/** The uncertainty of the areas, by contribution. */
import { CONTRIBUTIONS, type Contribution } from "../../model/reading.ts";
import type { ReportSection } from "../../model/report.ts";
import { BUDGET_KEYS, type StrandMean } from "../../model/strandMean.ts";
import { COVERAGE_FACTOR } from "../uWords.ts";
import { percent } from "../words.ts";
import { layersOf, type BodyInput } from "./bodyInput.ts";

/** What each contribution is. */
export const CONTRIBUTION_WORDS: Readonly<Record<Contribution, string>> = {
  noise: "noise of the sensor over the samples used", sampling: "pitch of samples and of profiles", support: "how well the support is known", drift: "drift of poses between support and bead",
  holes: "samples that gave no light", calibration: "stated calibration of the sensor and bias of a translucent paste",
};

/** Root mean square over strands, each with the weight of its measured stations, mm²; null: not kept, or nothing measured. */
export function budgetOf(means: readonly StrandMean[], contribution: Contribution): number | null {
  let squares = 0, count = 0;
  for (const each of means) {
    const u = each[BUDGET_KEYS[contribution]];
    if (u === null) continue;
    squares += each.measuredCount * u * u;
    count += each.measuredCount;
  }
  return count === 0 ? null : Math.sqrt(squares / count);
}

export function budgetSection({ means, stations }: Pick<BodyInput, "means" | "stations">): ReportSection {
  const title = "Uncertainty budget of the area", parts = CONTRIBUTIONS.map((name) => ({ name, u: budgetOf(means, name) }));
  if (parts.every(({ u }) => u === null)) return { id: "budget", title, blocks: [{ kind: "words", text: "No contributions are kept of this result: nothing was measured, or it is from before they were kept." }] };
  const variance = parts.reduce((sum, { u }) => sum + (u ?? 0) ** 2, 0), combined = Math.sqrt(variance);
  const rows = parts.map(({ name, u }) => [name, CONTRIBUTION_WORDS[name], u === null ? "–" : u.toFixed(5), u === null ? "–" : percent(u * u / variance)]);
  const layers = layersOf(stations).map((layer) => {
    const own = means.filter((each) => each.layer === layer), us = CONTRIBUTIONS.map((name) => budgetOf(own, name));
    return [String(layer), ...us.map((u) => u?.toFixed(5) ?? "–"), us.every((u) => u === null) ? "–" : Math.sqrt(us.reduce<number>((sum, u) => sum + (u ?? 0) ** 2, 0)).toFixed(5)];
  });
  return {
    id: "budget", title,
    blocks: [
      { kind: "words", text: `Contributions are standard uncertainties of one station’s area, root mean square over all measured stations, and are combined as a root sum of squares (JCGM 100, 5.1.2): u = ${combined.toFixed(5)} mm², U = ${(COVERAGE_FACTOR * combined).toFixed(5)} mm² with k = ${COVERAGE_FACTOR}. Each is of type B or rests on so many samples that its degrees of freedom are taken as infinite.` },
      { kind: "table", table: { caption: "All layers", columns: ["contribution", "what it is", "u, mm²", "share of the variance"].map((name, i) => ({ title: name, isNumber: i > 1 })), rows: [...rows, ["combined", "root sum of squares", combined.toFixed(5), percent(1)]] } },
      { kind: "table", table: { caption: "Layer by layer, u in mm²", columns: ["layer", ...CONTRIBUTIONS, "combined"].map((name) => ({ title: name, isNumber: true })), rows: layers } },
    ],
  };
}
