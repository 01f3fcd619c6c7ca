/** What the watchdogs of a live run go by, gathered from its parts. */
import { statfsSync } from "node:fs";
import { isRegular, toldJumpS, watchClock, type ClockState, type CommandFacts, type WatchFacts } from "../../alert/watchdogs.ts";
import { pasteClock } from "../../report/pasteClock.ts";
import { refusedSinceDone } from "../../store/commandTable.ts";
import type { Sqlite } from "../../store/connection.ts";
import type { OpenCommand } from "./commandBook.ts";
import { GAPS_KEPT } from "./heard.ts";
import type { LiveRun } from "./liveRun.ts";

/** What has to be remembered from one look to the next. */
export interface WatchMemory {
  readonly clocks: Map<string, ClockState>;
  /** Since when the run is live; NaN: it is not. */
  liveMs: number;
  diskFreeFraction: number;
  diskMs: number;
  /** When the answers to open commands can be there, by number. */
  readonly dueMs: Map<number, number>;
}

/** The disk is looked at so often, ms. */
const DISK_EVERY_MS = 1000;
/** Beyond laying at the planned speed a pause at an end may take so much longer: moves between strands, and the profiler's look. */
const SLOWER = 1.5, SLOWER_S = 3;

/** When the answer can be there: at once, or where the print comes to what was asked for. */
function dueMs({ kind, at, sentAt }: OpenCommand, run: LiveRun, nowMs: number): number {
  if (sentAt === null || kind !== "pause" || at === "now") return Number.NaN;
  const { nozzle } = run.facts;
  return nozzle === null ? nowMs : nowMs + 1000 * (SLOWER_S + SLOWER * (at === "strandEnd" ? nozzle.toStrandEndS : nozzle.toLayerEndS));
}

/** The first estimate of when a command is due holds: a print that slows down does not move it. */
function openCommands(run: LiveRun, memory: WatchMemory, nowMs: number): CommandFacts[] {
  const { open } = run.commands;
  for (const n of memory.dueMs.keys()) if (!open.some((command) => command.n === n)) memory.dueMs.delete(n);
  return open.map((command) => {
    const { n, askedMs } = command, due = memory.dueMs.get(n) ?? dueMs(command, run, nowMs);
    if (!Number.isNaN(due)) memory.dueMs.set(n, due);
    return { n, askedMs, dueMs: due };
  });
}

/** Gathers them; `memory` is brought up to now. */
export function factsOf(run: LiveRun, memory: WatchMemory, { db, nowMs: clock, nowIso }: { readonly db: Sqlite; readonly nowMs: () => number; readonly nowIso: () => string }): WatchFacts {
  const nowMs = clock(), { state } = run.row, { heard, job } = run;
  if (state === "live") memory.liveMs = Number.isNaN(memory.liveMs) ? nowMs : memory.liveMs;
  else memory.liveMs = Number.NaN;
  for (const [device, { atMs, tS }] of heard.profilers) if (memory.clocks.get(device)?.tS !== tS) memory.clocks.set(device, watchClock(memory.clocks.get(device) ?? null, tS, atMs));
  if (!(nowMs - memory.diskMs < DISK_EVERY_MS)) {
    const { bavail, blocks } = statfsSync(run.dataFolder);
    [memory.diskFreeFraction, memory.diskMs] = [bavail / blocks, nowMs];
  }
  const sinceLive = (ms: number): number => (Number.isNaN(memory.liveMs) ? ms : Math.max(ms, memory.liveMs)); // what was silent while the print stood has time to begin again
  const jumps = [...memory.clocks].flatMap(([device, clockState]): [string, number][] => {
    const jumpS = toldJumpS(clockState, nowMs);
    return jumpS === null ? [] : [[device, jumpS]];
  });
  return {
    state, nowMs, profilersMs: new Map([...heard.profilers].map(([device, { atMs }]) => [device, sinceLive(atMs)])),
    camerasMs: new Map([...heard.cameras].filter(([, { gapsS }]) => isRegular(gapsS, GAPS_KEPT, job.policy.watchdogs.profilerSilentS)).map(([device, { atMs }]) => [device, sinceLive(atMs)])),
    progressMs: heard.progress === null ? memory.liveMs : sinceLive(heard.progress.atMs), isLaying: run.facts.nozzle?.isLaying === true,
    pollMs: heard.lastPollMs(nowMs), liveMs: memory.liveMs, openCommands: openCommands(run, memory, nowMs), refused: refusedSinceDone(db, run.id), diskFreeFraction: memory.diskFreeFraction,
    backlogS: run.health?.backlogS ?? 0, isEngineLost: run.isEngineLost, unseen: run.facts.unseen, pasteLeftS: pasteClock(job.material, Date.parse(nowIso()), Number.NaN)?.leftS ?? Number.NaN, clockJumpsS: new Map(jumps),
  };
}
