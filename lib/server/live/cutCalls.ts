/** Sections that an engine was asked for and has not given yet. */
import type { SectionCut } from "../../model/sectionCut.ts";
import type { StationAt } from "./threadMessages.ts";
import type { EngineHandle } from "./threads.ts";

export class CutCalls {
  private readonly waiting = new Map<number, (cut: SectionCut | null) => void>();
  private count = 0;

  ask(engine: EngineHandle, at: StationAt): Promise<SectionCut | null> {
    return new Promise((done) => {
      this.waiting.set(++this.count, done);
      engine.askCut(this.count, at);
    });
  }

  answered(id: number, cut: SectionCut | null): void {
    this.waiting.get(id)?.(cut);
    this.waiting.delete(id);
  }

  /** The engine is gone: nobody answers any more. */
  drop(): void {
    for (const done of this.waiting.values()) done(null);
    this.waiting.clear();
  }
}
