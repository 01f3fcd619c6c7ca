/** What the cell of one run is asked for: each command in the log before the cell can hear of it, one for all who ask the same, and its receipt. */
import { InputError } from "../../base/errors.ts";
import { canonicalJson } from "../../log/canonical.ts";
import { sha256Hex } from "../../log/hash.ts";
import { portableText } from "../../log/portable.ts";
import type { PauseAt } from "../../model/job.ts";
import { PROGRAM_ACTOR } from "../../model/log.ts";
import type { CommandBody, ReceiptBody } from "../../model/wire.ts";
import { addCommand, noteSent, openCommands, readCommand, writeReceipt } from "../../store/commandTable.ts";
import type { Sqlite } from "../../store/connection.ts";
import type { EventRing } from "./eventRing.ts";
import type { RunRecord } from "./runRecord.ts";

export interface CommandPorts {
  readonly db: Sqlite;
  readonly runId: string;
  readonly record: RunRecord;
  readonly events: EventRing;
  readonly nowIso: () => string;
  readonly nowMs: () => number;
}

/** A command that the cell has not answered; a resume without its rows. */
export interface OpenCommand {
  readonly n: number;
  readonly kind: CommandBody["kind"];
  /** Of a pause; null of others. */
  readonly at: PauseAt | null;
  /** By the server's clock that never goes back; of what an earlier server left, when this one began. */
  readonly askedMs: number;
  /** null: the cell has not fetched it. */
  readonly sentAt: string | null;
  /** The same for all that ask for the same, whatever their reasons. */
  readonly asks: string;
}

function asksOf(body: CommandBody): string {
  return sha256Hex(canonicalJson(body.kind === "pause" || body.kind === "abort" ? { ...body, reason: "" } : body));
}

function openOf(n: number, body: CommandBody, askedMs: number, sentAt: string | null): OpenCommand {
  return { n, kind: body.kind, at: body.kind === "pause" ? body.at : null, askedMs, sentAt, asks: asksOf(body) };
}

/** As the log has it: rows of a plan by their number and hash. */
function loggedText(body: CommandBody): string {
  if (body.kind !== "resume" || body.rows.length === 0) return canonicalJson(body);
  const { rows, ...place } = body;
  return canonicalJson({ ...place, rowCount: rows.length, rowsSha256: sha256Hex(JSON.stringify(rows)) });
}

export class CommandBook {
  private opened: readonly OpenCommand[];

  constructor(private readonly ports: CommandPorts) {
    this.opened = openCommands(ports.db, ports.runId).map(({ n, body, sentAt }) => openOf(n, body, ports.nowMs(), sentAt));
  }

  /** Commands that the cell has not answered, in order. */
  get open(): readonly OpenCommand[] {
    return this.opened;
  }

  /** The cell has been handed the commands up to `n`; each of them stands in the log the first time. */
  sent(n: number, at: string): void {
    const { db, runId, record } = this.ports, fresh = this.opened.filter((each) => each.n <= n && each.sentAt === null);
    if (fresh.length === 0) return;
    record.write(() => {
      noteSent(db, runId, n, at);
      return { drafts: fresh.map((each) => ({ actor: PROGRAM_ACTOR, at, kind: "command.sent", payload: { n: each.n } })), value: null };
    });
    this.opened = this.opened.map((each) => (each.n <= n && each.sentAt === null ? { ...each, sentAt: at } : each));
  }

  /** Asks the cell for something; its number. What is asked already and not answered is not asked twice. */
  ask(body: CommandBody, actor: string): number {
    const { db, runId, record, events, nowIso, nowMs } = this.ports, asks = asksOf(body), same = this.opened.find((each) => each.asks === asks);
    if (same !== undefined) return same.n;
    const at = nowIso();
    const n = record.write(() => {
      const number = addCommand(db, runId, { body, actor, at });
      return { drafts: [{ actor, at, kind: "command.asked", payload: { n: number, command: portableText(loggedText(body)) } }], value: number };
    });
    this.opened = [...this.opened, openOf(n, body, nowMs(), null)];
    events.push("command", { n, ...body });
    return n;
  }

  /** What the cell says of a command, written once; the command, or null where it was answered before. InputError wire.noCommand. */
  receive(n: number, receipt: ReceiptBody, actor: string): CommandBody | null {
    const { db, runId, record, events, nowIso } = this.ports, command = readCommand(db, runId, n), at = nowIso();
    if (command === null) throw new InputError("wire.noCommand", "the number of a command of this run", String(n), {});
    if (command.outcome !== null) return null;
    record.write(() => {
      writeReceipt(db, runId, n, { ...receipt, at });
      return { drafts: [{ actor, at, kind: "command.receipt", payload: { n, outcome: receipt.outcome, note: portableText(receipt.note) } }], value: null };
    });
    this.opened = this.opened.filter((each) => each.n !== n);
    events.push("command", { n, outcome: receipt.outcome, note: receipt.note });
    return command.body;
  }
}
