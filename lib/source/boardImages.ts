/** Pictures of boards as brightness, as they were taken: no turn that a file's metadata may ask for is made. */
import { InputError } from "../base/errors.ts";
import type { GrayImage } from "../kernel/grayImage.ts";
import { requireImage } from "./image.ts";

/** InputError source.notImage where the bytes are no PNG or JPEG, or break off. */
export async function decodeGray(bytes: Uint8Array, file: string): Promise<GrayImage> {
  await requireImage(bytes, "the picture", { file });
  const { default: sharp } = await import("sharp");
  try {
    const { data, info } = await sharp(bytes, { failOn: "truncated" }).removeAlpha().toColourspace("b-w").raw({ depth: "uchar" }).toBuffer({ resolveWithObject: true });
    return { pixels: Float32Array.from({ length: info.width * info.height }, (_, i) => data[i * info.channels] as number), width: info.width, height: info.height };
  } catch (cause) {
    throw new InputError("source.notImage", "a whole picture", cause instanceof Error ? cause.message : String(cause), { file }, cause);
  }
}
