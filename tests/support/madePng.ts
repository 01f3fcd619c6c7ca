/** PNG files made chunk by chunk after the standard (PNG, third edition), so that every code in them is known. */
import { crc32, deflateSync } from "node:zlib";

export interface MadePng {
  readonly width: number;
  readonly height: number;
  readonly bits: 1 | 2 | 4 | 8 | 16;
  /** 0 grey, 2 colours, 3 palette, 4 grey and alpha, 6 colours and alpha. */
  readonly type: 0 | 2 | 3 | 4 | 6;
  /** Rows of samples, channel after channel. */
  readonly rows: readonly (readonly number[])[];
  /** Chunks between the head and the pixels, and between the pixels and the end. */
  readonly before?: readonly Uint8Array[];
  readonly after?: readonly Uint8Array[];
}

export function chunk(type: string, data: Uint8Array): Buffer {
  const out = Buffer.alloc(12 + data.length);
  out.writeUInt32BE(data.length, 0);
  out.write(type, 4, "latin1");
  out.set(data, 8);
  out.writeUInt32BE(crc32(out.subarray(4, 8 + data.length)), 8 + data.length);
  return out;
}

function packed(row: readonly number[], bits: number): Buffer {
  const out = Buffer.alloc(1 + Math.ceil(row.length * bits / 8)); // filter 0
  row.forEach((value, i) => {
    if (bits === 16) out.writeUInt16BE(value, 1 + 2 * i);
    else out[1 + Math.floor(i * bits / 8)]! |= value << (8 - bits - (i * bits) % 8);
  });
  return out;
}

export function madePng({ width, height, bits, type, rows, before = [], after = [] }: MadePng): Uint8Array {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([bits, type, 0, 0, 0], 8);
  const pixels = deflateSync(Buffer.concat(rows.map((row) => packed(row, bits))));
  return new Uint8Array(Buffer.concat([Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a), chunk("IHDR", head), ...before, chunk("IDAT", pixels), ...after, chunk("IEND", new Uint8Array(0))]));
}

/** An EXIF head of one entry: the orientation. */
export function exifOf(orientation: number, isLittle = true): Uint8Array {
  const out = Buffer.alloc(26), put16 = (value: number, at: number) => (isLittle ? out.writeUInt16LE(value, at) : out.writeUInt16BE(value, at));
  out.write(isLittle ? "II" : "MM", 0, "latin1");
  put16(42, 2);
  put16(8, isLittle ? 4 : 6); // where the directory begins
  put16(1, 8);
  put16(0x0112, 10);
  put16(3, 12);
  put16(1, isLittle ? 14 : 16);
  put16(orientation, 18);
  return out;
}
