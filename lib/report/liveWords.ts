/** The parts of a live page below its sentence, in words: findings as they stand, keeping and measuring, and what the cell was asked for. */
import { sizeWords } from "../base/sizeWords.ts";
import type { LiveHealth } from "../model/liveEvent.ts";
import type { StretchFinding } from "../model/result.ts";
import type { Fact, SheetFinding } from "../model/sheet.ts";
import type { CommandBody } from "../model/wire.ts";
import { ADVICE, mm } from "./findingWords.ts";
import { ageWords } from "./liveSentence.ts";
import { rankFindings } from "./ranking.ts";
import { valueWords } from "./valueWords.ts";
import { counted, wholeNumber } from "./words.ts";

/** Worst first, at most `most`. Live ones have no place in a map. */
export function liveFindings(findings: readonly StretchFinding[], most: number): SheetFinding[] {
  return rankFindings(findings).slice(0, most).map((findingIndex, rank) => {
    const finding = findings[findingIndex] as StretchFinding, { kind, severity, proven, layer, strand, fromMm, toMm } = finding, { value, limit } = valueWords(finding, null);
    return {
      rank, findingIndex, kind, severity, proven, layer, strand, offPath: false, fromMm, toMm, sMm: (fromMm + toMm) / 2, xMm: 0, yMm: 0, areaMm2: null,
      whereWords: `strand ${strand}`, rangeWords: `${mm(fromMm)}–${mm(toMm)} mm`, valueWords: value, limitWords: limit, advice: ADVICE[kind],
    };
  });
}

const COUNT_NOUNS: Readonly<Record<string, string>> = { profile: "profile", progress: "row of progress", rework: "stretch taken off", pose: "pose", signal: "value of a signal", frame: "frame" };
const COUNT_PLURALS: Readonly<Record<string, string>> = { progress: "rows of progress", rework: "stretches taken off", signal: "values of signals" };

function countWords([kind, count]: readonly [string, number]): string {
  const noun = COUNT_NOUNS[kind] ?? kind;
  return `${wholeNumber(count)} ${count === 1 ? noun : COUNT_PLURALS[kind] ?? `${noun}s`}`;
}

/** null: nothing has come yet. */
export function healthFacts(health: LiveHealth | null): Fact[] {
  if (health === null) return [{ name: "kept", value: "nothing has come yet" }];
  const { keptBytes, measuredBytes, backlogS, counts, lateCount, freeBytes, lastsS } = health;
  const some = Object.entries(counts).filter(([, count]) => count > 0).map(countWords);
  return [
    { name: "kept", value: `${sizeWords(keptBytes)} on the disk${some.length === 0 ? "" : `: ${some.join(", ")}`}` },
    { name: "measured", value: measuredBytes >= keptBytes ? "all of it" : `${sizeWords(measuredBytes)} of it` },
    { name: "behind", value: `${backlogS.toFixed(1)} s of the print` },
    { name: "too late", value: lateCount === 0 ? "no message" : `${counted(lateCount, "message")}: kept, and measured once the run is over` },
    { name: "disk", value: `${sizeWords(freeBytes)} free${lastsS === null ? "" : `, lasts ${ageWords(lastsS)} at this rate`}` },
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
