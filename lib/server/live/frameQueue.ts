/** Frames of a live run on their way to be measured: the newest first. While one is measured only the newest of those that came meanwhile waits; the others are measured once the run is over. */
import { orNull } from "../../base/missing.ts";
import type { FrameReading } from "../../camera/scene.ts";
import type { FrameResult } from "../../model/frame.ts";
import type { MeasuredFrame } from "../../model/frameView.ts";
import type { LiveFrames } from "../../model/liveEvent.ts";
import type { FrameMessage } from "../../model/messages.ts";

/** A frame waits for what is said of the nozzle at its instant, and so long at most, ms: progress comes later than pictures, and paste that nobody has said is laid would look like a body. */
const PROGRESS_WAIT_MS = 300;

export class FrameQueue {
  private waiting: { readonly frame: FrameMessage; readonly cameMs: number } | null = null;
  private sent: FrameMessage | null = null; // frames are taken in order of their time
  /** The newest that was measured, whole; null: none was. */
  measured: MeasuredFrame | null = null;
  private readonly counts = { keptCount: 0, measuredCount: 0, skippedCount: 0 };
  private newest: LiveFrames["newest"] = null;
  /** Something has changed since it was told. */
  hasNews = false;

  /** A frame that is kept. */
  add(frame: FrameMessage, nowMs: number): void {
    const isNewest = !(this.sent !== null && this.sent.tS >= frame.tS) && !(this.waiting !== null && this.waiting.frame.tS > frame.tS);
    this.hasNews = true;
    this.counts.keptCount++;
    if (this.waiting !== null || !isNewest) this.counts.skippedCount++;
    if (isNewest) this.waiting = { frame, cameMs: nowMs };
  }

  /** A frame waits that may be measured soon. */
  get hasWaiting(): boolean { return this.waiting !== null; }

  /** The one to measure now; null: none waits, or what is said of the nozzle (`progressS`: up to when) has not come so far. */
  next(progressS: number, nowMs: number): FrameMessage | null {
    const { waiting } = this;
    if (waiting === null || !(progressS >= waiting.frame.tS || nowMs - waiting.cameMs >= PROGRESS_WAIT_MS)) return null;
    this.waiting = null;
    this.sent = waiting.frame;
    return waiting.frame;
  }

  /** What became of it; null: it could not be measured now. `result`: what a result says of it. */
  done(reading: FrameReading | null, result: FrameResult | null = null): void {
    this.hasNews = true;
    if (reading === null) {
      this.counts.skippedCount++;
      return;
    }
    const { file, device, tS, reason } = reading;
    this.counts.measuredCount++;
    if (result !== null && this.sent !== null) this.measured = { frame: result, layer: reading.layer, place: { device, pose: this.sent.pose, frame: this.sent.frame } };
    this.newest = { file, device, tS, used: reason === null, reason, separability: orNull(reading.separability), poseErrorMm: orNull(reading.poseErrorMm) };
  }

  /** Where frames stand. */
  told(): Omit<LiveFrames, "findings"> {
    this.hasNews = false;
    return { ...this.counts, newest: this.newest };
  }
}
