/** A tiny writer of zips (APPNOTE 6.3: local headers, central directory, end record), which also writes what no honest one would. */
import { crc32, deflateRawSync } from "node:zlib";

export interface ZipEntry {
  readonly name: string;
  readonly data?: string | Uint8Array;
  /** 0 stored, 8 deflated (default). */
  readonly method?: number;
  /** st_mode of a Unix system; 0o120777 is a symbolic link. */
  readonly mode?: number;
  /** General purpose bits; UTF-8 names (0x800) by default. */
  readonly flags?: number;
  /** In place of the true checksum. */
  readonly crc?: number;
  /** In place of the true size. */
  readonly statedSize?: number;
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
const UNIX = 3 << 8;

function record(fields: readonly (readonly [bytes: 2 | 4, value: number])[]): Buffer {
  const buffer = Buffer.alloc(fields.reduce((total, [bytes]) => total + bytes, 0));
  let at = 0;
  for (const [bytes, value] of fields) at = buffer.writeUIntLE(value, at, bytes);
  return buffer;
}

export function madeZip(entries: readonly ZipEntry[]): Buffer {
  const locals: Buffer[] = [];
  const centrals: Buffer[] = [];
  let offset = 0;
  for (const { name, data = "", method = 8, mode = 0o100644, flags = 0x800, crc, statedSize } of entries) {
    const content = Buffer.from(data);
    const packed = method === 8 ? deflateRawSync(content) : content;
    const nameBytes = Buffer.from(name);
    const common = [[2, 20], [2, flags], [2, method], [2, 0], [2, 0x21], [4, crc ?? crc32(content)], [4, packed.length], [4, statedSize ?? content.length], [2, nameBytes.length], [2, 0]] as const;
    const local = Buffer.concat([record([[4, LOCAL], ...common]), nameBytes, packed]);
    centrals.push(record([[4, CENTRAL], [2, UNIX | 20], ...common, [2, 0], [2, 0], [2, 0], [4, (mode << 16) >>> 0], [4, offset]]), nameBytes);
    locals.push(local);
    offset += local.length;
  }
  const directory = Buffer.concat(centrals);
  const end = record([[4, END], [2, 0], [2, 0], [2, entries.length], [2, entries.length], [4, directory.length], [4, offset], [2, 0]]);
  return Buffer.concat([...locals, directory, end]);
}
