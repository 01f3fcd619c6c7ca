/** When a run's devices, its progress and its cell were last heard, by the server's clock. Nothing of it enters a result. */
import type { KeptState } from "./keeper.ts";

/** When something was last heard, and the newest stamp that came with it. */
export interface LastHeard { readonly atMs: number; readonly tS: number }

/** Of a camera, so many gaps say whether its frames come regularly. */
export const GAPS_KEPT = 5;

export class Heard {
  /** By device; from the first that is known of on. */
  readonly profilers = new Map<string, LastHeard>();
  /** By camera. `gapsS`: the newest gaps between frames, the oldest first. */
  readonly cameras = new Map<string, LastHeard & { readonly gapsS: readonly number[] }>();
  /** null: none has come yet. */
  progress: LastHeard | null = null;
  private pollMs = Number.NaN;
  private pollCount = 0;

  /** What has been kept so far. After a start of the server what lies on the disk already counts as heard now: silence is told from then on. */
  take({ profilerS, cameraS, lastS }: KeptState, nowMs: number): void {
    for (const [device, tS] of profilerS) if (this.profilers.get(device)?.tS !== tS) this.profilers.set(device, { atMs: nowMs, tS });
    for (const [device, tS] of cameraS) {
      const before = this.cameras.get(device);
      if (before?.tS !== tS) this.cameras.set(device, { atMs: nowMs, tS, gapsS: before === undefined ? [] : [...before.gapsS, (nowMs - before.atMs) / 1000].slice(-GAPS_KEPT) });
    }
    if (!Number.isNaN(lastS.progress) && this.progress?.tS !== lastS.progress) this.progress = { atMs: nowMs, tS: lastS.progress };
  }

  /** The cell asks for commands; call what it gives when the asking is answered or broken off. */
  polls(nowMs: () => number): () => void {
    this.pollCount++;
    return () => {
      this.pollCount--;
      this.pollMs = nowMs();
    };
  }

  /** When the cell last asked for commands; now while it waits for an answer; NaN: it never has. */
  lastPollMs(nowMs: number): number {
    return this.pollCount > 0 ? nowMs : this.pollMs;
  }
}
