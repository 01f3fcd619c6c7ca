/** A PNG of 8-bit RGB, as ISO/IEC 15948 has it: IHDR, one IDAT, IEND; every row filtered by its difference to the one above. */
import { crc32, deflateSync } from "node:zlib";
import type { Frame } from "./renderFrame.ts";

const SIGNATURE = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);
const FILTER_UP = 2;

function chunk(type: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + data.length), view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  bytes.set(new TextEncoder().encode(type), 4);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, crc32(bytes.subarray(4, 8 + data.length)));
  return bytes;
}

/** The file's bytes. */
export function encodePng({ widthPx, heightPx, rgb }: Frame): Uint8Array {
  const head = new Uint8Array(13), view = new DataView(head.buffer), stride = 3 * widthPx, rows = new Uint8Array((stride + 1) * heightPx);
  view.setUint32(0, widthPx);
  view.setUint32(4, heightPx);
  head.set([8, 2, 0, 0, 0], 8); // 8 bits, truecolour, deflate, the five filters, not interlaced
  for (let v = 0; v < heightPx; v++) {
    const to = v * (stride + 1), from = v * stride;
    rows[to] = FILTER_UP;
    for (let i = 0; i < stride; i++) rows[to + 1 + i] = rgb[from + i]! - (v === 0 ? 0 : rgb[from - stride + i]!);
  }
  return Buffer.concat([SIGNATURE, chunk("IHDR", head), chunk("IDAT", deflateSync(rows, { level: 6 })), chunk("IEND", new Uint8Array(0))]);
}
