/** What the watch over a run says on its page: the nozzle, what was heard, the paste's clock, the gate, where to pause and where to go on. */
import { overlaps } from "../../alert/causes.ts";
import { resumePlace, type Removed, type ResumePlace, type StationSeen } from "../../control/resume.ts";
import type { Gate } from "../../control/layerGate.ts";
import type { GateLine, HeardLine, LiveWords } from "../../model/liveSheet.ts";
import { mm } from "../../report/findingWords.ts";
import { pasteClock } from "../../report/pasteClock.ts";
import { counted, percent, percentAsked } from "../../report/words.ts";
import type { LiveRun } from "./liveRun.ts";

type Watched = Pick<LiveWords, "early" | "paste" | "heard" | "nozzle" | "gate" | "autoPause" | "pauseAt" | "resumeAt">;

/** Of a run that is over, or not of this process. */
export const NOT_WATCHED: Watched = { early: null, paste: null, heard: [], nozzle: null, gate: null, autoPause: { isOn: false, by: null }, pauseAt: "strandEnd", resumeAt: null };

/** "No paste is coming on strand 4 of layer 2 since 0.0 mm"; null where a finding or a stop says it already. */
function earlyWords({ run: { alerts, facts: { early } }, isLive }: { readonly run: LiveRun; readonly isLive: boolean }): string | null {
  if (early === null || !isLive || alerts.standing.some(({ isOn, cause: { kind, place } }) => isOn && kind === "gap" && place !== null && overlaps(place, early))) return null;
  return `No paste is coming on strand ${early.strand} of layer ${early.layer} since ${mm(early.fromMm)} mm`;
}

function heardLines(run: LiveRun, nowMs: number): HeardLine[] {
  const { heard, job: { policy: { watchdogs: limits } }, alerts } = run, on = (kind: string, subject: string): boolean => alerts.standing.some(({ isOn, cause }) => isOn && cause.kind === kind && cause.subject === subject);
  const line = (name: string, atMs: number | undefined, kind: string, subject: string, limitS: number): HeardLine => {
    const agoS = atMs === undefined || Number.isNaN(atMs) ? null : Math.max(0, nowMs - atMs) / 1000;
    return { name, agoS, isSilent: on(kind, subject) || (agoS !== null && agoS > 10 * limitS) };
  };
  return [
    ...[...heard.profilers].map(([device, { atMs }]) => line(device, atMs, "profilerSilent", device, limits.profilerSilentS)),
    ...[...heard.cameras].map(([device, { atMs }]) => line(device, atMs, "cameraSilent", device, limits.profilerSilentS)),
    line("progress", heard.progress?.atMs, "progressSilent", "", limits.progressSilentS), line("cell", heard.lastPollMs(nowMs), "cellSilent", "", limits.cellSilenceS),
  ];
}

function gateWords(run: LiveRun, { layer, isHeld, open, bareCount, seenFraction, seenEnough }: Gate): GateLine {
  const { minMeasuredFraction, openAct } = run.job.policy.layerGate, reasons = [
    ...(open.length === 0 ? [] : [`${counted(open.length, "act finding")} ${open.length === 1 ? "is" : "are"} open`]),
    ...(bareCount === 0 ? [] : [`${counted(bareCount, "stretch", "stretches")} ${bareCount === 1 ? "is" : "are"} taken off and not laid again`]),
    ...(seenEnough ? [] : [`only ${percent(seenFraction)} of it was seen; ${percentAsked(minMeasuredFraction)} is asked`]),
  ];
  const why = reasons.join(" and ");
  return { layer, isHeld, words: reasons.length === 0 ? `Layer ${layer} may be covered.` : isHeld ? `Layer ${layer} is held: ${why}.` : openAct === "advise" ? `Layer ${layer} should not be covered yet: ${why}.` : `Layer ${layer} may be covered: a person said so, though ${why}.` };
}

/** The gate that matters: one that is held, the lowest of them; else that of the layer being laid. */
function gateOf(run: LiveRun): GateLine | null {
  const { gates } = run.watch, gate = gates.find(({ isHeld }) => isHeld) ?? gates.at(-1);
  return gate === undefined ? null : gateWords(run, gate);
}

/** Stretches that were taken off and are not laid again, and what is seen of the strand that the nozzle is on. */
function resumeOf(run: LiveRun): LiveWords["resumeAt"] {
  const { facts: { nozzle }, seen } = run, removed: readonly Removed[] = seen.removed;
  const at = removed[0] ?? nozzle, stations: StationSeen[] = at === null || at === undefined ? [] : seen.strand(at.layer, at.strand).map(({ sMm, verdict }) => ({ sMm, isGood: verdict === "inBand" || verdict === "watch" }));
  const place = resumePlace(nozzle, removed, stations);
  return place === null ? null : { layer: place.layer, strand: place.strand, sMm: place.sMm, words: whyWords(place) };
}

function whyWords({ why, provenToMm, layer, strand }: ResumePlace): string {
  const proven = provenToMm === null ? "nothing of the strand is proven" : `the strand is good up to ${mm(provenToMm)} mm`;
  switch (why) {
    case "takenOff": return `Strand ${strand} of layer ${layer} was taken off there.`;
    case "midStrand": return `The nozzle stopped there; ${proven}.`;
    case "strandDone": return `The strand before it is laid to its end.`;
    case "nothingLaid": return "Nothing is laid yet.";
  }
}

export function watchedWords(run: LiveRun): Watched {
  const { facts: { nozzle }, watch, nowMs } = run, { state } = run.row;
  return {
    early: earlyWords({ run, isLive: state === "live" }), paste: pasteClock(run.job.material, Date.parse(run.nowIso), nozzle?.toPlanEndS ?? Number.NaN), heard: heardLines(run, nowMs),
    nozzle: nozzle === null ? null : { layer: nozzle.layer, strand: nozzle.strand, sMm: nozzle.sMm, behindMm: nozzle.behindMm, isLaying: nozzle.isLaying },
    gate: gateOf(run), autoPause: watch.autoPause, pauseAt: watch.pauseAt, resumeAt: state === "paused" || state === "onHold" ? resumeOf(run) : null,
  };
}
