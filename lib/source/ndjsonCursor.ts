import type { FileHandle } from "node:fs/promises";
import { InputError } from "../base/errors.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { isBrokenOffJson } from "../sensing/jsonPrefix.ts";
import { decodeProfileHeader, type ProfileHeader } from "../sensing/profileHeader.ts";
import { ProfileLineDecoder } from "../sensing/profileLine.ts";
import { LineBlocks } from "./lines.ts";
import { openFile } from "./paths.ts";
import { checkName, headerWarnings, PIECE, ProfileClock, type ProfileCursor, type ProfileFile, type ProfileReading } from "./profileCursor.ts";

const BLOCK_BYTES = 1 << 20;
const UTF8 = new TextDecoder();

/** profiles.ndjson, block by block. A last line that broke off is left out with a warning. */
export class NdjsonCursor implements ProfileCursor {
  readonly isReusing = true;
  header: ProfileHeader | null = null;
  private handle: FileHandle | null = null;
  private blocks: LineBlocks | null = null;
  private decoder: ProfileLineDecoder | null = null;
  private clock: ProfileClock | null = null;
  private pos = 0;
  private line = 0; // of the line before `pos`
  private linesTaken = 0;
  private isBrokenOff = false;

  constructor(private readonly source: ProfileFile, private readonly reading: ProfileReading) {}

  async refill(): Promise<readonly ProfileMessage[] | null> {
    this.handle ??= await openFile(this.source.path, this.source.file);
    const blocks = this.blocks ??= new LineBlocks(this.handle, this.source.file, BLOCK_BYTES);
    this.decoder?.slab.reset();
    const out: ProfileMessage[] = [];
    while (out.length === 0) {
      if (this.pos >= blocks.end) {
        if (!(await blocks.next(this.linesTaken))) return this.end();
        [this.pos, this.line, this.linesTaken] = [blocks.start, blocks.line - 1, 0];
      }
      this.takeLines(blocks, out);
    }
    return out;
  }

  private end(): null {
    if (this.header === null && !this.isBrokenOff) this.reading.warnings.truncated(this.source.file, "before its header line", 1);
    return null;
  }

  private takeLines(blocks: LineBlocks, out: ProfileMessage[]): void {
    while (this.pos < blocks.end && out.length < PIECE) {
      const start = this.pos;
      const end = blocks.bytes.indexOf(10, start);
      this.pos = end + 1;
      this.line++;
      this.linesTaken++;
      const isLast = blocks.isOpenEnded && this.pos >= blocks.end;
      if (isBlank(blocks.bytes, start, end)) continue;
      try {
        this.takeLine(blocks.bytes, start, end, out);
      } catch (error) {
        if (!isLast || !isNotJson(error) || !isBrokenOffJson(UTF8.decode(blocks.bytes.subarray(start, end)))) throw error;
        this.isBrokenOff = true;
        this.reading.warnings.truncated(this.source.file, `in line ${this.line}`, this.line);
      }
    }
  }

  private takeLine(bytes: Uint8Array, start: number, end: number, out: ProfileMessage[]): void {
    const place = { file: this.source.file, line: this.line };
    if (this.decoder === null || this.clock === null) {
      const header = decodeProfileHeader(UTF8.decode(bytes.subarray(start, end)), this.reading.devices, place);
      checkName(header, this.source, place);
      this.open(header);
      return;
    }
    out.push(this.clock.settle(this.decoder.decode(bytes, start, end, place), () => ({ ...place, key: "tS" })));
  }

  private open(header: ProfileHeader): void {
    const { warnings, isLayerRequired } = this.reading;
    const { file } = this.source;
    for (const warning of headerWarnings(header, file)) warnings.add(warning);
    const said = new Set<string>();
    const onUnknownKey = (key: string): void => {
      if (said.has(key)) return;
      said.add(key);
      warnings.add({ code: "sensing.unknownKey", message: `the key ${key} is not known and is ignored`, file, line: this.line });
    };
    this.header = header;
    this.decoder = new ProfileLineDecoder({ header, isLayerRequired, onUnknownKey });
    this.clock = new ProfileClock(header);
  }

  async close(): Promise<void> {
    await this.handle?.close();
    this.handle = null;
  }
}

function isNotJson(error: unknown): boolean {
  return error instanceof InputError && error.code === "sensing.notJson";
}

function isBlank(bytes: Uint8Array, start: number, end: number): boolean {
  for (let i = start; i < end; i++) {
    const c = bytes[i];
    if (c !== 0x20 && c !== 0x09 && c !== 0x0d) return false;
  }
  return true;
}
