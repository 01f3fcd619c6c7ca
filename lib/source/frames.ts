import type { FramePixels } from "../model/frame.ts";
import type { Device } from "../model/job.ts";
import type { FrameMessage } from "../model/messages.ts";
import type { Cursor } from "./cursor.ts";
import { decodePicture } from "./decodePicture.ts";
import { compareMessages } from "./merge.ts";
import { insideFolder, openFile } from "./paths.ts";
import { RowCursor, type RowStream } from "./rowCursor.ts";
import type { WarningLog } from "./warningLog.ts";

const FRAMES_FILE = "frames.csv";

/** A frame as the folder holds it: its row, and the image's size in bytes. */
export interface FrameFile { readonly message: FrameMessage; readonly bytes: number }

/**
 * Reads frames.csv whole (a row a frame is little beside its image) in the order of messages, and looks for every image: inside the
 * folder, and there (source.pathLeaves, source.noFile, with the line of frames.csv). Whether it can be read shows when it is.
 */
export async function readFrames(root: string, stream: RowStream<FrameMessage>, warnings: WarningLog): Promise<FrameFile[]> {
  const lines: number[] = [];
  const noting: RowStream<FrameMessage> = { ...stream, decode: (fields) => {
    const message = stream.decode(fields);
    lines.push(fields.place.line ?? 0);
    return message;
  } };
  const cursor = new RowCursor(noting, warnings);
  const frames: FrameFile[] = [];
  try {
    for (let batch = await cursor.refill(); batch !== null; batch = await cursor.refill()) {
      for (const message of batch) {
        const place = { file: stream.file, line: lines[frames.length] ?? 0, key: "file" };
        frames.push({ message, bytes: await sizeOf(root, message.file, place) });
      }
    }
  } finally {
    await cursor.close();
  }
  return frames.sort((a, b) => compareMessages(a.message, b.message));
}

async function sizeOf(root: string, name: string, place: { file: string; line: number; key: string }): Promise<number> {
  const path = await insideFolder(root, name, place);
  const handle = await openFile(path, name);
  try {
    return (await handle.stat()).size;
  } finally {
    await handle.close();
  }
}

/** Frames as a stream. */
export function frameCursor(frames: readonly FrameFile[]): Cursor {
  let isTaken = frames.length === 0;
  return {
    isReusing: false,
    refill: async () => {
      if (isTaken) return null;
      isTaken = true;
      return frames.map((frame) => frame.message);
    },
    close: async () => undefined,
  };
}

/** Reads pictures of a folder's frames. One that cannot be read is null, and a warning that names it and why. */
export function pixelReader(root: string, devices: readonly Device[], warnings: WarningLog): (frame: FrameMessage) => Promise<FramePixels | null> {
  return async ({ file, device }) => {
    const camera = devices.find((each) => each.id === device);
    if (camera?.kind !== "camera") throw new TypeError(`${device} is no camera`);
    const { pixels, refused } = await decodePicture(await insideFolder(root, file, { file: FRAMES_FILE }), camera);
    if (refused !== null) warnings.add({ code: "frame.unreadable", message: `${file} is kept and not measured: ${refused}`, file: FRAMES_FILE });
    return pixels;
  };
}
