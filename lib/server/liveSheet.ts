/** Runs that have no result yet, as their pages show them: from what their engines have told, and from the database where there is none. */
import { resolveJob } from "../model/jobSchema.ts";
import { OPEN_STATES } from "../model/liveRun.ts";
import { withReadings } from "../model/liveColumns.ts";
import type { CommandLine, LiveSheet, LiveWords, OpenRunLine } from "../model/liveSheet.ts";
import type { SheetHead, SheetLayer } from "../model/sheet.ts";
import { alertLines, moreAlertsWords } from "../report/alertWords.ts";
import { liveFrameLines } from "../report/liveFrames.ts";
import { ageWords, liveSentence } from "../report/liveSentence.ts";
import { commandWords, healthFacts, liveFindings, outcomeWords } from "../report/liveWords.ts";
import { openSentence } from "../report/sentence.ts";
import { newestCommands } from "../store/commandTable.ts";
import type { Sqlite } from "../store/connection.ts";
import { listOpenRuns, listUnmeasuredRuns, readLiveRun, type LiveRunRow } from "../store/liveRuns.ts";
import { readEntriesOf } from "../store/logTable.ts";
import { newestEventId } from "./live/eventFeed.ts";
import type { LiveRun } from "./live/liveRun.ts";
import { sharedHub } from "./live/sharedHub.ts";
import { NOT_WATCHED, watchedWords } from "./live/watchedWords.ts";
import { look } from "./look/sharedLook.ts";
import { nowIso, sharedStore } from "./settings.ts";

/** On one page; the rest is counted. */
const MOST_FINDINGS = 40, MOST_ALERTS = 40, MOST_COMMANDS = 20, MOST_UNMEASURED = 20;

function headOf({ id, name, specimen, lot, materialName, createdAt, rehearsal, demo, planSha256 }: LiveRunRow): SheetHead {
  return { runId: id, name, specimen, lot, materialName, createdAt, rehearsal, demo, planSha256 };
}

/** When the state that it is in came about. */
function sinceOf(db: Sqlite, { id, state, createdAt }: LiveRunRow): string {
  const kind = state === "finished" ? "run.finished" : state === "aborted" ? "run.aborted" : "run.state";
  return readEntriesOf(db, id, kind).at(-1)?.at ?? createdAt;
}

/** The run in this process; null where it is over, or nothing is taken over the wire here. */
function livingOf({ id, state }: LiveRunRow): LiveRun | null {
  return OPEN_STATES.includes(state) ? sharedHub()?.open(id) ?? null : null;
}

function commandLines(db: Sqlite, runId: string): CommandLine[] {
  return newestCommands(db, runId, MOST_COMMANDS).map((command) => ({
    n: command.n, what: commandWords(command.body), by: command.actor, askedAt: command.askedAt, outcome: outcomeWords(command), isOpen: command.outcome === null,
    sentAfterS: secondsBetween(command.askedAt, command.sentAt), answeredAfterS: secondsBetween(command.askedAt, command.receiptAt),
  }));
}

/** null: the second has not come about. */
function secondsBetween(from: string, to: string | null): number | null {
  return to === null ? null : Math.max(0, (Date.parse(to) - Date.parse(from)) / 1000);
}

/** null: the job has no camera, or nothing is taken of the run here. */
function framesOf(live: LiveRun | null): LiveWords["frames"] {
  if (live === null || !live.job.devices.some(({ kind }) => kind === "camera")) return null;
  return liveFrameLines(live.seen.frames, live.frameAgeS, live.job.tolerance.camera);
}

/** What the plan gives a page's words: they are made again and again, and the plan is read once. */
export interface PlanShape { readonly stationCount: number; readonly layers: readonly SheetLayer[] }

