/** What an image is, without decoding it whole; and pixels of one for paper. */
import { InputError, type Place } from "../base/errors.ts";

/** More pixels than any camera at a print sends; a picture that claims more is refused before it is unpacked. */
const PIXEL_LIMIT = 100_000_000;

/** Throws InputError source.notImage where the file or the bytes are no PNG or JPEG. */
export async function requireImage(input: string | Uint8Array, name: string, place: Place): Promise<void> {
  const { default: sharp } = await import("sharp"); // only runs with frames need it
  const refuse = (got: string, cause?: unknown): never => { throw new InputError("source.notImage", `${name} to be a PNG or JPEG image`, got, place, cause); };
  const look = async (): Promise<{ readonly format: string; readonly width: number; readonly height: number }> => sharp(input, { limitInputPixels: PIXEL_LIMIT }).metadata(); // it throws at once where there are no bytes
  const metadata = await look().catch((cause: unknown) => refuse(cause instanceof Error ? cause.message : String(cause), cause));
  if (metadata.format !== "png" && metadata.format !== "jpeg") refuse(metadata.format);
  if (metadata.width * metadata.height > PIXEL_LIMIT) refuse(`one of ${metadata.width} × ${metadata.height} pixels`);
}

/** So good that no edge is smeared, and a page of pictures stays small. */
const PAPER_QUALITY = 88;

/** Whole pixels (left, top, width, height) of a picture as a JPEG without colour subsampling, no wider than `mostPx`; null: the file is gone, or holds no such pixels. */
export async function cropImage(path: string, [left, top, width, height]: readonly [number, number, number, number], mostPx: number): Promise<Uint8Array | null> {
  const { default: sharp } = await import("sharp"); // only reports with frames need it
  try {
    return await sharp(path, { limitInputPixels: PIXEL_LIMIT }).extract({ left, top, width, height }).resize({ width: mostPx, withoutEnlargement: true }).flatten({ background: "#ffffff" }).jpeg({ quality: PAPER_QUALITY, chromaSubsampling: "4:4:4" }).toBuffer();
  } catch {
    return null;
  }
}
