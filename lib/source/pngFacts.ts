/** What the chunks of a PNG say that its head alone does not (PNG, third edition, 5 "Datastream structure" and 11.3.4.5 "eXIf"; EXIF 2.3, 4.6 "IFD structure"). */

export interface PngFacts {
  /** Its chunks do not follow each other to the end. */
  readonly isBroken: boolean;
  /** It has more frames than one (acTL). */
  readonly isAnimated: boolean;
  /** 1: upright, or nothing is said. */
  readonly orientation: number;
}

/** The signature's bytes, and what each chunk has beside its data: length, type and checksum. */
const SIGNATURE_BYTES = 8, CHUNK_BYTES = 12;

/** Walks over the chunks; their data are not unpacked. */
export function lookAtPng(data: Uint8Array): PngFacts {
  const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
  let isAnimated = false, orientation = 1;
  for (let at = SIGNATURE_BYTES; at + CHUNK_BYTES <= data.length;) {
    const bytes = view.getUint32(at), type = String.fromCharCode(...data.subarray(at + 4, at + 8)), next = at + CHUNK_BYTES + bytes;
    if (next > data.length) break;
    if (type === "IEND") return { isBroken: false, isAnimated, orientation };
    if (type === "acTL") isAnimated = true;
    if (type === "eXIf") orientation = exifOrientation(data.subarray(at + 8, at + 8 + bytes));
    at = next;
  }
  return { isBroken: true, isAnimated, orientation };
}

const ORIENTATION_TAG = 0x0112;

/** Of the first directory of a TIFF head; 1: it has none, or cannot be read. */
function exifOrientation(tiff: Uint8Array): number {
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength), isLittle = tiff[0] === 0x49;
  if (tiff.length < 8) return 1;
  const from = view.getUint32(4, isLittle);
  if (from + 2 > tiff.length) return 1;
  for (let i = 0, at = from + 2; i < view.getUint16(from, isLittle) && at + 12 <= tiff.length; i++, at += 12) {
    if (view.getUint16(at, isLittle) === ORIENTATION_TAG) return view.getUint16(at + 8, isLittle);
  }
  return 1;
}
