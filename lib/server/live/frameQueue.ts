/** Frames of a live run on their way to be measured: the newest first, of those that progress has reached; the others are measured once the run is over. */
import { orNull } from "../../base/missing.ts";
import type { FrameReading } from "../../camera/scene.ts";
import type { FrameResult } from "../../model/frame.ts";
import type { MeasuredFrame } from "../../model/frameView.ts";
import type { LiveFrames } from "../../model/liveEvent.ts";
import type { FrameMessage } from "../../model/messages.ts";

/** A frame waits for what is said of the nozzle at its instant, and so long at most, ms: progress comes later than pictures, and paste that nobody has said is laid would look like a body. */
const PROGRESS_WAIT_MS = 300;

/** Frames wait at most so many at once: three seconds' at ten a second. */
const MOST_WAITING = 32;

export class FrameQueue {
  private readonly waiting: { readonly frame: FrameMessage; readonly cameMs: number }[] = []; // in order of the frames' time
  private sent: FrameMessage | null = null; // frames are taken in order of their time
  /** The newest that was measured, whole; null: none was. */
  measured: MeasuredFrame | null = null;
  private readonly counts = { keptCount: 0, measuredCount: 0, skippedCount: 0 };
  private newest: LiveFrames["newest"] = null;
  /** Something has changed since it was told. */
  hasNews = false;

  /** A frame that is kept. */
  add(frame: FrameMessage, nowMs: number): void {
    this.hasNews = true;
    this.counts.keptCount++;
    if (this.sent !== null && this.sent.tS >= frame.tS) {
      this.counts.skippedCount++;
      return;
    }
    const later = this.waiting.findIndex((other) => other.frame.tS > frame.tS);
    this.waiting.splice(later < 0 ? this.waiting.length : later, 0, { frame, cameMs: nowMs });
    if (this.waiting.length > MOST_WAITING) this.skip(1);
  }

  /** A frame waits that may be measured soon. */
  get hasWaiting(): boolean { return this.waiting.length > 0; }

  /**
   * The one to measure now: the newest that what is said of the nozzle (`progressS`: up to when) has reached, and where it has reached none for a while
   * the newest of all. Older ones are measured once the run is over. null: none.
   */
  next(progressS: number, nowMs: number): FrameMessage | null {
    const [first] = this.waiting;
    if (first === undefined) return null;
    const reached = this.waiting.findLastIndex(({ frame }) => frame.tS <= progressS), at = reached >= 0 ? reached : nowMs - first.cameMs >= PROGRESS_WAIT_MS ? this.waiting.length - 1 : -1;
    if (at < 0) return null;
    this.skip(at);
    this.sent = (this.waiting.shift() as { readonly frame: FrameMessage }).frame;
    return this.sent;
  }

  /** The oldest that wait are left for the end. */
  private skip(count: number): void {
    this.waiting.splice(0, count);
    this.counts.skippedCount += count;
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
