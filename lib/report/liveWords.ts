/** The parts of a live page below its sentence, in words: findings as they stand, keeping and measuring, and what the cell was asked for. */
import { sizeWords } from "../base/sizeWords.ts";
import type { LiveFrames, LiveHealth } from "../model/liveEvent.ts";
import type { Finding } from "../model/result.ts";
import type { Fact, SheetFinding, SheetLayer } from "../model/sheet.ts";
import type { CommandBody } from "../model/wire.ts";
import { ADVICE, footprintMm2, mm, placeWords } from "./findingWords.ts";
import { REASON_LABELS } from "./frameWords.ts";
import { mapPoint } from "./layerFrame.ts";
import { ageWords } from "./liveSentence.ts";
import { rankFindings } from "./ranking.ts";
import { valueWords } from "./valueWords.ts";
import { counted, wholeNumber } from "./words.ts";

/** Worst first, at most `most`. `layers`: where the plan's stations lie. */
export function liveFindings(findings: readonly Finding[], layers: readonly SheetLayer[], most: number): SheetFinding[] {
  return rankFindings(findings).slice(0, most).map((findingIndex, rank) => {
    const finding = findings[findingIndex] as Finding, { kind, severity, proven, layer } = finding, { value, limit } = valueWords(finding, null);
    return { rank, findingIndex, kind, severity, proven, layer, ...placeOf(finding, layers), valueWords: value, limitWords: limit, advice: ADVICE[kind] };
  });
}

type Placed = Pick<SheetFinding, "strand" | "offPath" | "fromMm" | "toMm" | "sMm" | "xMm" | "yMm" | "areaMm2" | "whereWords" | "rangeWords">;

function placeOf(finding: Finding, layers: readonly SheetLayer[]): Placed {
  const layer = layers.find((each) => each.layer === finding.layer), [xMm, yMm] = layer === undefined ? [0, 0] : mapPoint(layer.frame, finding.position);
  if ("fromMm" in finding) {
    const { strand, fromMm, toMm } = finding;
    return { strand, offPath: false, fromMm, toMm, sMm: (fromMm + toMm) / 2, xMm, yMm, areaMm2: null, ...placeWords(finding, strand, fromMm) };
  }
  const { strand, sMm } = nearestStation(layer, xMm, yMm), half = "lengthMm" in finding ? finding.lengthMm / 2 : 0;
  return { strand, offPath: true, fromMm: Math.max(0, sMm - half), toMm: sMm + half, sMm, xMm, yMm, areaMm2: footprintMm2(finding), ...placeWords(finding, strand, sMm) };
}

/** In the layer's map; the first of the layer where there is none. */
function nearestStation(layer: SheetLayer | undefined, xMm: number, yMm: number): { readonly strand: number; readonly sMm: number } {
  let best = { strand: 1, sMm: 0 }, bestMm = Infinity;
  for (const { strand, sMm, xMm: xs, yMm: ys } of layer?.strands ?? []) {
    sMm.forEach((s, i) => {
      const awayMm = Math.hypot((xs[i] as number) - xMm, (ys[i] as number) - yMm);
      if (awayMm < bestMm) [best, bestMm] = [{ strand, sMm: s }, awayMm];
    });
  }
  return best;
}

const COUNT_NOUNS: Readonly<Record<string, string>> = { profile: "profile", progress: "row of progress", rework: "stretch taken off", pasteMark: "mark of paste", pose: "pose", signal: "value of a signal", frame: "frame" };
const COUNT_PLURALS: Readonly<Record<string, string>> = { progress: "rows of progress", rework: "stretches taken off", pasteMark: "marks of paste", signal: "values of signals" };

function countWords([kind, count]: readonly [string, number]): string {
  const noun = COUNT_NOUNS[kind] ?? kind;
  return `${wholeNumber(count)} ${count === 1 ? noun : COUNT_PLURALS[kind] ?? `${noun}s`}`;
}

function frameFacts({ keptCount, measuredCount, skippedCount, newest }: LiveFrames): Fact[] {
  const counts = `${wholeNumber(keptCount)} kept, ${wholeNumber(measuredCount)} of them measured${skippedCount === 0 ? "" : `, ${wholeNumber(skippedCount)} left until the run is over`}`;
  return [
    { name: "frames", value: counts },
    ...(newest === null ? [] : [{ name: "newest frame", value: `${newest.file}, ${newest.reason === null ? "used" : `not used: ${REASON_LABELS[newest.reason]}`}` }]),
  ];
}

/** null: nothing has come yet, or no frame has. */
export function healthFacts(health: LiveHealth | null, frames: LiveFrames | null): Fact[] {
  if (health === null) return [{ name: "kept", value: "nothing has come yet" }];
  const { keptBytes, measuredBytes, backlogS, counts, lateCount, freeBytes, lastsS } = health;
  const some = Object.entries(counts).filter(([, count]) => count > 0).map(countWords);
  return [
    { name: "kept", value: `${sizeWords(keptBytes)} on the disk${some.length === 0 ? "" : `: ${some.join(", ")}`}` },
    { name: "measured", value: measuredBytes >= keptBytes ? "all of it" : `${sizeWords(measuredBytes)} of it` },
    { name: "behind", value: `${backlogS.toFixed(1)} s of the print` },
    { name: "too late", value: lateCount === 0 ? "no message" : `${counted(lateCount, "message")}: kept, and measured once the run is over` },
    { name: "disk", value: `${sizeWords(freeBytes)} free${lastsS === null ? "" : `, lasts ${ageWords(lastsS)} at this rate`}` },
    ...(frames === null ? [] : frameFacts(frames)),
  ];
}

const AT_WORDS = { now: "now", strandEnd: "at the strand’s end", layerEnd: "at the layer’s end" } as const;

/** "pause at the strand's end", "resume at layer 1, strand 2, 3.5 mm". */
export function commandWords(body: CommandBody): string {
  switch (body.kind) {
    case "pause": return `pause ${AT_WORDS[body.at]}${body.retractMm > 0 ? `, nozzle drawn back ${mm(body.retractMm)} mm` : ""}`;
    case "resume": return `resume at layer ${body.layer}, strand ${body.strand}, ${mm(body.sMm)} mm${body.overlapMm > 0 ? ` with ${mm(body.overlapMm)} mm of overlap` : ""}`;
    case "abort": return "abort";
    case "flowFactor": return `flow × ${body.factor.toFixed(2)} from layer ${body.layer}, strand ${body.strand}, ${mm(body.fromMm)} mm`;
  }
}

/** What the cell has said; before that, whether it has fetched the command. */
export function outcomeWords({ outcome, note, sentAt }: { readonly outcome: string | null; readonly note: string | null; readonly sentAt: string | null }): string {
  if (outcome !== null) return note === null || note === "" ? outcome : `${outcome}: ${note}`;
  return sentAt === null ? "the cell has not fetched it yet" : "with the cell, no answer yet";
}
