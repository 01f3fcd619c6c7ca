/** Pixels of a kept picture for paper. */

/** No larger a picture is unpacked: that of the largest camera, and far more than any that a frame comes from. */
const PIXEL_LIMIT = 100_000_000;
/** So good that no edge is smeared, and a page of pictures stays small. */
const QUALITY = 88;

/** Whole pixels (left, top, width, height) of a picture as a JPEG without colour subsampling, no wider than `mostPx`; null: the file is gone, or holds no such pixels. */
export async function cropPicture(path: string, [left, top, width, height]: readonly [number, number, number, number], mostPx: number): Promise<Uint8Array | null> {
  const { default: sharp } = await import("sharp"); // only reports with frames need it
  try {
    return await sharp(path, { limitInputPixels: PIXEL_LIMIT, ignoreIcc: true }).extract({ left, top, width, height }).resize({ width: mostPx, withoutEnlargement: true }).flatten({ background: "#ffffff" })
      .jpeg({ quality: QUALITY, chromaSubsampling: "4:4:4" }).toBuffer();
  } catch {
    return null;
  }
}
