/** What was acknowledged is never lost, whatever dies: the real server, killed with SIGKILL again and again while a print streams in. */
import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { command, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";

/** More on demand: ASLAID_KILLS=200. */
const KILLS = Number(process.env["ASLAID_KILLS"] ?? 30), SEED = 11;

const data = ownData();
const dataFolder = join(data.place, "data");
let token = "", folder = "", expected = "", server: ServerProcess;
beforeAll(async () => {
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "2", "--length", "8", "--fault", "gap@1/2/3-5", "--format", "ndjson", "--rework", "1/1/2-5")).out.trim();
  await command("inspect", folder, "--out", join(data.place, "expected.json"));
  expected = readFileSync(join(data.place, "expected.json"), "utf8");
  token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(dataFolder);
});
afterAll(async () => {
  await server.stop("SIGKILL");
  await data.restore();
});

describe(`SIGKILL at ${KILLS} random instants (seed ${SEED})`, () => {
  it("loses nothing that was acknowledged, doubles nothing that is sent again, and the result is byte for byte that of the recording", { timeout: 600_000 }, async () => {
    const client = new WireClient(() => server.url, token), random = makeRandom(SEED, "kills");
    const runId = await client.makeRun(folder, "once"), bodies = bodiesOf(folder, 60);
    let kills = 0, accepted = 0, lostAnswers = 0;
    const killSoon = async (): Promise<void> => {
      await new Promise((done) => { setTimeout(done, 25 * random.next()); }); // anywhere from before the body is read to after it is answered
      kills++;
      await server.stop("SIGKILL");
      server = await startServer(dataFolder);
    };
    for (const [i, body] of bodies.entries()) {
      const killing = kills < KILLS - 3 && random.next() < (1.3 * (KILLS - 3 - kills)) / (bodies.length - i) ? killSoon() : null;
      const first = await client.send(runId, body).catch(() => null);
      await killing;
      const again = first ?? await client.send(runId, body);
      if (first === null) lostAnswers++;
      expect({ kept: again.accepted + again.duplicates, rejected: again.rejected }).toEqual({ kept: body.count, rejected: [] });
      accepted += again.accepted + (first === null ? again.duplicates : 0);
    }
    while (kills < KILLS) { // the end of the run, cut off as often as is left
      const ending = client.call("POST", `/runs/${runId}/finish`).catch(() => null);
      await killSoon();
      await ending;
    }
    expect(await client.call("POST", `/runs/${runId}/finish`)).toMatchObject({ status: 200 });
    expect(kills).toBe(KILLS);
    expect(lostAnswers).toBeGreaterThan(0);
    expect(accepted).toBe(bodies.reduce((sum, { count }) => sum + count, 0));
    const again = await client.send(runId, bodies[7] as (typeof bodies)[number]);
    expect(again).toEqual({ accepted: 0, duplicates: bodies[7]?.count, rejected: [] });
    const out = join(data.place, "export");
    expect((await command("export", runId, "--out", out)).code).toBe(0);
    expect((await command("verify", out)).code).toBe(0);
    expect(readFileSync(join(out, "result.json"), "utf8") === expected).toBe(true);
    await command("inspect", out, "--out", join(data.place, "again.json"));
    expect(readFileSync(join(data.place, "again.json"), "utf8") === expected).toBe(true);
    rmSync(out, { recursive: true });
  });
});
