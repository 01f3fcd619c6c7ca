/** What is wrong with watching itself, with the cell, or with the paste's time: pure, from what is known now against the job's limits. Silence is an alert of its own. */
import type { AlertCause, AlertKind } from "../model/alert.ts";
import type { Policy } from "../model/job.ts";
import type { RunState } from "../model/liveRun.ts";
import { healthCause } from "./causes.ts";

/** A command that the cell has not answered. */
export interface CommandFacts {
  readonly n: number;
  readonly askedMs: number;
  /** When its answer can be there by the plan: a pause at a strand's end is done there. NaN: as soon as it is asked. */
  readonly dueMs: number;
}

/** Times in ms are of one clock of the server that never goes back. */
export interface WatchFacts {
  readonly state: RunState;
  readonly nowMs: number;
  /** When the newest profile of each device came, by its id. */
  readonly profilersMs: ReadonlyMap<string, number>;
  /** Cameras whose frames came regularly until now, and when the newest of each came. */
  readonly camerasMs: ReadonlyMap<string, number>;
  /** When the newest progress came, or since when it could; NaN: the run is not live. */
  readonly progressMs: number;
  /** A strand is being laid: a move between two has little to say. */
  readonly isLaying: boolean;
  /** When the cell last asked for commands; NaN: it never has. Since `liveMs` the run is live. */
  readonly pollMs: number;
  readonly liveMs: number;
  /** In order. */
  readonly openCommands: readonly CommandFacts[];
  /** The newest command, where it was refused or failed and none was carried out since; null: it was not. */
  readonly refused: number | null;
  readonly diskFreeFraction: number;
  readonly backlogS: number;
  readonly isEngineLost: boolean;
  /** The strand being laid though no profile shows it, and how far beyond the place where it must have been seen, mm; null: nothing of the kind. */
  readonly unseen: { readonly layer: number; readonly strand: number; readonly overdueMm: number } | null;
  /** How long the paste still works, s; NaN: no clock. */
  readonly pasteLeftS: number;
  /** Devices whose clock jumped, and by how much, s. */
  readonly clockJumpsS: ReadonlyMap<string, number>;
}

type Limits = Policy["watchdogs"];

const sinceS = (nowMs: number, thenMs: number): number => (nowMs - thenMs) / 1000;
const over = (kind: AlertKind, subject: string, valueS: number, limit: number): AlertCause[] => (valueS > limit ? [healthCause(kind, subject, { metric: "s", value: valueS, limit })] : []);

/** Between two strands, and while the support is scanned, progress may be silent so many times as long: longer than that the cell stands, and nobody has said so. */
const BETWEEN_STRANDS = 10;

/** While nothing is laid nothing has to come: silence is suppressed by design (IEC 62682). */
function silences({ state, nowMs, profilersMs, camerasMs, progressMs, isLaying }: WatchFacts, { profilerSilentS, progressSilentS }: Limits): AlertCause[] {
  if (state !== "live") return [];
  return [
    ...[...profilersMs].flatMap(([device, ms]) => over("profilerSilent", device, sinceS(nowMs, ms), profilerSilentS)),
    ...[...camerasMs].flatMap(([device, ms]) => over("cameraSilent", device, sinceS(nowMs, ms), profilerSilentS)),
    ...over("progressSilent", "", sinceS(nowMs, progressMs), isLaying ? progressSilentS : BETWEEN_STRANDS * progressSilentS),
  ];
}

/** A cell that has begun to lay has to ask for commands: else a pause reaches nobody. */
function cellSilence({ state, nowMs, pollMs, liveMs }: WatchFacts, { cellSilenceS }: Limits): AlertCause[] {
  if (state !== "live" && state !== "paused" && state !== "onHold") return [];
  if (Number.isNaN(pollMs)) return sinceS(nowMs, liveMs) > cellSilenceS ? [healthCause("cellSilent")] : [];
  return over("cellSilent", "", sinceS(nowMs, pollMs), cellSilenceS);
}

/** The oldest alone: one that does not answer answers none. */
function overdue({ openCommands, nowMs }: WatchFacts, { receiptS }: Limits): AlertCause[] {
  for (const { n, askedMs, dueMs } of openCommands) {
    const [told] = over("receiptOverdue", String(n), sinceS(nowMs, Math.max(askedMs, Number.isNaN(dueMs) ? askedMs : dueMs)), receiptS);
    if (told !== undefined) return [told];
  }
  return [];
}

