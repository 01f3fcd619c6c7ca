/** What the cell of a run was asked for, in its report, from its log. */
import { PROGRAM_ACTOR, type LogEntry, type LogPayloads } from "../model/log.ts";
import type { ReportBlock, ReportTable } from "../model/report.ts";
import { commandBody } from "../model/wire.ts";
import { commandWords, outcomeWords } from "./liveWords.ts";
import { timeOfDay } from "./words.ts";

interface Asked { readonly n: number; readonly by: string; readonly what: string; readonly askedAt: string; sentAt: string | null; doneAt: string | null; outcome: string | null; note: string | null }

/** A resume stands in the log with the number and hash of its rows in their place; what cannot be read any more stands as it is. */
function whatOf(command: string): string {
  const body = commandBody.safeParse(withoutRows(JSON.parse(command) as Record<string, unknown>));
  if (!body.success) return command;
  const reason = "reason" in body.data && body.data.reason !== "" ? `: ${body.data.reason}` : "";
  return `${commandWords(body.data)}${reason}`;
}

function withoutRows({ rowCount: _count, rowsSha256: _rows, ...body }: Record<string, unknown>): Record<string, unknown> {
  return body;
}

function commandsIn(entries: readonly LogEntry[]): Asked[] {
  const asked = new Map<number, Asked>();
  for (const { kind, actor, at, payload } of entries) {
    if (kind === "command.asked") {
      const { n, command } = payload as LogPayloads["command.asked"];
      asked.set(n, { n, by: actor === PROGRAM_ACTOR ? "by itself" : actor, what: whatOf(command), askedAt: at, sentAt: null, doneAt: null, outcome: null, note: null });
    } else if (kind === "command.sent") {
      const command = asked.get((payload as LogPayloads["command.sent"]).n);
      if (command !== undefined) command.sentAt = at;
    } else if (kind === "command.receipt") {
      const { n, outcome, note } = payload as LogPayloads["command.receipt"], command = asked.get(n);
      if (command !== undefined) Object.assign(command, { doneAt: at, outcome, note });
    }
  }
  return [...asked.values()];
}

const at = (iso: string | null): string => (iso === null ? "–" : timeOfDay(iso, 1));

/** One row a command; those that nobody asked for are named as the program's own. */
export function commandBlocks(entries: readonly LogEntry[]): ReportBlock[] {
  const commands = commandsIn(entries);
  if (commands.length === 0) return [{ kind: "words", text: "The cell was asked for nothing." }];
  const table: ReportTable = {
    caption: "Commands, in the order in which they were asked for",
    columns: [
      { title: "no.", isNumber: true }, { title: "what", isNumber: false }, { title: "who asked", isNumber: false }, { title: "asked, UTC", isNumber: false }, { title: "handed to the cell, UTC", isNumber: false }, { title: "answered, UTC", isNumber: false }, { title: "outcome", isNumber: false },
    ],
    rows: commands.map(({ n, what, by, askedAt, sentAt, doneAt, outcome, note }) => [String(n), what, by, at(askedAt), at(sentAt), at(doneAt), outcomeWords({ outcome, note, sentAt })]),
  };
  return [{ kind: "table", table }];
}
