/** Pictures of boards as brightness, as they were taken: no turn that a file's metadata may ask for is made. */
import { InputError } from "../base/errors.ts";
import type { GrayImage } from "../kernel/grayImage.ts";

/** More pixels than any camera at a print has; a picture that claims more is refused before it is unpacked. */
const PIXEL_LIMIT = 100_000_000;

/** InputError calibration.badValue where the bytes are no PNG or JPEG, or break off. */
export async function decodeGray(bytes: Uint8Array, file: string): Promise<GrayImage> {
  const { default: sharp } = await import("sharp");
  try {
    const open = sharp(bytes, { failOn: "truncated", limitInputPixels: PIXEL_LIMIT }), { format } = await open.metadata();
    if (format !== "png" && format !== "jpeg") throw new TypeError(format);
    const { data, info } = await open.removeAlpha().toColourspace("b-w").raw({ depth: "uchar" }).toBuffer({ resolveWithObject: true });
    return { pixels: Float32Array.from({ length: info.width * info.height }, (_, i) => data[i * info.channels] as number), width: info.width, height: info.height };
  } catch (cause) {
    throw new InputError("calibration.badValue", "a whole PNG or JPEG picture", cause instanceof Error ? cause.message : String(cause), { file }, cause);
  }
}