/** Everything that the page says, as of now. */
export function liveWords(row: LiveRunRow, live: LiveRun | null, { stationCount, layers }: PlanShape): LiveWords {
  const { db } = sharedStore(), { id, state, endAsked } = row, health = live?.health ?? null, found = live?.seen.found ?? [], newest = live?.seen.newest ?? null, standing = live?.alerts.standing ?? [];
  const newestAgeS = live?.newestAgeS ?? null, watched = live === null ? NOT_WATCHED : watchedWords(live);
  const said = liveSentence({
    state, isEnding: endAsked !== null, alerts: alertLines(standing, standing.length), early: watched.early, newestAgeS, nozzle: watched.nozzle, backlogS: health?.backlogS ?? 0, layerCount: row.layerCount, stationCount,
    measuredCount: live?.seen.standingCount ?? 0, failure: OPEN_STATES.includes(state) ? null : readEntriesOf(db, id, "result.failed").at(-1)?.payload.message ?? null,
  });
  return {
    ...said, ...watched, state, isOver: !OPEN_STATES.includes(state), mayAsk: live !== null && endAsked === null, ageWords: newestAgeS === null ? null : ageWords(newestAgeS),
    at: nowIso(), findings: liveFindings(found, layers, MOST_FINDINGS), moreFindings: Math.max(0, found.length - MOST_FINDINGS), alerts: alertLines(standing, MOST_ALERTS), moreAlerts: moreAlertsWords(standing, MOST_ALERTS),
    frames: framesOf(live), health: live === null ? [] : healthFacts(health, live.seen.frames), commands: commandLines(db, id),
    newest: newest === null ? null : { layer: newest.layer, strand: newest.strand, stationIndex: newest.stationIndex, sMm: newest.sMm },
  };
}

/** Layers of the plans that were last looked at, by run: a screen that comes again waits for none. */
const layouts = new Map<string, Promise<readonly SheetLayer[]>>();
const MOST_LAYOUTS = 4;

/** A run's strands with nothing on them. */
function layersOf(id: string): Promise<readonly SheetLayer[]> {
  const known = layouts.get(id);
  if (known !== undefined) return known;
  const kept = sharedStore().db.prepare<[string], { jobText: string; planText: string }>(`SELECT jobText, planText FROM "Run" WHERE id = ?`).get(id);
  if (kept === undefined) return Promise.resolve([]);
  const made = look({ op: "layers", ...kept });
  layouts.set(id, made);
  made.catch(() => layouts.delete(id));
  for (const oldest of [...layouts.keys()].slice(0, -MOST_LAYOUTS)) layouts.delete(oldest);
  return made;
}

/** Arc lengths of a strand's stations, mm; none: no such strand. */
export async function planStationsOf(id: string, layer: number, strand: number): Promise<ArrayLike<number>> {
  return (await layersOf(id)).flatMap(({ strands }) => strands).find((each) => each.layer === layer && each.strand === strand)?.sMm ?? [];
}

export async function planShapeOf(id: string): Promise<PlanShape> {
  const layers = await layersOf(id);
  return { layers, stationCount: layers.reduce((sum, { strands }) => sum + strands.reduce((count, strand) => count + strand.sMm.length, 0), 0) };
}

/** The page of a run without a result; null: no such run. */
export async function readLiveSheet(id: string): Promise<LiveSheet | null> {
  const { db } = sharedStore();
  if (readLiveRun(db, id) === null) return null;
  const shape = await planShapeOf(id), { layers } = shape;
  const row = readLiveRun(db, id) as LiveRunRow, live = livingOf(row);
  // number and readings of one instant: what comes after it is sent as events
  const eventId = live === null ? null : newestEventId(live), readings = live?.seen.standing ?? [];
  return { head: headOf(row), since: sinceOf(db, row), words: liveWords(row, live, shape), eventId, ...ofJob(db, id), layers: withReadings(layers, readings) };
}

function ofJob(db: Sqlite, id: string): Pick<LiveSheet, "overlapMm" | "beadShape"> {
  const { job } = resolveJob(JSON.parse(db.prepare(`SELECT jobText FROM "Run" WHERE id = ?`).pluck().get(id) as string), "job.json");
  return { overlapMm: job.policy.resume.overlapMm, beadShape: job.material.beadShape };
}

function lineOf(db: Sqlite, row: LiveRunRow): OpenRunLine {
  const live = livingOf(row), { headline, pauseAt, mayAsk } = liveWords(row, live, { stationCount: 0, layers: [] });
  return { head: headOf(row), state: row.endAsked === null ? row.state : "ending", since: sinceOf(db, row), headline, pauseAt, mayAsk };
}

export interface OpenRuns {
  /** "": none is open. */
  readonly sentence: string;
  readonly open: readonly OpenRunLine[];
  readonly unmeasured: readonly OpenRunLine[];
}

/** Runs that are not over, newest first, and the newest of those that are over without a result. */
export function readOpenRuns(): OpenRuns {
  const { db } = sharedStore(), open = listOpenRuns(db).map((row) => lineOf(db, row));
  return { sentence: openSentence(open.map(({ state }) => state)), open, unmeasured: listUnmeasuredRuns(db, MOST_UNMEASURED).map((row) => lineOf(db, row)) };
}
