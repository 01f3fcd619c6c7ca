/** The example clients, as they stand in docs/clients, stream a rehearsed print (seed 23, an invented gap and a stretch laid again) to the real server. */
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { command, ownData } from "../support/recorded.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";
import { WireClient } from "../support/wireClient.ts";

const PYTHON = "python3";
const CLIENTS = [["JavaScript", process.execPath, "docs/clients/stream.mjs"], ["Python", PYTHON, "docs/clients/stream.py"]] as const;

const data = ownData();
let token = "", folder = "", expected = "", server: ServerProcess;
beforeAll(async () => {
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "23", "--strands", "2", "--length", "8", "--fault", "gap@1/2/3-5", "--format", "ndjson", "--rework", "1/1/2-5")).out.trim();
  await command("inspect", folder, "--out", join(data.place, "expected.json"));
  expected = readFileSync(join(data.place, "expected.json"), "utf8");
  token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(join(data.place, "data"));
});
afterAll(async () => {
  await server.stop("SIGKILL");
  await data.restore();
});

interface Ended { readonly code: number | null; readonly out: string; readonly err: string }

function begin(program: string, file: string, run: string, url: string, env: Record<string, string> = { TOKEN: token }): Promise<Ended> {
  const child = spawn(program, [join(ROOT, file), run, url], { env: { NODE_ENV: "test", PATH: process.env["PATH"], ...env }, stdio: ["ignore", "pipe", "pipe"] });
  let out = "", err = "";
  child.stdout.on("data", (chunk: Buffer) => { out += chunk.toString(); });
  child.stderr.on("data", (chunk: Buffer) => { err += chunk.toString(); });
  return once(child, "close").then(([code]): Ended => ({ code: code as number | null, out, err }));
}

/** Whether an export of the run is whole and holds the result that inspecting the recording gave. */
async function isSame(runId: string, out: string): Promise<boolean> {
  expect((await command("export", runId, "--out", out)).code).toBe(0);
  expect((await command("verify", out)).code).toBe(0);
  return readFileSync(join(out, "result.json"), "utf8") === expected;
}

it("python3 is there", () => {
  expect(spawnSync(PYTHON, ["--version"]).status).toBe(0);
});

describe.each(CLIENTS)("the client in %s", (name, program, file) => {
  it("streams the folder, prints the run's id, and the result is that of inspect byte for byte", async () => {
    const { code, out, err } = await begin(program, file, folder, server.url);
    expect({ code, err }).toEqual({ code: 0, err: "" });
    expect(await isSame(out.trim(), join(data.place, `export-${name}`))).toBe(true);
  });

  it("a server that is killed and started again in between costs nothing: what was not acknowledged is sent again", { timeout: 180_000 }, async () => {
    const port = new URL(server.url).port, ended = begin(program, file, folder, server.url);
    const client = new WireClient(() => server.url, token);
    await expect.poll(async () => (await client.call("GET", "/health")).json, { timeout: 20_000 }).toMatchObject({ status: "ok", liveRuns: 1 });
    await server.stop("SIGKILL");
    server = await startServer(join(data.place, "data"), port);
    const { code, out, err } = await ended;
    expect({ code, err }).toEqual({ code: 0, err: "" });
    expect(await isSame(out.trim(), join(data.place, `export-again-${name}`))).toBe(true);
  });

  it("without a token it says how it is called; with a wrong one it ends with what the server said", async () => {
    expect(await begin(program, file, folder, server.url, {})).toMatchObject({ out: "", err: expect.stringMatching(/^usage: TOKEN=/) as string });
    const { code, err } = await begin(program, file, folder, server.url, { TOKEN: "x".repeat(40) });
    expect(code).not.toBe(0);
    expect(err).toMatch(/401/);
  });
});
