/** A server that answers a cell as the contract says, and can be told to be slow, full, gone half-way, or to lose an answer. On loopback, with a fake clock for its long poll. */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { tableFromIPC } from "apache-arrow";
import type { FakeClock } from "./fakeClock.ts";

export interface Call { readonly method: string; readonly path: string; readonly body: Buffer; readonly headers: IncomingMessage["headers"]; readonly atMs: number; status: number | "lost" | "cut" }
/** What becomes of the next calls whose path matches, once each. */
export type Trouble = { readonly kind: "busy"; readonly retryAfterS: number | null; readonly status: number } | { readonly kind: "lost" } | { readonly kind: "cut" } | { readonly kind: "slow"; readonly ms: number } | { readonly kind: "refuse"; readonly status: number; readonly text: string };

export class CellServer {
  readonly calls: Call[] = [];
  /** Identity of everything that was kept. */
  readonly kept = new Set<string>();
  duplicates = 0;
  commands: Record<string, unknown>[] = [];
  readonly receipts = new Map<number, Record<string, unknown>>();
  finished = false;
  /** Polls are left without an answer. */
  deaf = false;
  /** Requests that are held on purpose. */
  held = 0;
  private readonly troubles: { readonly path: RegExp; readonly trouble: Trouble; left: number }[] = [];
  private readonly server: Server;
  private readonly clock: FakeClock;
  private readonly gone = new AbortController();
  private wakePolls: () => void = () => undefined;

  constructor(clock: FakeClock) {
    this.clock = clock;
    this.server = createServer((request, response) => { void this.answer(request, response); });
  }

  async listen(): Promise<string> {
    await new Promise<void>((done) => { this.server.listen(0, "127.0.0.1", done); });
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}`;
  }
  close(): Promise<void> {
    this.gone.abort();
    this.wakePolls();
    return new Promise((done) => {
      this.server.close(() => done());
      this.server.closeAllConnections();
    });
  }

  trouble(path: RegExp, trouble: Trouble, times = 1): void { this.troubles.push({ path, trouble, left: times }); }
  command(command: Record<string, unknown>): void {
    this.commands.push(command);
    this.wakePolls();
  }
  /** Calls to a path. */
  to(path: RegExp): Call[] { return this.calls.filter((call) => path.test(call.path)); }

  private async answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const parts: Buffer[] = [];
    for await (const part of request as AsyncIterable<Buffer>) parts.push(part);
    const call: Call = { method: request.method ?? "", path: request.url ?? "", body: Buffer.concat(parts), headers: request.headers, atMs: this.clock.nowMs(), status: 200 };
    this.calls.push(call);
    if (request.headers.authorization !== "Bearer token-7") return this.send(call, response, 401, { reason: "unknown token" });
    const found = this.troubles.find((one) => one.left > 0 && one.path.test(call.path)), trouble = found?.trouble;
    if (found !== undefined) found.left--;
    if (trouble?.kind === "busy") return this.send(call, response, trouble.status, { reason: "full" }, trouble.retryAfterS === null ? {} : { "retry-after": String(trouble.retryAfterS) });
    if (trouble?.kind === "refuse") return this.send(call, response, trouble.status, { reason: trouble.text });
    if (trouble?.kind === "cut") {
      call.status = "cut";
      response.writeHead(200, { "content-length": "100" });
      response.write("{\"acc", () => response.destroy());
      return;
    }
    if (trouble?.kind === "slow") await this.hold(trouble.ms);
    const [status, value] = await this.take(call);
    if (trouble?.kind !== "lost") return this.send(call, response, status, value);
    call.status = "lost";
    response.destroy();
  }

  private send(call: Call, response: ServerResponse, status: number, value: unknown, headers: Record<string, string> = {}): void {
    call.status = status;
    response.writeHead(status, { "content-type": "application/json", ...headers });
    response.end(JSON.stringify(value));
  }

  private async hold(ms: number): Promise<void> {
    this.held++;
    await this.clock.sleep(ms, this.gone.signal);
    this.held--;
  }

  private async take(call: Call): Promise<[number, unknown]> {
    const path = call.path.replace("/api/v1", "");
    if (path === "/runs") return [201, { runId: "run 1" }];
    if (/\/commands\?/.test(path)) return [200, await this.poll(new URLSearchParams(path.split("?")[1]))];
    const receipt = /\/commands\/(\d+)\/receipt$/.exec(path);
    if (receipt !== null) {
      this.receipts.set(Number(receipt[1]), JSON.parse(call.body.toString()) as Record<string, unknown>);
      return [200, {}];
    }
    if (path.endsWith("/finish")) {
      this.finished = true;
      return [200, {}];
    }
    const ids = path.endsWith("/profiles") ? profileIds(call.body) : path.endsWith("/frames") ? [frameId(call.body)] : (JSON.parse(call.body.toString()) as unknown[]).map((row) => `${path}${JSON.stringify(row)}`);
    const before = this.kept.size;
    for (const id of ids) this.kept.add(id);
    const accepted = this.kept.size - before;
    this.duplicates += ids.length - accepted;
    return [200, { accepted, duplicates: ids.length - accepted, rejected: [] }];
  }

  /** Answers when there is a command, or after waitS. */
  private async poll(query: URLSearchParams): Promise<unknown> {
    const after = Number(query.get("after")), news = (): unknown[] => this.commands.filter((one) => (one.n as number) > after);
    const untilMs = this.clock.nowMs() + (this.deaf ? 1e9 : Number(query.get("waitS")) * 1000);
    this.held++;
    while ((this.deaf || news().length === 0) && this.clock.nowMs() < untilMs && !this.gone.signal.aborted) {
      const wake = new AbortController(), before = this.wakePolls;
      this.wakePolls = () => { before(); wake.abort(); };
      await this.clock.sleep(untilMs - this.clock.nowMs(), wake.signal);
    }
    this.held--;
    return news();
  }
}

function frameId(body: Buffer): string {
  return `frame ${/"file":"([^"]+)"/.exec(body.toString("latin1"))?.[1] ?? "without a file"}`;
}

function profileIds(body: Buffer): string[] {
  if (body[0] === 0x7b) {
    const [head, ...lines] = body.toString().trim().split("\n").map((line) => JSON.parse(line) as { device: string; seq: number });
    return lines.map((line) => `${head!.device} ${line.seq}`);
  }
  const table = tableFromIPC(body), device = table.schema.metadata.get("device");
  return Array.from(table.getChild("seq") as Iterable<number>, (seq) => `${device} ${seq}`);
}
