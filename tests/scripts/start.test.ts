import { spawnSync } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { ROOT, runStart, startServer } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

let folder = "";
beforeEach(() => { folder = tempFolder(); });
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** Processes whose parent is `pid`. */
function childrenOf(pid: number): string[] {
  return spawnSync("ps", ["-o", "pid=", "--ppid", String(pid)]).stdout.toString().split("\n").map((line) => line.trim()).filter((line) => line !== "");
}

describe("npm start", () => {
  it.each(["SIGTERM", "SIGINT"] as const)("answers, then ends by %s within 5 s with exit 0, leaving no process behind", async (signal) => {
    const server = await startServer(join(folder, "data"));
    const answer = await fetch(`${server.url}/`);
    expect(answer.status).toBe(200);
    expect(answer.headers.get("content-security-policy")).toContain("default-src 'none'");
    expect(answer.headers.get("x-content-type-options")).toBe("nosniff");
    expect(answer.headers.get("x-powered-by")).toBeNull();
    const children = childrenOf(server.child.pid as number);
    const askedAt = performance.now();
    const ended = await server.stop(signal);
    expect(ended.code).toBe(0);
    expect(performance.now() - askedAt).toBeLessThan(5000);
    expect(children.filter((pid) => spawnSync("ps", ["-p", pid]).status === 0)).toEqual([]);
    await expect(fetch(server.url)).rejects.toThrow("fetch failed");
  });

  it("ends while an answer is still being read: an open connection does not hold it", async () => {
    const server = await startServer(join(folder, "data"));
    const { connect } = await import("node:net");
    const socket = connect(Number(new URL(server.url).port), "127.0.0.1");
    await new Promise((done) => { socket.once("connect", done); });
    socket.write("GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n");
    socket.on("error", () => undefined);
    const askedAt = performance.now();
    expect((await server.stop()).code).toBe(0);
    expect(performance.now() - askedAt).toBeLessThan(5000);
    socket.destroy();
  });

  it("a taken port is one sentence on stderr and exit 1, before anything is made", async () => {
    const server = await startServer(join(folder, "data"));
    const { port } = new URL(server.url);
    const ended = await runStart({ ASLAID_PORT: port, ASLAID_DATA: join(folder, "other"), ASLAID_HOST: "127.0.0.1" });
    expect(ended).toEqual({ code: 1, out: "", err: `Port ${port} on 127.0.0.1 is taken: stop what runs there, or set ASLAID_PORT to a free port.\n` });
    await server.stop();
  });

  it("a data folder that cannot be written is one sentence and exit 1", async () => {
    writeFileSync(join(folder, "file"), "");
    const ended = await runStart({ ASLAID_PORT: "0", ASLAID_DATA: join(folder, "file", "data") });
    expect(ended.code).toBe(1);
    expect(ended.err).toMatch(/^The data folder .* cannot be written \(ENOTDIR\): .*ASLAID_DATA.*\n$/);
  });

  it("an old Node is one sentence and exit 1", async () => {
    const pretend = "data:text/javascript,Object.defineProperty(process.versions,'node',{value:'18.20.4'})";
    const ended = await runStart({}, ["--import", pretend]);
    expect(ended).toEqual({ code: 1, out: "", err: "Aslaid needs Node 20.19 or newer and this is 18.20.4: install a newer Node and start again.\n" });
  });

  it("a database whose migration was edited is told in one sentence, exit 1", async () => {
    const server = await startServer(join(folder, "data"));
    await server.stop();
    const { default: Database } = await import("better-sqlite3");
    const db = new Database(join(folder, "data", "aslaid.db"));
    db.exec("UPDATE _prisma_migrations SET checksum = 'other'");
    db.close();
    const ended = await runStart({ ASLAID_PORT: "0", ASLAID_DATA: join(folder, "data") });
    expect(ended.code).toBe(1);
    expect(ended.err).toMatch(/^The database cannot be opened: expected the file as it was applied .*\n$/);
  });
});

describe("commands", () => {
  const launch = (cwd: string, ...args: string[]) => spawnSync(process.execPath, [join(ROOT, "scripts", "launch.mjs"), ...args], { cwd, encoding: "utf8", env: { ...process.env, ASLAID_DATA: "data" } });

  it("put results alone on stdout, and take relative paths and a relative ASLAID_DATA as the caller's", () => {
    const made = launch(folder, "rehearse", "--out", "run", "--seed", "21", "--strands", "1", "--length", "4", "--points", "120", "--dx", "0.06");
    expect([made.status, made.stdout]).toEqual([0, "run\n"]);
    const brought = launch(folder, "import", "run");
    expect(brought.status).toBe(0);
    expect(brought.stdout).toMatch(/^[0-9a-f-]{36}\n$/);
    expect(spawnSync("ls", [join(folder, "data", "aslaid.db")]).status).toBe(0);
  });

  it("works beside a running server, which then shows the run", async () => {
    const server = await startServer(join(folder, "data"));
    launch(folder, "rehearse", "--out", "run", "--seed", "22", "--strands", "1", "--length", "5", "--points", "120", "--dx", "0.06");
    const runId = launch(folder, "import", "run").stdout.trim();
    const page = await fetch(`${server.url}/runs/${runId}`);
    expect([page.status, (await page.text()).includes("laid stations measured")]).toEqual([200, true]);
    await server.stop();
  });
});
