import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { Keeper } from "../../lib/server/live/keeper.ts";
import { livePaths, writeHead } from "../../lib/server/live/liveFolder.ts";
import type { KeepBody } from "../../lib/server/live/keptRun.ts";
import { ROOT } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

const EXAMPLE = join(ROOT, "fixtures", "example-run");
let folder = "";
beforeEach(() => {
  folder = tempFolder();
  for (const id of Array.from({ length: 70 }, (_, i) => `run-${i}`)) {
    mkdirSync(livePaths(folder, id).folder, { recursive: true });
    writeHead(livePaths(folder, id), { jobText: readFileSync(join(EXAMPLE, "job.json"), "utf8"), planFile: "plan.csv", planText: readFileSync(join(EXAMPLE, "plan.csv"), "utf8") });
  }
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const signal = (tS: number): KeepBody => ({ kind: "rows", stream: "signals", bytes: new TextEncoder().encode(JSON.stringify([{ tS, name: "pressureKPa", value: 2 * tS }])) });

describe("the keeper", () => {
  it("answers each of 200 bodies that come the moment another was answered: none waits for ever", async () => {
    const keeper = new Keeper(folder);
    for (let i = 0; i < 200; i++) expect((await keeper.take("run-0", signal(i), null)).accepted).toBe(1);
    await keeper.close();
  });

  it("takes bodies of 70 runs in turns, though no more than 64 journals are open at once", async () => {
    const keeper = new Keeper(folder);
    for (const turn of [1, 2]) for (let i = 0; i < 70; i++) expect(await keeper.take(`run-${i}`, signal(turn), null)).toMatchObject({ accepted: 1, state: { counts: { signal: turn } } });
    await keeper.close();
  });

  it("an end among bodies: what was accepted before it is counted, what comes after is refused as over, and sent again is a duplicate", async () => {
    const keeper = new Keeper(folder), before = [1, 2, 3].map((tS) => keeper.take("run-1", signal(tS), null));
    const end = keeper.end("run-1"), after = [2, 4].map((tS) => keeper.take("run-1", signal(tS), null));
    expect((await Promise.all(before)).map(({ accepted }) => accepted)).toEqual([1, 1, 1]);
    await end;
    expect((await Promise.all(after)).map(({ accepted, duplicates, over }) => ({ kept: accepted + duplicates, over }))).toEqual([{ kept: 1, over: false }, { kept: 1, over: false }]); // they stood in the queue before the end's turn came
    expect(await keeper.take("run-1", signal(9), null)).toMatchObject({ accepted: 0, over: true });
    expect(await keeper.take("run-1", signal(3), null)).toMatchObject({ accepted: 0, duplicates: 1, over: false });
    await keeper.close();
  });

  it("goes on where another process left: 3 kept, the fourth new", async () => {
    const first = new Keeper(folder);
    for (const tS of [1, 2, 3]) await first.take("run-2", signal(tS), null);
    await first.close();
    const second = new Keeper(folder);
    expect(await second.take("run-2", signal(3), null)).toMatchObject({ duplicates: 1 });
    expect(await second.take("run-2", signal(4), null)).toMatchObject({ accepted: 1, state: { counts: { signal: 4 } } });
    await second.close();
  });

  it("a run that never was is store.noRun, and others go on", async () => {
    const keeper = new Keeper(folder), [bad, good] = [keeper.take("nobody", signal(1), null), keeper.take("run-3", signal(1), null)];
    await expect(bad).rejects.toMatchObject({ code: "store.noRun" });
    expect((await good).accepted).toBe(1);
    await keeper.close();
  });
});
