/** What later layers cover, as it was then; and strands that were taken off and laid again. */
import { VERDICT_MARKS } from "../../model/marks.ts";
import type { ReportBlock, ReportSection } from "../../model/report.ts";
import { VERDICTS, type StationResult } from "../../model/result.ts";
import { quantile } from "../../kernel/statistics.ts";
import { capital, counted, wholeNumber } from "../words.ts";
import { layersOf, type BodyInput } from "./bodyInput.ts";
import { stretchesWhere, stretchWords } from "./stretches.ts";

/** "118 in band, 4 watch, 2 under": those that occur, in the order of the marks. */
export function verdictCounts(stations: readonly StationResult[]): string {
  const parts = VERDICTS.flatMap((verdict) => {
    const count = stations.filter((at) => at.verdict === verdict).length;
    return count === 0 ? [] : [`${wholeNumber(count)} ${VERDICT_MARKS[verdict].label.toLowerCase()}`];
  });
  return parts.join(", ");
}

function agesWords(stations: readonly StationResult[]): string {
  const ages = stations.flatMap(({ measured }) => (measured === null || measured.ageS === null ? [] : [measured.ageS])).sort((a, b) => a - b);
  return ages.length === 0 ? "not known" : `${quantile(ages, 0.5).toFixed(1)} s, at most ${(ages.at(-1) as number).toFixed(1)} s`;
}

/** null where there is one layer only. */
export function buriedSection({ stations, findings }: BodyInput): ReportSection | null {
  const layers = layersOf(stations);
  const begun = layers.filter((layer) => stations.some((at) => at.layer === layer && at.laid)), buried = begun.slice(0, -1);
  if (buried.length === 0) return null;
  const rows = buried.map((layer) => {
    const here = stations.filter((at) => at.layer === layer && at.laid), open = findings.filter((finding) => finding.layer === layer && finding.severity === "act").length;
    return [String(layer), String(here.length), verdictCounts(here), agesWords(here), String(open)];
  });
  return {
    id: "buried", title: "Buried strands, as they were when they were covered",
    blocks: [
      { kind: "words", text: `${capital(counted(buried.length, "layer"))} ${buried.length === 1 ? "is" : "are"} covered by a later one. What is said of ${buried.length === 1 ? "it" : "them"} is the last good reading before that; nobody has seen ${buried.length === 1 ? "it" : "them"} since.` },
      { kind: "table", table: { caption: "Layers that are covered", columns: ["layer", "stations laid", "verdicts when covered", "age of the reading, median", "act findings beneath"].map((title, i) => ({ title, isNumber: i === 1 || i === 4 })), rows } },
    ],
  };
}

/** null where nothing was taken off. */
export function attemptsSection({ stations, earlierAttempts }: BodyInput): ReportSection | null {
  const removed = stretchesWhere(stations, (at) => at.verdict === "removed");
  if (earlierAttempts.length === 0 && removed.length === 0) return null;
  const key = (at: Pick<StationResult, "layer" | "strand" | "sMm">): string => `${at.layer}/${at.strand}/${at.sMm}`;
  const newest = new Map(stations.map((at) => [key(at), at]));
  const rows = stretchesWhere(earlierAttempts.toSorted((a, b) => a.attempt - b.attempt || a.layer - b.layer || a.strand - b.strand || a.sMm - b.sMm), () => true).map((stretch) => {
    const now = stretch.stations.flatMap((at) => newest.get(key(at)) ?? []);
    return [String(stretch.layer), String(stretch.strand), String(stretch.attempt), stretchWords(stretch), verdictCounts(stretch.stations), verdictCounts(now)];
  });
  const blocks: ReportBlock[] = [
    { kind: "words", text: "Stretches that were taken off again are kept as they were read, and what stands there now is the newest attempt, measured on the support that was seen after the removal." },
    { kind: "table", table: { caption: "Attempts before the one that stands", columns: ["layer", "strand", "attempt", "stretch, mm", "verdicts of that attempt", "verdicts of what stands now"].map((title, i) => ({ title, isNumber: i < 3 })), rows } },
  ];
  return {
    id: "attempts", title: "Taken off and laid again",
    blocks: removed.length === 0 ? blocks : [...blocks, { kind: "caution", text: `${capital(counted(removed.length, "stretch", "stretches"))} ${removed.length === 1 ? "was" : "were"} taken off and not laid again: ${removed.map((each) => `layer ${each.layer}, strand ${each.strand}, ${stretchWords(each)} mm`).join("; ")}.` }],
  };
}
