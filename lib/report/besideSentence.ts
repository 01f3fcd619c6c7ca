/** What differs most between two results, in a sentence. Pure. */
import type { Finding, Summary } from "../model/result.ts";
import type { Sheet } from "../model/sheet.ts";
import { counted, percent } from "./words.ts";

/** What of a side the sentence is made of. */
export interface SentenceSide { readonly sheet: Pick<Sheet, "head" | "resultId" | "words">; readonly summary: Summary; readonly findings: readonly Finding[] }

/** A difference in words, and how large it is in steps of its own kind: one act finding, or five points of a share (common practice, no source). */
interface Difference { readonly size: number; readonly words: string }
const STEP = 0.05;

const actsOf = ({ findings }: SentenceSide): number => findings.filter(({ severity }) => severity === "act").length;
const capital = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}`;

function shareDifference(a: number | null, b: number | null, words: (a: string, b: string) => string): Difference[] {
  if (a === null || b === null || a === b) return [];
  const [ofA, ofB] = [percent(a), percent(b)];
  return ofA === ofB ? [] : [{ size: Math.abs(b - a) / STEP, words: words(ofA, ofB) }];
}

function differencesOf(a: SentenceSide, b: SentenceSide): Difference[] {
  const [acceptA, acceptB] = [a.sheet.words.acceptable, b.sheet.words.acceptable], acts = actsOf(b) - actsOf(a);
  const said = (acceptable: boolean | null): string => (acceptable === null ? "cannot be judged" : acceptable ? "is acceptable" : "is not acceptable");
  const measured = ({ summary: { laid, measured: seen } }: SentenceSide): number | null => (laid > 0 ? seen / laid : null);
  const volume = ({ summary: { plannedVolumeMm3, measuredVolumeMm3 } }: SentenceSide): number | null => (plannedVolumeMm3 > 0 ? measuredVolumeMm3 / plannedVolumeMm3 : null);
  return [
    ...(acceptA === acceptB ? [] : [{ size: Infinity, words: `A ${said(acceptA)}, B ${said(acceptB)}.` }]),
    ...(acts === 0 ? [] : [{ size: Math.abs(acts), words: `${capital(counted(Math.abs(acts), "act finding"))} ${acts > 0 ? "more" : "fewer"} in B than in A.` }]),
    ...shareDifference(a.summary.inBandLengthFraction, b.summary.inBandLengthFraction, (ofA, ofB) => `In A ${ofA} of the laid length is in band, in B ${ofB}.`),
    ...shareDifference(measured(a), measured(b), (ofA, ofB) => `Of what was laid ${ofA} was measured in A, ${ofB} in B.`),
    ...shareDifference(volume(a), volume(b), (ofA, ofB) => `A holds ${ofA} of its planned volume, B ${ofB}.`),
  ].sort((p, q) => q.size - p.size);
}

function openingOf(a: SentenceSide, b: SentenceSide): string {
  if (a.sheet.head.planSha256 !== b.sheet.head.planSha256) return "Two different plans: places cannot be compared. ";
  return a.sheet.head.runId === b.sheet.head.runId ? "The same data, measured twice. " : "";
}

/** `headline`: what the two are to each other, and what differs most; `detail`: the other differences, largest first. */
export function besideSentence(a: SentenceSide, b: SentenceSide): { readonly headline: string; readonly detail: string } {
  if (a.sheet.resultId === b.sheet.resultId) return { headline: "Both sides are the same result: nothing differs.", detail: "Choose another run, or another result of this one." };
  const [most, ...others] = differencesOf(a, b), detail = others.map(({ words }) => words).join(" ");
  return { headline: `${openingOf(a, b)}${most?.words ?? "By their counts and amounts they do not differ."}`, detail: detail === "" ? "Nothing else differs in counts and amounts." : detail };
}
