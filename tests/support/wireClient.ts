/** A recorded folder as a cell sends it: bodies in order, each sent until it is answered. */
import { readFileSync, existsSync } from "node:fs";
import { join } from "node:path";
import type { Kept } from "../../lib/model/wire.ts";

export interface WireBody { readonly path: string; readonly type: string; readonly text: string; readonly count: number }

const TEXTS = ["event", "who", "reason"];

function rowsOf(folder: string, name: string): Record<string, string | number>[] {
  const path = join(folder, name);
  if (!existsSync(path)) return [];
  const [head = "", ...lines] = readFileSync(path, "utf8").trim().split("\n");
  const keys = head.split(",").map((key) => key.replace(/_([a-z])/g, (_, c: string) => c.toUpperCase()));
  return lines.map((line) => Object.fromEntries(line.split(",").map((cell, i) => [keys[i] as string, TEXTS.includes(keys[i] as string) ? cell : Number(cell)])));
}

/** The bodies of a folder whose one stream of profiles is NDJSON, in `pieces` steps of time: progress, rework, profiles. */
export function bodiesOf(folder: string, pieces: number): WireBody[] {
  const [head, ...lines] = readFileSync(join(folder, "profiles.ndjson"), "utf8").trim().split("\n") as [string, ...string[]];
  const left = { progress: rowsOf(folder, "progress.csv"), rework: rowsOf(folder, "rework.csv") };
  return Array.from({ length: pieces }, (_, i): WireBody[] => {
    const part = lines.slice(Math.floor((i * lines.length) / pieces), Math.floor(((i + 1) * lines.length) / pieces));
    const untilS = i === pieces - 1 ? Infinity : (JSON.parse(part.at(-1) as string) as { tS: number }).tS;
    const rows = (["progress", "rework"] as const).flatMap((name): WireBody[] => {
      const now = left[name].filter((row) => (row["tS"] as number) <= untilS);
      left[name] = left[name].filter((row) => !now.includes(row));
      return now.length === 0 ? [] : [{ path: name, type: "application/json", text: JSON.stringify(now), count: now.length }];
    });
    return [...rows, { path: "profiles", type: "application/x-ndjson", text: `${[head, ...part].join("\n")}\n`, count: part.length }];
  }).flat();
}

export interface Answered { readonly status: number; readonly json: unknown; readonly headers: Headers }

/** One server and one token. */
export class WireClient {
  constructor(readonly base: () => string, readonly token: string) {}

  async call(method: "GET" | "POST", path: string, body?: { readonly type: string; readonly text: string | Uint8Array<ArrayBuffer> }, headers: Record<string, string> = {}): Promise<Answered> {
    const response = await fetch(`${this.base()}/api/v1${path}`, {
      method, headers: { ...(this.token === "" ? {} : { Authorization: `Bearer ${this.token}` }), ...(body === undefined ? {} : { "Content-Type": body.type }), ...headers }, ...(body === undefined ? {} : { body: body.text }),
    });
    const text = await response.text();
    return { status: response.status, json: text === "" ? null : JSON.parse(text) as unknown, headers: response.headers };
  }

  /** Makes a run of the folder's job and plan; its id. */
  async makeRun(folder: string, key: string): Promise<string> {
    const job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as { plan: { file: string } };
    const planText = readFileSync(join(folder, job.plan.file), "utf8");
    const { status, json } = await this.call("POST", "/runs", { type: "application/json", text: JSON.stringify({ job, planText, planFormat: "csv" }) }, { "Idempotency-Key": key });
    if (status !== 201) throw new Error(`${status} ${JSON.stringify(json)}`);
    return (json as { runId: string }).runId;
  }

  async send(runId: string, { path, type, text }: WireBody): Promise<Kept> {
    const { status, json } = await this.call("POST", `/runs/${runId}/${path}`, { type, text });
    if (status !== 200) throw new Error(`${status} ${JSON.stringify(json)}`);
    return json as Kept;
  }
}
