/** The thread that measures frames, as the engine's thread knows it. One that dies is started again with the next frame; the frame it died of is given up. */
import { Worker } from "node:worker_threads";
import type { FrameReading, FrameScene } from "../../camera/scene.ts";

/** What a frame's scene is handed to. */
export interface FramePort {
  /** Nothing is being measured, and the next may come. */
  readonly isFree: boolean;
  measure(scene: FrameScene): void;
}

/** It may die so often without having measured anything in between. */
const RESTARTS = 3;

export class FrameEye implements FramePort {
  private worker: Worker | null = null;
  private isBusy = false;
  private losses = 0;

  /** `done` is told what a frame says; null: the thread ended over it. */
  constructor(private readonly from: { readonly dataFolder: string; readonly runId: string }, private readonly done: (reading: FrameReading | null) => void, private readonly program = new URL("./frame.mjs", import.meta.url)) {}

  get isFree(): boolean { return !this.isBusy && this.losses <= RESTARTS; }

  measure(scene: FrameScene): void {
    this.isBusy = true;
    this.worker ??= this.start();
    this.worker.postMessage(scene);
  }

  private start(): Worker {
    const worker = new Worker(this.program, { workerData: this.from });
    worker.on("message", (reading: FrameReading) => {
      this.losses = 0;
      this.end(reading);
    });
    const gone = (error: Error): void => {
      if (this.worker !== worker) return;
      console.error(`the frames of run ${this.from.runId} are measured no more:`, error);
      this.worker = null;
      this.losses++;
      if (this.isBusy) this.end(null);
    };
    worker.once("error", gone);
    worker.once("exit", (code) => gone(new Error(`the thread ended with ${code}`)));
    return worker;
  }

  private end(reading: FrameReading | null): void {
    this.isBusy = false;
    this.done(reading);
  }
}
