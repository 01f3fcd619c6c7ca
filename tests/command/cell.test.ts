/** `rehearse --live` and `--cause` over real sockets and a real clock, 20 times as fast. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { rehearse } from "../../lib/command/rehearse.ts";
import { CellServer } from "../support/cellServer.ts";
import { FakeClock } from "../support/fakeClock.ts";

/** The server's own clock is the real one here: its polls end after waitS. */
class RealClock extends FakeClock {
  override nowMs(): number { return performance.now(); }
  override sleep(ms: number, signal: AbortSignal): Promise<void> {
    return new Promise((done) => {
      const timer = setTimeout(done, ms);
      signal.addEventListener("abort", () => { clearTimeout(timer); done(); }, { once: true });
    });
  }
}

const TINY = ["--strands", "1", "--length", "3", "--points", "24", "--dx", "0.5", "--no-support-scan"];
let server: CellServer, url = "", place = "";
beforeEach(async () => {
  place = mkdtempSync(join(tmpdir(), "cell-"));
  server = new CellServer(new RealClock());
  url = await server.listen();
  process.env.ASLAID_TOKEN = "token-7";
});
afterEach(async () => {
  delete process.env.ASLAID_TOKEN;
  rmSync(place, { recursive: true, force: true });
  await server.close();
});

interface Ran { readonly code: number; readonly out: string; readonly err: readonly string[] }
/** Runs the command; `heard` is told each line of stderr as it comes. */
async function run(argv: readonly string[], heard: (line: string) => void = () => undefined): Promise<Ran> {
  let out = "";
  const err: string[] = [];
  const code = await rehearse(argv, { out: async (text) => { out += text; }, err: (line) => { err.push(line); heard(line); }, nowMs: () => performance.now() });
  return { code, out, err };
}

describe("rehearse --live", () => {
  it("prints the run id alone on stdout, its progress on stderr, and exits 0 when the run is finished", async () => {
    const { code, out, err } = await run(["--live", url, "--pace", "20", ...TINY]);
    expect([code, out, server.finished]).toEqual([0, "run 1\n", true]);
    expect(err).toEqual([expect.stringMatching(/laying strand 1 of layer 1/), "The run is finished."]);
  });

  it("takes the token from a file before the environment, and parts of the job from another; a wrong token is refused: exit 1", async () => {
    const token = join(place, "token"), job = join(place, "job.json");
    writeFileSync(token, "token-7\n");
    writeFileSync(job, JSON.stringify({ policy: { watchdogs: { cellSilenceS: 4 } } }));
    process.env.ASLAID_TOKEN = "another";
    expect((await run(["--live", url, "--pace", "20", "--token-file", token, "--job", job, "--syringe", "777", ...TINY])).code).toBe(0);
    expect(JSON.parse(server.to(/\/runs$/)[0]!.body.toString())).toMatchObject({ job: { policy: { watchdogs: { cellSilenceS: 4 } }, material: { syringeVolumeMm3: 777 } } });
    const refused = await run(["--live", url, ...TINY]);
    expect([refused.code, refused.out, refused.err]).toEqual([1, "", [expect.stringMatching(/^Given up: POST \/runs was answered with 401/)]]);
  });

  it("aborted by command: exit 1", async () => {
    server.commands = [{ n: 1, kind: "abort", reason: "test" }];
    const { code, err } = await run(["--live", url, "--pace", "20", ...TINY]);
    expect([code, err.at(-1)]).toEqual([1, "The run was aborted."]);
  });

  it("SIGTERM: it is over within 2 s, exit 1, and nothing is finished", async () => {
    let askedMs = 0;
    const { code, err } = await run(["--live", url, ...TINY, "--length", "100"], (line) => {
      if (!line.includes("laying strand")) return;
      askedMs = performance.now();
      process.emit("SIGTERM");
    });
    expect([code, err.at(-1), server.finished, performance.now() - askedMs < 2000]).toEqual([1, "Stopped: the run is left as it is, not finished.", false, true]);
    expect(process.listenerCount("SIGTERM")).toBe(0);
  });

  it("its training desk takes causes from the command: done is 0, what cannot be now is 1", async () => {
    const causes: Promise<Ran>[] = [];
    const { code, err } = await run(["--live", url, "--control", "0", ...TINY], (line) => {
      const [, address] = /^Training desk at (http:\/\/127\.0\.0\.1:\d+)$/.exec(line) ?? [];
      if (address === undefined) return;
      causes.push(run(["--cause", "clog", "--cell", address]), run(["--cause", "clog", "--cell", address, "--undo"]), run(["--cause", "takeOff@1/1/1-2", "--cell", address]));
    });
    const [done, undone, notNow] = await Promise.all(causes);
    expect(done).toEqual({ code: 0, out: "Clog the nozzle: flow falls to 0.3 of what is asked\n", err: [] });
    expect(undone).toEqual({ code: 0, out: "Clear the nozzle: done\n", err: [] });
    expect(notNow).toEqual({ code: 1, out: "", err: [expect.stringMatching(/Not now: /)] });
    expect([code, err.some((line) => line.includes("Clog the nozzle"))]).toEqual([0, true]);
  });

  it("--cause where nobody listens: exit 1 and one sentence", async () => {
    expect(await run(["--cause", "clog", "--cell", "http://127.0.0.1:1"])).toEqual({ code: 1, out: "", err: ["No training desk answers at http://127.0.0.1:1."] });
  });

  it.each([
    [["--live", "URL", "--out", "x"], "--live"],
    [["--live", "URL", "--cause", "clog"], "--cause"],
    [["--live", "ftp://host"], "--live"],
    [["--live", "URL", "--pace", "0.99"], "--pace"],
    [["--live", "URL", "--pace", "20.1"], "--pace"],
    [["--live", "URL", "--control", "65536"], "--control"],
    [["--live", "URL", "--control", "1.5"], "--control"],
    [["--live", "URL", "--syringe", "0"], "--syringe"],
    [["--live", "URL", "--token-file", "nowhere"], "--token-file"],
    [["--live", "URL", "--job", "nowhere"], "--job"],
    [["--live", "URL", "--rework", "1/1/1-2"], "--rework"],
    [["--live", "URL", "--no-progress"], "--no-progress"],
    [["--live", "URL", "--fault", "gap@1/9/1-2"], "--fault"],
    [["--live", "URL", "--width", "9"], "--width"],
    [["--live", "URL", "--undo"], "--undo"],
    [["--out", "x", "--pace", "2"], "--pace"],
    [["--cause", "fire", "--cell", "http://127.0.0.1:1"], "--cause"],
    [["--cause", "clog"], "--cell"],
    [["--cause", "drag", "--cell", "http://127.0.0.1:1", "--undo"], "undo"],
  ])("%j ends with 2 and one error that names %s, and asks the server for nothing", async (argv, named) => {
    const { code, out, err } = await run(argv.map((text) => (text === "URL" ? url : text)));
    expect([code, out, err.length, server.calls.length]).toEqual([2, "", 1, 0]);
    expect(err[0]).toMatch(/^command\.usage: expected /);
    expect(err[0]).toContain(named);
  });

  it("without a token it ends with 2; a job file with a stray key names it", async () => {
    const job = join(place, "job.json");
    writeFileSync(job, '{"devices":[]}');
    expect((await run(["--live", url, "--job", job])).err[0]).toContain('"devices"');
    delete process.env.ASLAID_TOKEN;
    const { code, err } = await run(["--live", url]);
    expect([code, err[0]]).toEqual([2, expect.stringContaining("ASLAID_TOKEN")]);
  });
});
