/** Rows as one body of the wire: a JSON array of objects with the columns of the CSV files in camelCase. */
import { InputError } from "../base/errors.ts";
import { hasControl } from "../base/text.ts";
import { describe } from "../model/describe.ts";
import type { Device } from "../model/job.ts";
import type { FrameMessage, PasteMarkMessage, PoseMessage, ProgressMessage, ReworkMessage, SignalMessage } from "../model/messages.ts";
import { JsonFields, type Fields } from "./fields.ts";
import { decodeFrame, decodePasteMark, decodePose, decodeProgress, decodeRework, decodeSignal } from "./rows.ts";
import type { StrandIndex } from "./strands.ts";

/** One thing of a body: what it says, or why it is refused. */
export type WireItem<M> = { readonly index: number; readonly message: M; readonly reason: null } | { readonly index: number; readonly message: null; readonly reason: string };

/** A sender that gets more than this wrong in one body is told so once, and not row by row. */
const REJECTED_LIMIT = 10_000;

/** The things of a body in order. */
export class WireItems<M> {
  readonly list: WireItem<M>[] = [];
  private rejected = 0;

  get count(): number {
    return this.list.length;
  }

  /** InputError sensing.badValue where too many are refused. */
  add(item: WireItem<M>): void {
    if (item.message === null && ++this.rejected > REJECTED_LIMIT) throw new InputError("sensing.badValue", `a body with at most ${REJECTED_LIMIT} things wrong`, `more; the last: ${item.reason}`, {});
    this.list.push(item);
  }
}

/** Streams of rows and what each carries. */
export interface RowMessages { progress: ProgressMessage; rework: ReworkMessage; paste: PasteMarkMessage; poses: PoseMessage; signals: SignalMessage }
export type RowStreamName = keyof RowMessages;
export const ROW_STREAMS = ["progress", "poses", "signals", "rework", "paste"] as const satisfies readonly RowStreamName[];

export interface RowContext { readonly devices: readonly Device[]; readonly strands: StrandIndex }

const DECODERS: { readonly [K in RowStreamName]: (fields: Fields, context: RowContext) => RowMessages[K] } = {
  progress: (fields, { strands }) => decodeProgress(fields, strands),
  rework: (fields, { strands }) => decodeRework(fields, strands),
  paste: (fields, { devices }) => decodePasteMark(fields, devices),
  poses: (fields, { devices }) => decodePose(fields, devices),
  signals: (fields) => decodeSignal(fields),
};

const UTF8 = new TextDecoder("utf-8", { fatal: true });

/** Lists and objects inside each other that a body may hold. */
const DEPTH_LIMIT = 64;

/** Any JSON of a body, at most 64 levels deep. InputError sensing.notJson. */
export function parseBody(body: Uint8Array): unknown {
  if (!isShallow(body)) throw new InputError("sensing.notJson", `JSON at most ${DEPTH_LIMIT} levels deep`, "a deeper one", {});
  try {
    return JSON.parse(UTF8.decode(body));
  } catch (cause) {
    throw new InputError("sensing.notJson", "JSON in UTF-8", cause instanceof Error ? cause.message.slice(0, 200) : String(cause), {}, cause);
  }
}

/** Counts brackets outside of texts. */
function isShallow(body: Uint8Array): boolean {
  let depth = 0, isText = false;
  for (let i = 0; i < body.length; i++) {
    const c = body[i];
    if (isText) {
      if (c === 0x5c) i++;
      else if (c === 0x22) isText = false;
    } else if (c === 0x22) isText = true;
    else if (c === 0x5b || c === 0x7b) { if (++depth > DEPTH_LIMIT) return false; } else if (c === 0x5d || c === 0x7d) depth--;
  }
  return true;
}

/** Throws InputError sensing.notJson where the body is no array; what is wrong with one row stands in its item. */
export function decodeWireRows<K extends RowStreamName>(stream: K, body: Uint8Array, context: RowContext): WireItem<RowMessages[K]>[] {
  const rows = parseBody(body);
  if (!Array.isArray(rows)) throw new InputError("sensing.notJson", "a JSON array of rows", describe(rows), {});
  const items = new WireItems<RowMessages[K]>();
  for (const row of rows) items.add(rowItem(items.count, row, (fields) => DECODERS[stream](fields, context)));
  return items.list;
}

/** The row of frames.csv that comes with an image. */
export function decodeWireFrame(row: unknown, { devices }: RowContext): WireItem<FrameMessage> {
  return rowItem(0, row, (fields) => decodeFrame(fields, devices));
}

function rowItem<M>(index: number, row: unknown, decode: (fields: Fields) => M): WireItem<M> {
  try {
    if (typeof row !== "object" || row === null || Array.isArray(row)) throw new InputError("sensing.badValue", "an object", describe(row), { row: index });
    const message = decode(new JsonFields(row as Record<string, unknown>, { row: index }));
    for (const [key, value] of Object.entries(message as object)) if (typeof value === "string") requireWritable(value, index, key);
    return { index, message, reason: null };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { index, message: null, reason: `${error.code}: ${error.message}` };
  }
}

/** Longest text of a row, characters. */
const TEXT_MAX_CHARS = 2000;

/** A text that a CSV file gives back as it is: no control characters but tab and line feed, no half of a surrogate pair. */
function requireWritable(text: string, row: number, key: string): void {
  if (text.length > TEXT_MAX_CHARS) throw new InputError("sensing.badValue", `at most ${TEXT_MAX_CHARS} characters`, `${text.length}`, { row, key });
  if (hasControl(text, "\t\n") || text.includes("\ufeff") || /\p{Surrogate}/u.test(text)) throw new InputError("sensing.badValue", "a text without control characters", describe(text.slice(0, 60)), { row, key });
}
