/** The wire as a hostile sender finds it: one for a test file, and what every call of it has to have. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { afterAll, beforeAll } from "vitest";
import type { Kept } from "../../lib/model/wire.ts";
import { WIRE_HEADERS } from "../../lib/server/wire/headers.ts";
import { command, ownData } from "./recorded.ts";
import { WireCaller, type WireAnswered, type WireCall } from "./wireCaller.ts";
import type { GoodBody } from "./wireFuzz.ts";
import { jsonBody, makeWirePrint, POSE, smallPng, type NewRun, type WirePrint } from "./wirePrint.ts";
import { bundleWire, startWire, type WireBundle, type WireServer } from "./wireServer.ts";

export type SentBody = Pick<GoodBody, "type" | "bytes">;
export const text = (content: string, type = "application/json"): SentBody => ({ type, bytes: new Uint8Array(Buffer.from(content)) });
export const meta = (more: object): object => ({ file: "frames/x.png", device: "camera-1", tS: 1.5, ...POSE, frame: "plan", ...more });
export const codeOf = ({ status, text: body }: WireAnswered): string => `${status} ${(JSON.parse(body) as { code?: string }).code ?? ""}`;
export const keptOf = ({ status, text: body }: WireAnswered): Kept => {
  assert.equal(status, 200, body);
  return JSON.parse(body) as Kept;
};

/** What a test changes of a run before it is asked for. */
type Change = (run: { job: Record<string, unknown> & { plan: Record<string, unknown>; devices: Record<string, unknown>[] } } & { -readonly [K in "planText" | "planFormat"]: NewRun[K] }) => void;

/** Started before the tests of the file and stopped after them. */
export class HostileWire {
  readonly data = ownData();
  token = "";
  /** First line of a body of profiles, and the others. */
  head = "";
  lines: readonly string[] = [];
  private held: { readonly bundle: WireBundle; readonly server: WireServer; readonly caller: WireCaller; readonly print: WirePrint; readonly png: Uint8Array } | null = null;

  constructor() {
    beforeAll(() => this.start());
    afterAll(() => this.stop());
  }

  private async start(): Promise<void> {
    this.token = (await command("token", "add", "cell")).out.trim();
    const print = await makeWirePrint(this.data.place, 4), bundle = await bundleWire(), server = await startWire(bundle, join(this.data.place, "data"));
    this.held = { bundle, server, print, caller: new WireCaller(server.port), png: await smallPng() };
    [this.head = "", ...this.lines] = Buffer.from((print.recorded.find(({ path }) => path === "profiles") as GoodBody).bytes).toString().trim().split("\n");
  }

  private async stop(): Promise<void> {
    this.held?.caller.close();
    await this.held?.server.stop();
    this.held?.bundle.remove();
    await this.data.restore();
  }

  private get started(): NonNullable<HostileWire["held"]> {
    if (this.held === null) throw new TypeError("not started yet");
    return this.held;
  }

  get server(): WireServer { return this.started.server; }
  get newRun(): NewRun { return this.started.print.newRun; }
  get png(): Uint8Array { return this.started.png; }
  get auth(): { readonly Authorization: string } { return { Authorization: `Bearer ${this.token}` }; }

  /** Makes a call: every answer carries its headers, and every refusal a reason. */
  async call(what: WireCall): Promise<WireAnswered> {
    const answered = await this.started.caller.call(what), { headers, status, text: body } = answered;
    for (const [name, value] of Object.entries({ ...WIRE_HEADERS, "Content-Type": "application/json; charset=utf-8" })) assert.equal(headers[name.toLowerCase()], value, name);
    assert.deepEqual(Object.keys(headers).filter((name) => name.startsWith("access-control") || ["set-cookie", "x-powered-by", "server"].includes(name)), []);
    if (status >= 400) {
      const said = JSON.parse(body) as Record<string, unknown>;
      assert.deepEqual([Object.keys(said).sort(), typeof said["code"], typeof said["reason"]], [["code", "reason"], "string", "string"]);
    }
    return answered;
  }

  get(path: string): Promise<WireAnswered> {
    return this.call({ method: "GET", path: `/api/v1${path}`, headers: this.auth });
  }

  post(path: string, { type, bytes }: SentBody, more: Partial<WireCall> = {}): Promise<WireAnswered> {
    return this.call({ method: "POST", path: `/api/v1${path}`, body: bytes, ...more, headers: { "Content-Type": type, ...this.auth, ...more.headers } });
  }

  /** A body of profiles of these lines. */
  ndjson(...rows: readonly string[]): SentBody {
    return text([this.head, ...rows].join("\n"), "application/x-ndjson");
  }

  /** Asks for a run. */
  tryRun(change: Change): Promise<WireAnswered> {
    const run = structuredClone(this.newRun);
    change(run as Parameters<Change>[0]);
    return this.post("/runs", jsonBody("", run));
  }

  /** Makes a run; its id. */
  async makeRun(change: Change = () => undefined): Promise<string> {
    const { status, text: body } = await this.tryRun(change);
    assert.equal(status, 201, body);
    return (JSON.parse(body) as { runId: string }).runId;
  }

  /** Ends a run, takes it out and verifies it; its folder. */
  async ended(runId: string): Promise<string> {
    const { status, text: body } = await this.post(`/runs/${runId}/finish`, text(""));
    assert.equal(status, 200, body);
    const out = join(this.data.place, `out-${runId}`);
    for (const argv of [["export", runId, "--out", out], ["verify", out]]) {
      const { code, err } = await command(...argv);
      assert.equal(code, 0, err.join("\n"));
    }
    return out;
  }
}
