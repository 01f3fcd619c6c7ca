import type { Message } from "../model/messages.ts";
import type { Place } from "../base/errors.ts";
import { DeviceClocks } from "../sensing/clock.ts";
import type { Fields } from "../sensing/fields.ts";
import { CsvRows } from "./csvRows.ts";
import type { Cursor } from "./cursor.ts";
import { compareMessages, senderOf } from "./merge.ts";
import type { WarningLog } from "./warningLog.ts";

/** A CSV stream of the folder: how its rows are decoded, and what turns their stamps into reference time. */
export interface RowStream<M extends Message> {
  readonly path: string;
  readonly file: string;
  readonly keys: readonly string[];
  decode(fields: Fields): M;
  /** Seconds that the sender's clock is ahead of the reference. */
  clockOffsetS(message: M): number;
}

/** Rows of a stream in the order of the file, decoded and checked; with `sender`, its rows alone. */
export class RowCursor<M extends Message> implements Cursor {
  readonly isReusing = false;
  private readonly rows: CsvRows;
  private readonly clocks = new DeviceClocks();

  constructor(private readonly stream: RowStream<M>, warnings: WarningLog, private readonly sender: string | null = null) {
    this.rows = new CsvRows(stream.path, stream.file, stream.keys, warnings);
  }

  async refill(): Promise<readonly M[] | null> {
    const out: M[] = [];
    while (out.length === 0) {
      if (!(await this.rows.next((fields) => this.take(fields, out)))) return null;
    }
    return out;
  }

  private take(fields: Fields, out: M[]): void {
    const message = this.stream.decode(fields);
    const sender = senderOf(message);
    if (this.sender !== null && sender !== this.sender) return;
    this.clocks.check(sender, message.tS, (): Place => ({ ...fields.place, key: fields.nameOf("tS") }));
    const offsetS = this.stream.clockOffsetS(message);
    out.push(offsetS === 0 ? message : { ...message, tS: message.tS - offsetS });
  }

  async close(): Promise<void> {
    await this.rows.close();
  }
}

/** Who sends in a stream, and whether its rows stand in the order of messages already. */
export interface RowSurvey { readonly senders: readonly string[]; readonly isInOrder: boolean }

/** Reads a stream through once: every row is checked before the first is used. */
export async function surveyRows<M extends Message>(stream: RowStream<M>, warnings: WarningLog): Promise<RowSurvey> {
  const cursor = new RowCursor(stream, warnings);
  const senders = new Set<string>();
  let isInOrder = true;
  let last: Message | null = null;
  try {
    for (let batch = await cursor.refill(); batch !== null; batch = await cursor.refill()) {
      for (const message of batch) {
        senders.add(senderOf(message));
        if (last !== null && compareMessages(last, message) > 0) isInOrder = false;
        last = message;
      }
    }
  } finally {
    await cursor.close();
  }
  return { senders: [...senders].sort(), isInOrder };
}

/** Cursors over a stream: one where it stands in order, else one per sender, since only a sender's own rows are in order. */
export function cursorsOf<M extends Message>(stream: RowStream<M>, survey: RowSurvey, warnings: WarningLog): Cursor[] {
  return survey.isInOrder ? [new RowCursor(stream, warnings)] : survey.senders.map((sender) => new RowCursor(stream, warnings, sender));
}
