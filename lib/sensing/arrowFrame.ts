import { InputError, type Place } from "../base/errors.ts";

/** Bytes before the metadata of each encapsulated message: a continuation marker and the metadata's length (Arrow IPC format, "Encapsulated message format"). */
export const PREFIX_BYTES = 8;
/** An Arrow file (as against a stream) opens with "ARROW1" and two bytes of padding, and ends with its footer, the footer's length and "ARROW1". */
export const FILE_MAGIC = "ARROW1";
export const FILE_HEAD_BYTES = 8;
export const FILE_TAIL_BYTES = 10;
/** No schema, batch header or footer comes near this; a length beyond it is a fault. */
export const METADATA_LIMIT_BYTES = 16 * 1024 * 1024;
/** Record batches may hold 64 MB; a little more is let pass for padding and the other columns. */
const BATCH_LIMIT_BYTES = 80 * 1024 * 1024;

/** Length of the metadata that follows a prefix; 0 is the end-of-stream marker. sensing.notArrow where no continuation marker stands. */
export function metadataLength(prefix: Uint8Array, place: Place): number {
  const view = new DataView(prefix.buffer, prefix.byteOffset, PREFIX_BYTES);
  const length = view.getInt32(4, true);
  if (view.getUint32(0, true) === 0xffffffff && length >= 0 && length <= METADATA_LIMIT_BYTES) return length;
  const got = [...prefix.subarray(0, PREFIX_BYTES)].map((b) => b.toString(16).padStart(2, "0")).join(" ");
  throw new InputError("sensing.notArrow", "the continuation marker and length of an Arrow message", got, place);
}

/** sensing.badValue where a message's body is larger than a record batch may be. */
export function checkBodyBytes(bodyBytes: number, place: Place): void {
  if (bodyBytes <= BATCH_LIMIT_BYTES) return;
  throw new InputError("sensing.badValue", "record batches of at most 64 MB", `${Math.round(bodyBytes / 1e6)} MB`, place);
}