function pasteTime({ state, pasteLeftS }: WatchFacts, { workingTimeLeftS }: Limits): AlertCause[] {
  if (Number.isNaN(pasteLeftS) || state === "prepared" || pasteLeftS >= workingTimeLeftS) return [];
  return pasteLeftS <= 0 ? [healthCause("workingTimeOver")] : [healthCause("workingTimeLow", "", { metric: "s", value: pasteLeftS, limit: workingTimeLeftS })];
}

/** The limit of a silence for cameras is the profiler's: the job has none of its own. */
const REGULAR_SHARE = 0.5;

/**
 * Whether a camera's frames come so regularly that their absence says something: the newest `count` gaps are there, and none was longer than half of what
 * counts as a silence. One that sends a frame a strand is not watched.
 */
export function isRegular(gapsS: readonly number[], count: number, silentS: number): boolean {
  return gapsS.length >= count && gapsS.every((gapS) => gapS <= REGULAR_SHARE * silentS);
}

/** Everything of the watch that stands now. */
export function watch(facts: WatchFacts, limits: Limits): AlertCause[] {
  const { diskFreeFraction, backlogS, isEngineLost, unseen, clockJumpsS, refused, state } = facts;
  return [
    ...silences(facts, limits), ...cellSilence(facts, limits), ...overdue(facts, limits), ...pasteTime(facts, limits),
    ...(refused === null ? [] : [healthCause("commandRefused", String(refused))]),
    ...(diskFreeFraction < limits.diskFreeFraction ? [healthCause("diskLow", "", { metric: "fraction", value: diskFreeFraction, limit: limits.diskFreeFraction })] : []),
    ...over("backlog", "", backlogS, limits.backlogS),
    ...(isEngineLost ? [healthCause("engineLost")] : []),
    ...(unseen !== null && state === "live" ? [{ kind: "strandNotSeen", severity: "act", subject: "", place: { layer: unseen.layer, strand: unseen.strand, fromMm: null, toMm: null }, worst: null } as const] : []),
    ...[...clockJumpsS].map(([device, jumpS]) => healthCause("clockJumped", device, { metric: "s", value: Math.abs(jumpS), limit: CLOCK_JUMP_S })),
  ];
}

/** Stamps that go on otherwise than the server's clock by more than this are a jump, s. */
export const CLOCK_JUMP_S = 1;
/** So long a jump stays told, ms. */
const JUMP_TOLD_MS = 30_000;

/** So many arrivals in a row without a jump, and the distance of a clock is known: before that, late ones that were waiting somewhere may be all there were. */
const KNOWN_AFTER = 5;

/** What is known of one device's clock. `steadyCount`: arrivals since its distance was last taken anew. */
export interface ClockState { readonly tS: number; readonly atMs: number; readonly leastMs: number; readonly steadyCount: number; readonly jumpedMs: number; readonly jumpS: number }

/**
 * Takes the newest stamp of a device and when it came. A message may come late and never early: the least of (arrival − stamp) so far is the clock's own
 * distance, and a stamp that comes earlier than that by more than the limit has jumped ahead. One that goes back by more than the limit has jumped
 * back. A batch that is late is neither, also where it is the first that comes: after a start of the server what waited comes all at once.
 */
export function watchClock(before: ClockState | null, tS: number, atMs: number): ClockState {
  const delayMs = atMs - 1000 * tS;
  if (before === null) return { tS, atMs, leastMs: delayMs, steadyCount: 1, jumpedMs: Number.NaN, jumpS: 0 };
  const aheadS = (before.leastMs - delayMs) / 1000, backS = before.tS - tS, isAhead = aheadS > CLOCK_JUMP_S, isBack = backS > CLOCK_JUMP_S;
  if (!isAhead && !isBack) return { ...before, tS, atMs, leastMs: Math.min(before.leastMs, delayMs), steadyCount: before.steadyCount + 1 };
  const anew = { ...before, tS, atMs, leastMs: delayMs, steadyCount: 1 };
  return isAhead && before.steadyCount < KNOWN_AFTER ? anew : { ...anew, jumpedMs: atMs, jumpS: isAhead ? aheadS : -backS };
}

/** The jump that is still told; null: none. */
export function toldJumpS({ jumpedMs, jumpS }: ClockState, nowMs: number): number | null {
  return nowMs - jumpedMs < JUMP_TOLD_MS ? jumpS : null;
}
