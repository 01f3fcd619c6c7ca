/** Starts the wire without the pages (tests/support/wireProcess.ts) as a child process, and steers it. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { rmSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import * as esbuild from "esbuild";
import { ROOT } from "./serverProcess.ts";

/** What a test may do to the program that calls cannot. */
export type WireOrder =
  | { readonly do: "kill"; readonly thread: "engine" | "keeper" | "settle" }
  | { readonly do: "clock"; readonly offsetMs: number }
  | { readonly do: "memory" | "stop" };

export interface WireServer {
  readonly url: string;
  readonly port: number;
  /** Carries an order out; rejects where the program has ended. */
  readonly order: (order: WireOrder) => Promise<Readonly<Record<string, number>>>;
  /** What it has said on stderr so far. */
  readonly complaints: () => string;
  /** Ends it and waits; its exit code. */
  readonly stop: () => Promise<number | null>;
}

/** A program that was asked to stop and does not is killed after so long, ms. */
const STOP_MS = 10_000;

export interface WireBundle { readonly folder: string; readonly remove: () => void }

/** The program and its threads, made once for a test file. Inside the project, so that packages are found. */
export async function bundleWire(): Promise<WireBundle> {
  const folder = join(ROOT, "dist", `wire-${process.pid}`);
  await esbuild.build({
    entryPoints: {
      wire: join(ROOT, "tests", "support", "wireProcess.ts"),
      ...Object.fromEntries(["keeper", "engine", "frame", "settle"].map((name) => [name, join(ROOT, "lib", "server", "live", `${name}Thread.ts`)])),
    }, outdir: folder, outExtension: { ".js": ".mjs" }, chunkNames: "[name]-[hash]",
    absWorkingDir: ROOT, bundle: true, splitting: true, format: "esm", platform: "node", target: "node20", packages: "external", sourcemap: true, logLevel: "warning",
  });
  await esbuild.stop();
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** Starts it over a data folder on a free port of 127.0.0.1; resolves once it answers. */
export async function startWire({ folder }: WireBundle, dataFolder: string, nodeArgs: readonly string[] = []): Promise<WireServer> {
  const child = spawn(process.execPath, ["--expose-gc", "--enable-source-maps", ...nodeArgs, join(folder, "wire.mjs")], {
    cwd: ROOT, env: { ...process.env, ASLAID_ROOT: ROOT, ASLAID_DATA: dataFolder, ASLAID_SIGNING_KEY: "", ASLAID_HOST: "127.0.0.1" }, stdio: ["pipe", "pipe", "pipe"],
  });
  let err = "", isOver = false;
  child.stderr.on("data", (chunk: Buffer) => { err += chunk.toString(); });
  const ended = once(child, "close").then(([code]) => { isOver = true; return code as number | null; });
  const waiting: ((value: Record<string, number>) => void)[] = [];
  createInterface({ input: child.stdout }).on("line", (line) => waiting.shift()?.(JSON.parse(line) as Record<string, number>));
  const answered = (): Promise<Record<string, number>> => Promise.race([
    new Promise<Record<string, number>>((done) => { waiting.push(done); }),
    ended.then((code): never => { throw new Error(`the wire ended with ${code}: ${err}`); }),
  ]);
  const { port } = await answered();
  const order = async (what: WireOrder): Promise<Record<string, number>> => {
    if (isOver) throw new Error(`the wire has ended: ${err}`);
    const answer = answered();
    child.stdin.write(`${JSON.stringify(what)}\n`);
    return answer;
  };
  return {
    url: `http://127.0.0.1:${port}`, port: Number(port), order, complaints: () => err,
    stop: async () => {
      if (!isOver) await order({ do: "stop" }).catch(() => undefined);
      const hard = setTimeout(() => child.kill("SIGKILL"), STOP_MS);
      return ended.finally(() => clearTimeout(hard));
    },
  };
}
