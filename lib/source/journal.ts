/** The journal of a live run on disk: appended to and flushed before anything is acknowledged, read from any place. */
import { constants } from "node:fs";
import { open, type FileHandle } from "node:fs/promises";
import { decodePayload, isWhole, PREFIX_BYTES, readPrefix, type JournalRecord } from "./journalRecord.ts";

const MAGIC = new TextEncoder().encode("aslaid journal 1");
/** Where the first record begins. */
export const JOURNAL_START = MAGIC.length;
/** No record comes near this: a length beyond it is a torn write. */
const RECORD_LIMIT_BYTES = 256 * 1024 * 1024;

/** A record with its place: byte offset of its prefix, and of what comes after it. */
export interface PlacedRecord { readonly at: number; readonly next: number; readonly record: JournalRecord }

/** Reads records where they lie; what is torn or not yet whole ends the reading. */
export class JournalReader {
  private buffer = new ArrayBuffer(1 << 20);
  private readonly prefix = new Uint8Array(PREFIX_BYTES);

  private constructor(private readonly handle: FileHandle) {}

  static async open(path: string): Promise<JournalReader> {
    return new JournalReader(await open(path, "r"));
  }

  /** The record that begins at `at`; null: none that is whole begins there before `end`. Its arrays are valid until the next read. */
  async read(at: number, end = Number.MAX_SAFE_INTEGER): Promise<PlacedRecord | null> {
    if (at + PREFIX_BYTES > end || (await this.handle.read(this.prefix, 0, PREFIX_BYTES, at)).bytesRead < PREFIX_BYTES) return null;
    const { payloadBytes, crc } = readPrefix(this.prefix);
    const next = at + PREFIX_BYTES + payloadBytes;
    if (payloadBytes === 0 || payloadBytes > RECORD_LIMIT_BYTES || next > end) return null;
    if (this.buffer.byteLength < payloadBytes) this.buffer = new ArrayBuffer(2 * payloadBytes);
    const payload = new Uint8Array(this.buffer, 0, payloadBytes);
    for (let filled = 0; filled < payloadBytes;) {
      const { bytesRead } = await this.handle.read(payload, filled, payloadBytes - filled, at + PREFIX_BYTES + filled);
      if (bytesRead === 0) return null;
      filled += bytesRead;
    }
    return isWhole(payload, crc) ? { at, next, record: decodePayload(payload) } : null;
  }

  /** Every whole record from `from` on, in order. */
  async *records(from = JOURNAL_START, end = Number.MAX_SAFE_INTEGER): AsyncGenerator<PlacedRecord> {
    for (let placed = await this.read(from, end); placed !== null; placed = await this.read(placed.next, end)) yield placed;
  }

  close(): Promise<void> {
    return this.handle.close();
  }
}

/** Adds records; what `append` wrote is on the disk once `flush` has returned. */
export class JournalWriter {
  private constructor(private readonly handle: FileHandle, private end: number) {}

  /**
   * Opens or begins a journal. `heard` is told of every record that is there; what a process left torn at the end (it was never
   * acknowledged) is cut off.
   */
  static async open(path: string, heard: (record: JournalRecord) => void): Promise<JournalWriter> {
    const handle = await open(path, constants.O_RDWR | constants.O_CREAT);
    try {
      const { size } = await handle.stat();
      if (size < JOURNAL_START) {
        await handle.truncate(0);
        await handle.write(MAGIC, 0, MAGIC.length, 0);
        await handle.sync();
        return new JournalWriter(handle, JOURNAL_START);
      }
      const reader = await JournalReader.open(path);
      let end = JOURNAL_START;
      try {
        for await (const { record, next } of reader.records()) {
          heard(record);
          end = next;
        }
      } finally {
        await reader.close();
      }
      if (end < size) {
        await handle.truncate(end);
        await handle.sync();
      }
      return new JournalWriter(handle, end);
    } catch (error) {
      await handle.close();
      throw error;
    }
  }

  /** Bytes of the journal so far. */
  get bytes(): number {
    return this.end;
  }

  /** Writes a record at the end. Where that fails (a full disk), the end stays where it was and the next record is written over the torn one. */
  async append(record: Uint8Array): Promise<void> {
    for (let written = 0; written < record.length;) written += (await this.handle.write(record, written, record.length - written, this.end + written)).bytesWritten;
    this.end += record.length;
  }

  /** Undoes appends that could not be flushed. */
  async rewind(bytes: number): Promise<void> {
    this.end = bytes;
    await this.handle.truncate(bytes);
  }

  flush(): Promise<void> {
    return this.handle.datasync();
  }

  close(): Promise<void> {
    return this.handle.close();
  }
}
