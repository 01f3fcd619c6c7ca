import type { FileHandle } from "node:fs/promises";
import { InputError } from "../base/errors.ts";
import { checkBodyBytes, FILE_HEAD_BYTES, FILE_MAGIC, FILE_TAIL_BYTES, METADATA_LIMIT_BYTES, metadataLength, PREFIX_BYTES } from "../sensing/arrowFrame.ts";
import { decodeFooter, decodeMessage, type ArrowBatch, type ArrowMessage, type ArrowSchema } from "../sensing/arrowMeta.ts";
import { openFile } from "./paths.ts";

const ALIGNMENT = 8;

export type ArrowPart =
  | { readonly kind: "schema"; readonly schema: ArrowSchema }
  | { readonly kind: "batch"; readonly batch: ArrowBatch; readonly body: Uint8Array };

/**
 * Reads an Arrow IPC stream or file message by message; a file holds a stream between its head and its footer. One buffer serves
 * for all: a part is valid until the next is asked for. Dictionaries are passed over, no column of a profile needs one.
 */
export class ArrowFile {
  /** How many record batches were read whole. */
  batchCount = 0;
  /** The data ended without the end-of-stream marker; set once `next` has answered null. */
  isTruncated = false;
  private handle: FileHandle | null = null;
  private position = 0;
  private end = 0;
  private footerSchema: ArrowSchema | null = null;
  private buffer = new Uint8Array(1 << 20); // buffer[start, filled) is the file from `position` on
  private start = 0;
  private filled = 0;

  constructor(private readonly path: string, private readonly file: string) {}

  /** The next schema or record batch; null at the end, whether marked or broken off. */
  async next(): Promise<ArrowPart | null> {
    if (this.handle === null) {
      await this.open();
      if (this.footerSchema !== null) return { kind: "schema", schema: this.footerSchema };
    }
    for (;;) {
      const whole = await this.nextMessage();
      if (whole === null) return null;
      const { message, body } = whole;
      if (message.kind === "batch") {
        this.batchCount++;
        return { kind: "batch", batch: message.batch, body };
      }
      // some writers leave the schema of a file to its footer, others write it twice
      if (message.kind === "schema" && this.footerSchema === null) return { kind: "schema", schema: message.schema };
    }
  }

  private async open(): Promise<void> {
    const handle = this.handle = await openFile(this.path, this.file);
    this.end = (await handle.stat()).size;
    const head = await this.textAt(0, FILE_HEAD_BYTES);
    const isStream = "\xff\xff\xff\xff".startsWith(head.slice(0, 4));
    if (!isStream && !FILE_MAGIC.startsWith(head.slice(0, FILE_MAGIC.length))) {
      throw new InputError("sensing.notArrow", "an Arrow IPC stream or file", JSON.stringify(head), { file: this.file });
    }
    if (isStream) return;
    this.position = FILE_HEAD_BYTES;
    const tailAt = this.end - FILE_TAIL_BYTES;
    if (tailAt > FILE_HEAD_BYTES && (await this.textAt(tailAt + 4, FILE_MAGIC.length)) === FILE_MAGIC) await this.readFooter(tailAt);
  }

  /** The schema of a file that was closed stands in its footer, too. */
  private async readFooter(tailAt: number): Promise<void> {
    const length = new Uint8Array(4);
    await this.read(length, 4, tailAt);
    const footerBytes = new DataView(length.buffer).getInt32(0, true);
    const footerAt = tailAt - footerBytes;
    if (footerBytes <= 0 || footerBytes > METADATA_LIMIT_BYTES || footerAt < FILE_HEAD_BYTES) {
      throw new InputError("sensing.notArrow", "a footer inside the file", `${footerBytes} bytes`, { file: this.file });
    }
    const footer = new Uint8Array(footerBytes);
    await this.read(footer, footerBytes, footerAt);
    this.footerSchema = decodeFooter(footer, { file: this.file });
    this.end = footerAt;
  }

  private async textAt(position: number, length: number): Promise<string> {
    const bytes = new Uint8Array(Math.max(0, Math.min(length, this.end - position)));
    await this.read(bytes, bytes.length, position);
    return String.fromCharCode(...bytes);
  }

  private async nextMessage(): Promise<{ message: ArrowMessage; body: Uint8Array } | null> {
    if (this.position === this.end && this.footerSchema !== null) return null; // older files have no marker before the footer
    const place = { file: this.file, message: this.batchCount + 1 };
    if (!(await this.ahead(PREFIX_BYTES))) return this.breakOff();
    const metadataBytes = metadataLength(this.taken(0, PREFIX_BYTES), place);
    if (metadataBytes === 0) return null;
    const bodyAt = PREFIX_BYTES + metadataBytes;
    if (!(await this.ahead(bodyAt))) return this.breakOff();
    const message = decodeMessage(this.taken(PREFIX_BYTES, metadataBytes), place);
    checkBodyBytes(message.bodyBytes, place);
    if (!(await this.ahead(bodyAt + message.bodyBytes))) return this.breakOff();
    const body = this.taken(bodyAt, message.bodyBytes);
    this.start += bodyAt + message.bodyBytes;
    this.position += bodyAt + message.bodyBytes;
    return { message, body };
  }

  private taken(from: number, bytes: number): Uint8Array {
    return this.buffer.subarray(this.start + from, this.start + from + bytes);
  }

  /** Has `bytes` from the present position stand in the buffer; false where the data ends before. */
  private async ahead(bytes: number): Promise<boolean> {
    if (this.position + bytes > this.end) return false;
    const held = this.filled - this.start;
    if (held >= bytes) return true;
    const start = this.position % ALIGNMENT; // as aligned in the buffer as in the file: heights can then be used where they lie
    const larger = start + bytes > this.buffer.length ? new Uint8Array(start + bytes) : this.buffer;
    larger.set(this.buffer.subarray(this.start, this.filled), start);
    [this.buffer, this.start, this.filled] = [larger, start, start + held];
    const wanted = Math.min(larger.length - this.filled, this.end - this.position - held);
    await this.read(larger.subarray(this.filled), wanted, this.position + held);
    this.filled += wanted;
    return true;
  }

  private breakOff(): null {
    this.isTruncated = true;
    return null;
  }

  /** Fills bytes[0, length) from `position`; the length was checked against the file's size. */
  private async read(bytes: Uint8Array, length: number, position: number): Promise<void> {
    let filled = 0;
    while (filled < length) {
      const { bytesRead } = (await this.handle?.read(bytes, filled, length - filled, position + filled)) ?? { bytesRead: 0 };
      if (bytesRead === 0) throw new InputError("source.unreadable", `${length} bytes from ${position}`, `${filled}`, { file: this.file });
      filled += bytesRead;
    }
  }

  async close(): Promise<void> {
    await this.handle?.close();
    this.handle = null;
  }
}
