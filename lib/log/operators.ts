/**
 * Who operated a run, from its log alone: nobody reviews their own run. Operating is what moved the run, its cell or its alerts while it was open.
 * Deciding about findings, notes and recomputes on a run that is over are the review itself; to open the report, or to be signed in, is to look. Who
 * brings in the folder of a run that was recorded elsewhere did not run it: its files are kept by their hashes, as they came.
 */
import { SCREEN_ACTOR, type LogEntry, type LogKind } from "../model/log.ts";

/** Deeds that are of operating whenever they stand in a log, in the words of "who …". */
const OPERATING: Readonly<Partial<Record<LogKind, string>>> = {
  "run.state": "moved it on", "run.endAsked": "ended it", "command.asked": "asked its cell for something",
  "alert.acknowledged": "answered its alerts", "alert.shelved": "answered its alerts", "alert.unshelved": "answered its alerts", "alert.noted": "answered its alerts", "alert.disposed": "answered its alerts",
  "strand.takenOff": "took a strand off", "paste.marked": "marked its paste", "gate.opened": "opened its gate", "autoPause.set": "set its automatic pauses",
};
/** Deeds that are of operating while the run is open, and of reviewing after. */
const WHILE_OPEN: Readonly<Partial<Record<LogKind, string>>> = { "finding.disposed": "decided about its findings while it went on", "note.added": "noted at it while it went on" };

/** "Dana Reyes" of "Dana Reyes at screen 4f2c19"; any other actor as it is. No name of a person holds " at screen" (server/people/names.ts). */
function personIn(actor: string): string {
  return actor.split(` at ${SCREEN_ACTOR}`)[0] ?? actor;
}

/** What this person did that makes them an operator of the run, each once, in the order of the log; []: nothing did. `isRecorded`: it was brought in as a folder. */
export function operatingDeeds(entries: Iterable<LogEntry>, name: string, { isRecorded }: { readonly isRecorded: boolean }): string[] {
  const deeds = new Set<string>();
  let isOver = isRecorded;
  for (const { actor, kind } of entries) {
    isOver ||= kind === "run.finished" || kind === "run.aborted";
    if (personIn(actor) !== name) continue;
    const deed = kind === "run.created" && !isRecorded ? "armed it" : OPERATING[kind] ?? (isOver ? undefined : WHILE_OPEN[kind]);
    if (deed !== undefined) deeds.add(deed);
  }
  return [...deeds];
}
