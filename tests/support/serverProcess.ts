/** The real server in a process of its own, as `npm start` runs it. */
import { spawn } from "node:child_process";
import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { resolve } from "node:path";

export const ROOT = resolve(import.meta.dirname, "../..");

export interface Ended { readonly code: number | null; readonly out: string; readonly err: string }

export interface ServerProcess {
  readonly url: string;
  readonly child: ChildProcess;
  /** Everything it has said on stdout so far. */
  readonly said: () => string;
  readonly stop: (signal?: NodeJS.Signals) => Promise<Ended>;
}

function spawnStart(env: Readonly<Record<string, string>>, nodeArgs: readonly string[]): { child: ChildProcess; ended: Promise<Ended>; said: () => string } {
  const child = spawn(process.execPath, [...nodeArgs, "scripts/start.mjs"], { cwd: ROOT, env: { ...process.env, ASLAID_REHEARSAL: "off", ...env }, stdio: ["ignore", "pipe", "pipe"] });
  let out = "";
  let err = "";
  child.stdout.on("data", (chunk: Buffer) => { out += chunk.toString(); });
  child.stderr.on("data", (chunk: Buffer) => { err += chunk.toString(); });
  const ended = once(child, "close").then(([code]): Ended => ({ code: code as number | null, out, err }));
  return { child, ended, said: () => out };
}

/** Runs it where it is expected to end by itself. */
export function runStart(env: Readonly<Record<string, string>>, nodeArgs: readonly string[] = []): Promise<Ended> {
  return spawnStart(env, nodeArgs).ended;
}

/** Starts it on a free port, or a given one, and waits for the line that says it is ready. `env`: settings beyond that. */
export async function startServer(dataFolder: string, port = "0", env: Readonly<Record<string, string>> = {}): Promise<ServerProcess> {
  const { child, ended, said } = spawnStart({ ASLAID_PORT: port, ASLAID_DATA: dataFolder, ASLAID_HOST: "127.0.0.1", ASLAID_LOOKING: "", ...env }, []);
  const ready = new Promise<string>((done) => {
    const look = (): void => {
      const url = /^Aslaid is ready at (http:\/\/\S+)$/m.exec(said())?.[1];
      if (url !== undefined) done(url);
    };
    child.stdout?.on("data", look);
  });
  const failed = ended.then((end): never => { throw new Error(`the server ended with ${end.code}: ${end.out}${end.err}`); });
  const url = await Promise.race([ready, failed]);
  failed.catch(() => undefined);
  return { url, child, said, stop: (signal = "SIGTERM") => { child.kill(signal); return ended; } };
}
