/** Reads a run's events as a screen does. */
export interface HeardEvent { readonly id: string; readonly kind: string; readonly data: unknown }

export class EventReader {
  readonly heard: HeardEvent[] = [];
  private readonly aborter = new AbortController();
  private readonly waiting = new Set<() => void>();

  /** Resolves once the stream is open. */
  static async open(url: string, runId: string, token: string): Promise<EventReader> {
    const reader = new EventReader();
    const { body, status } = await fetch(`${url}/api/v1/runs/${runId}/events`, { headers: { Authorization: `Bearer ${token}` }, signal: reader.aborter.signal });
    if (status !== 200 || body === null) throw new Error(`events: ${status}`);
    void reader.read(body as unknown as AsyncIterable<Uint8Array>).catch(() => undefined); // ends when it is closed, or with the server
    return reader;
  }

  private async read(body: AsyncIterable<Uint8Array>): Promise<void> {
    const decoder = new TextDecoder();
    let text = "";
    for await (const chunk of body) {
      const parts = (text + decoder.decode(chunk, { stream: true })).split("\n\n");
      text = parts.pop() ?? "";
      for (const part of parts) this.take(part);
    }
  }

  private take(part: string): void {
    const [, id = "", kind = "", data = ""] = /^id: (.*)\nevent: (.*)\ndata: (.*)$/.exec(part) ?? [];
    if (kind === "") return;
    this.heard.push({ id, kind, data: JSON.parse(data) });
    for (const wake of this.waiting) wake();
  }

  of<T>(kind: string): T[] {
    return this.heard.filter((event) => event.kind === kind).map((event) => event.data as T);
  }

  /** Resolves once what was heard is as wanted; rejects after `mostMs`. */
  until(isThere: () => boolean, mostMs = 20_000): Promise<void> {
    return new Promise((done, fail) => {
      const hang = setTimeout(() => { this.waiting.delete(look); fail(new Error(`not heard within ${mostMs} ms; heard ${this.heard.length} events, the last: ${JSON.stringify(this.heard.slice(-3)).slice(0, 600)}`)); }, mostMs);
      const look = (): void => {
        if (!isThere()) return;
        clearTimeout(hang);
        this.waiting.delete(look);
        done();
      };
      this.waiting.add(look);
      look();
    });
  }

  close(): void {
    this.aborter.abort();
  }
}
