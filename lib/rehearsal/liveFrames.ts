/** Develops the frames of a live cell in small slices, so that nothing else of the process waits long, and packs them for the wire. */
import { encodePng } from "./camera/png.ts";
import type { Frame } from "./camera/renderFrame.ts";
import type { LiveShot } from "./camera/liveCamera.ts";
import type { Line } from "./liveLine.ts";
import type { Parcel } from "./liveQueue.ts";

/** Steps of a frame between two rests: some 5 ms at 640 pixels a row. */
const SLICE_STEPS = 8;
/** So long the others have their turn, ms. */
const REST_MS = 5;
const BOUNDARY = "----frame-of-the-simulated-cell";

/** One frame after the other; while one is developed only the newest that came meanwhile is kept. */
export class FrameDesk {
  private readonly line: Line;
  private readonly path: () => string;
  private readonly push: (parcel: Parcel) => void;
  private next: LiveShot | null = null;
  private atWork = false;

  constructor(line: Line, path: () => string, push: (parcel: Parcel) => void) {
    this.line = line;
    this.path = path;
    this.push = push;
  }

  /** Nothing is developed and nothing waits for it. */
  get isIdle(): boolean { return !this.atWork && this.next === null; }

  /** A frame that was taken; true: it takes the place of one that was not developed in time. */
  take(shot: LiveShot): boolean {
    const isLate = this.next !== null;
    this.next = shot;
    if (!this.atWork) void this.work();
    return isLate;
  }

  private async work(): Promise<void> {
    this.atWork = true;
    for (let shot = this.next; shot !== null && !this.line.closed.aborted; shot = this.next) {
      this.next = null;
      const frame = await this.develop(shot);
      if (frame !== null) this.push(frameParcel(`${this.path()}/frames`, shot, encodePng(frame)));
    }
    this.atWork = false;
  }

  /** null: the line was closed meanwhile. */
  private async develop({ steps }: LiveShot): Promise<Frame | null> {
    for (;;) {
      for (let i = 0; i < SLICE_STEPS; i++) {
        const { done, value } = steps.next();
        if (done === true) return value.frame;
      }
      await this.line.clock.sleep(REST_MS, this.line.closed);
      if (this.line.closed.aborted) return null;
    }
  }
}

/** The call that carries a frame: its row of frames.csv as JSON and its image. */
function frameParcel(path: string, { tS, device, file, pose: [tx, ty, tz, qx, qy, qz, qw] }: LiveShot, png: Uint8Array): Parcel {
  const text = new TextEncoder(), meta = JSON.stringify({ file, device, tS: Math.round(tS * 1e6) / 1e6, tx, ty, tz, qx, qy, qz, qw, frame: "plan" });
  const head = `--${BOUNDARY}\r\nContent-Disposition: form-data; name="meta"\r\n\r\n${meta}\r\n--${BOUNDARY}\r\nContent-Disposition: form-data; name="image"; filename="frame.png"\r\nContent-Type: image/png\r\n\r\n`;
  return { method: "POST", path, contentType: `multipart/form-data; boundary=${BOUNDARY}`, body: Buffer.concat([text.encode(head), png, text.encode(`\r\n--${BOUNDARY}--\r\n`)]) };
}
