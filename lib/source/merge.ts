import type { Message } from "../model/messages.ts";
import type { Cursor } from "./cursor.ts";

const BATCH_MESSAGES = 256;

/** At equal times: progress, rework, marks of paste, poses, signals, profiles, frames. */
const RANK: Readonly<Record<Message["kind"], number>> = { progress: 0, rework: 1, pasteMark: 2, pose: 3, signal: 4, profile: 5, frame: 6 };

/** Order of messages: reference time, then kind, then device (a signal's name). What is equal keeps the order of its stream. */
export function compareMessages(a: Message, b: Message): number {
  if (a.tS !== b.tS) return a.tS - b.tS;
  if (a.kind !== b.kind) return RANK[a.kind] - RANK[b.kind];
  const [from, to] = [senderOf(a), senderOf(b)];
  return from < to ? -1 : from > to ? 1 : 0;
}

/** Whose clock and sequence a message follows. */
export function senderOf(message: Message): string {
  if (message.kind === "signal") return message.name;
  return message.kind === "progress" || message.kind === "rework" || message.kind === "pasteMark" ? "" : message.device;
}

interface Lane { readonly cursor: Cursor; batch: readonly Message[]; at: number }

/**
 * Merges streams, each in order, into batches of up to 256 messages in the order of `compareMessages`. Arrays of a batch are valid
 * until the next is asked for: a batch is handed on before a stream writes over what its messages point to.
 */
export async function* mergeCursors(cursors: readonly Cursor[]): AsyncGenerator<readonly Message[]> {
  const lanes: Lane[] = [];
  try {
    for (const cursor of cursors) {
      const batch = await cursor.refill();
      if (batch !== null) lanes.push({ cursor, batch, at: 0 });
    }
    let out: Message[] = [];
    while (lanes.length > 0) {
      const lane = firstOf(lanes);
      out.push(headOf(lane));
      lane.at++;
      const isEmpty = lane.at === lane.batch.length;
      if (out.length === BATCH_MESSAGES || (isEmpty && lane.cursor.isReusing)) {
        yield out;
        out = [];
      }
      if (isEmpty) await refillLane(lane, lanes);
    }
    if (out.length > 0) yield out;
  } finally {
    for (const cursor of cursors) await cursor.close();
  }
}

function headOf(lane: Lane): Message {
  return lane.batch[lane.at] as Message;
}

function firstOf(lanes: readonly Lane[]): Lane {
  let first = lanes[0] as Lane;
  for (let i = 1; i < lanes.length; i++) {
    const lane = lanes[i] as Lane;
    if (compareMessages(headOf(lane), headOf(first)) < 0) first = lane;
  }
  return first;
}

async function refillLane(lane: Lane, lanes: Lane[]): Promise<void> {
  const batch = await lane.cursor.refill();
  if (batch === null) lanes.splice(lanes.indexOf(lane), 1);
  else [lane.batch, lane.at] = [batch, 0];
}
