import type { FileHandle } from "node:fs/promises";
import { InputError } from "../base/errors.ts";
import { refuseNul } from "./paths.ts";

const LINE_FEED = 10;
const LINE_LIMIT_BYTES = 64 * 1024 * 1024;

/**
 * Reads a text file in blocks of whole lines, whatever its length: one buffer, used over and over. Between two calls of `next`
 * the lines of the block are bytes[start, end), each ended by a line feed (one is put after a last line that has none).
 */
export class LineBlocks {
  bytes: Uint8Array;
  start = 0;
  end = 0;
  /** 1-based number of the block's first line. */
  line = 1;
  /** The block's last line is the file's last and had no line feed: it may have broken off. */
  isOpenEnded = false;
  private filled = 0;
  private position = 0;
  private isAtEnd = false;

  constructor(private readonly handle: FileHandle, private readonly file: string, blockBytes: number) {
    this.bytes = new Uint8Array(blockBytes);
  }

  /** Moves to the next block; false at the end of the file. `linesTaken`: how many lines the block before had. */
  async next(linesTaken: number): Promise<boolean> {
    const isFirst = this.position === 0;
    this.line += linesTaken;
    this.bytes.copyWithin(0, this.end, this.filled);
    this.filled -= this.end;
    this.start = this.end = 0;
    while (this.end === 0) {
      if (this.isAtEnd) return this.filled === 0 ? false : this.finish();
      const from = this.filled;
      await this.fill();
      this.end = this.bytes.subarray(from, this.filled).lastIndexOf(LINE_FEED) + 1;
      if (this.end > 0) this.end += from;
    }
    return this.ready(isFirst);
  }

  private async fill(): Promise<void> {
    if (this.filled === this.bytes.length) this.grow();
    const { bytesRead } = await this.handle.read(this.bytes, this.filled, this.bytes.length - this.filled, this.position);
    this.position += bytesRead;
    this.filled += bytesRead;
    this.isAtEnd = bytesRead === 0;
  }

  private grow(): void {
    if (this.bytes.length >= LINE_LIMIT_BYTES) throw new InputError("sensing.badValue", "lines of at most 64 MB", "a longer one", { file: this.file, line: this.line });
    const larger = new Uint8Array(2 * this.bytes.length);
    larger.set(this.bytes);
    this.bytes = larger;
  }

  private finish(): boolean {
    if (this.filled === this.bytes.length) this.grow();
    this.bytes[this.filled++] = LINE_FEED;
    this.end = this.filled;
    this.isOpenEnded = true;
    return this.ready(this.line === 1);
  }

  private ready(isFirst: boolean): boolean {
    refuseNul(this.bytes.subarray(0, this.end), this.line, this.file);
    const [a, b, c] = this.bytes;
    if (isFirst && a === 0xef && b === 0xbb && c === 0xbf) this.start = 3;
    return true;
  }
}
