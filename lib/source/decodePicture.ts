/**
 * A camera's picture as numbers, exactly as they were coded: no colour profile, no gamma, no turning. What could be read in more than one way, or
 * only in part, is refused in words of our own, the same everywhere. Whether it is the camera's size is known from its head, before anything is unpacked.
 */
import { readFile, stat } from "node:fs/promises";
import type { FramePixels } from "../model/frame.ts";
import type { Camera } from "../model/job.ts";
import { lookAtPng, type PngFacts } from "./pngFacts.ts";

export type Decoded = { readonly pixels: FramePixels; readonly refused: null } | { readonly pixels: null; readonly refused: string };

type Size = Pick<Camera, "widthPx" | "heightPx">;

/** A file may take this much beside its pixels: profiles, previews, texts. */
const BESIDE_PIXELS_BYTES = 16 * 1024 * 1024;
/** Four channels of 16 bits, not compressed at all. */
const MOST_BYTES_A_PIXEL = 8;
const BROKEN = "its data are broken or end early";

const refuse = (refused: string): Decoded => ({ pixels: null, refused });

/** `input`: bytes, or a path of a file that is there. */
export async function decodePicture(input: string | Uint8Array, camera: Size): Promise<Decoded> {
  const mostBytes = MOST_BYTES_A_PIXEL * camera.widthPx * camera.heightPx + BESIDE_PIXELS_BYTES, bytes = typeof input === "string" ? (await stat(input)).size : input.length;
  if (bytes > mostBytes) return refuse(`it has ${bytes} bytes, and no picture of the camera has more than ${mostBytes}`);
  const data = typeof input === "string" ? await readFile(input) : input;
  if (startsWith(data, [0xff, 0xd8, 0xff])) return decodeKnown(data, camera, null);
  if (!startsWith(data, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return refuse("it is neither PNG nor JPEG");
  return decodeKnown(data, camera, lookAtPng(data));
}

const startsWith = (data: Uint8Array, head: readonly number[]): boolean => head.every((byte, i) => data[i] === byte);

/** `png` null: a JPEG. */
async function decodeKnown(data: Uint8Array, camera: Size, png: PngFacts | null): Promise<Decoded> {
  const { default: sharp } = await import("sharp"); // only runs with frames need it
  const meta = await sharp(data, { limitInputPixels: false }).metadata().catch(() => null);
  if (meta === null || meta.format !== (png === null ? "jpeg" : "png") || png?.isBroken === true) return refuse(BROKEN);
  const reason = refusalOf({ ...meta, orientation: png === null ? meta.orientation ?? 1 : png.orientation, isAnimated: png?.isAnimated === true || (meta.pages ?? 1) > 1 }, camera);
  if (reason !== null) return refuse(reason);
  const isDeep = meta.depth === "ushort";
  try {
    const open = sharp(data, { limitInputPixels: camera.widthPx * camera.heightPx, failOn: "warning", ignoreIcc: true });
    const { data: raw, info } = await (isDeep ? open.toColourspace("rgb16").raw({ depth: "ushort" }) : open.raw()).toBuffer({ resolveWithObject: true });
    const samples = isDeep ? new Uint16Array(raw.buffer, raw.byteOffset, raw.byteLength / 2) : raw;
    return opaque(samples, { ...camera, channels: info.channels, full: isDeep ? 65_535 : 255 });
  } catch {
    return refuse(BROKEN);
  }
}

/** Why a picture with this head is not read; null: it may be. */
function refusalOf(head: { readonly width: number; readonly height: number; readonly space: string; readonly orientation: number; readonly isAnimated: boolean }, { widthPx, heightPx }: Size): string | null {
  if (head.width !== widthPx || head.height !== heightPx) return `it has ${head.width} × ${head.height} pixels, and the camera ${widthPx} × ${heightPx}`;
  if (head.isAnimated) return "it holds several pictures";
  if (head.space === "cmyk") return "its colours are inks (CMYK), which no camera sees";
  if (head.orientation !== 1) return `it says that it is to be turned (EXIF orientation ${head.orientation}), and which way round the camera's own pixels lie cannot be told`;
  return null;
}

/** Samples of 1 to 4 channels as three of 8 bits; grey counts three times. Alpha has to be full everywhere. */
function opaque(samples: Uint8Array | Uint16Array, { widthPx, heightPx, channels, full }: Size & { readonly channels: number; readonly full: number }): Decoded {
  const count = widthPx * heightPx, rgb = new Uint8Array(3 * count), hasAlpha = channels % 2 === 0, [g, b] = channels < 3 ? [0, 0] : [1, 2];
  const narrow = (value: number): number => (full === 255 ? value : Math.round(255 * value / full));
  for (let i = 0, at = 0; i < count; i++, at += channels) {
    if (hasAlpha && samples[at + channels - 1] !== full) return refuse("it has transparent pixels");
    rgb[3 * i] = narrow(samples[at] as number);
    rgb[3 * i + 1] = narrow(samples[at + g] as number);
    rgb[3 * i + 2] = narrow(samples[at + b] as number);
  }
  return { pixels: { widthPx, heightPx, rgb }, refused: null };
}
