/** What a run's engine was asked for and has not given yet: sections of stations, and the newest measured frame. */
import type { MeasuredFrame } from "../../model/frameView.ts";
import type { SectionCut } from "../../model/sectionCut.ts";
import type { EngineTelling, StationAt } from "./threadMessages.ts";
import type { EngineHandle } from "./threads.ts";

type Answer = Extract<EngineTelling, { readonly kind: "cut" | "newestFrame" }>;

export class EngineAsks {
  private readonly waiting = new Map<number, (answer: Answer | null) => void>();
  private count = 0;

  /** null: none is known there, or the engine has gone. */
  async cut(engine: EngineHandle | null, at: StationAt): Promise<SectionCut | null> {
    const answer = await this.ask(engine, (handle, id) => handle.askCut(id, at));
    return answer?.kind === "cut" ? answer.value : null;
  }

  /** null: none was measured, or the engine has gone. */
  async newestFrame(engine: EngineHandle | null): Promise<MeasuredFrame | null> {
    const answer = await this.ask(engine, (handle, id) => handle.askFrame(id));
    return answer?.kind === "newestFrame" ? answer.value : null;
  }

  private ask(engine: EngineHandle | null, send: (engine: EngineHandle, id: number) => void): Promise<Answer | null> {
    return engine === null ? Promise.resolve(null) : new Promise((done) => {
      this.waiting.set(++this.count, done);
      send(engine, this.count);
    });
  }

  answered(answer: Answer): void {
    this.waiting.get(answer.id)?.(answer);
    this.waiting.delete(answer.id);
  }

  /** The engine is gone: nobody answers any more. */
  drop(): void {
    for (const done of this.waiting.values()) done(null);
    this.waiting.clear();
  }
}
