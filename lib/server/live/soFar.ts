/** Results of what has been received so far: of each run one is made at a time, and whoever asks for the same data shares it. */
interface Making { readonly bytes: number; readonly text: Promise<string>; isOver: boolean }

export class ResultsSoFar {
  private readonly made = new Map<string, Making>();

  /** `make` gives the result of a run up to byte `end` of its journal. */
  constructor(private readonly make: (runId: string, end: number) => Promise<string>) {}

  /** The result of at least the first `bytes()` of the journal as they are when its turn comes; null: the run takes no more data by then. */
  async of(runId: string, bytes: () => Promise<number | null>): Promise<string | null> {
    for (;;) {
      const end = await bytes(), last = this.made.get(runId);
      if (end === null) return null;
      if (last?.bytes === end) return last.text;
      if (last === undefined || last.isOver) return this.start(runId, end);
      await this.quiet(runId);
    }
  }

  private start(runId: string, end: number): Promise<string> {
    const making: Making = { bytes: end, text: this.make(runId, end), isOver: false };
    this.made.set(runId, making);
    void this.mark(runId, making);
    return making.text;
  }

  private async mark(runId: string, making: Making): Promise<void> {
    try {
      await making.text;
      making.isOver = true;
    } catch {
      if (this.made.get(runId) === making) this.made.delete(runId); // whoever asked hears of it
    }
  }

  /** Waits for the one that is being made; nothing of it matters. */
  async quiet(runId: string): Promise<void> {
    await this.made.get(runId)?.text.catch(() => undefined);
  }

  forget(runId: string): void {
    this.made.delete(runId);
  }
}
