/** Recomputes that pages ask for: their order, what is told of them, and their end. The measuring is played. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { RecomputeCall, Recomputer } from "../../lib/server/recompute/recomputeMessages.ts";
import { makeRecomputes } from "../../lib/server/recompute/recomputes.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";

const data = ownData();
let runId = "", otherId = "";
beforeAll(async () => {
  runId = (await command("import", EXAMPLE)).out.trim();
  await command("rehearse", "--out", `${data.place}/other`, "--seed", "81", "--strands", "1", "--length", "3", "--points", "60", "--dx", "0.1");
  otherId = (await command("import", `${data.place}/other`)).out.trim();
});
afterAll(() => data.restore());

const callOf = (id: string): RecomputeCall => ({ runId: id, bands: { tolerance: { gapRatio: 0.3 } }, reason: "r", actor: "Zoë Öz" });

/** A measuring that a test ends, and what was asked of it. */
function played(): { readonly recompute: Recomputer; readonly asked: string[]; readonly end: (id: string, with_: string | Error) => void; readonly hear: (count: number, untilS: number) => void } {
  const asked: string[] = [], ends = new Map<string, (with_: string | Error) => void>();
  let heard: (count: number, untilS: number) => void = () => undefined;
  return {
    asked, end: (id, with_) => ends.get(id)?.(with_), hear: (count, untilS) => heard(count, untilS),
    recompute: (call, { signal, heard: tell }) => new Promise((done, fail) => {
      asked.push(call.runId);
      heard = tell;
      ends.set(call.runId, (with_) => { if (typeof with_ === "string") done(with_); else fail(with_); });
      signal.addEventListener("abort", () => fail(signal.reason as Error));
    }),
  };
}
const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return (error as InputError).code;
  }
  return "none";
};

describe("recomputes", () => {
  it("go one after another, one of a run at a time, and tell how far they are and what came of them", async () => {
    const play = played(), recomputes = makeRecomputes(play.recompute, () => undefined);
    expect(recomputes.read(runId)).toBeNull();
    expect(recomputes.begin(callOf(runId)).step).toBe("waiting");
    recomputes.begin(callOf(otherId));
    await expect.poll(() => recomputes.read(runId)?.step).toBe("measuring");
    expect([codeOf(() => recomputes.begin(callOf(runId))), play.asked, recomputes.read(otherId)?.step]).toEqual(["upload.busy", [runId], "waiting"]);
    play.hear(4096, 12.5);
    expect(recomputes.read(runId)).toMatchObject({ step: "measuring", messageCount: 4096, untilS: 12.5 });
    play.end(runId, "result-1");
    await expect.poll(() => recomputes.read(otherId)?.step).toBe("measuring");
    expect(recomputes.read(runId)).toMatchObject({ step: "done", resultId: "result-1", problem: null });
    play.end(otherId, new InputError("source.diskFull", "room", "none", {}));
    await expect.poll(() => recomputes.read(otherId)).toMatchObject({ step: "failed", problem: { code: "source.diskFull" } });
    recomputes.begin(callOf(runId));
    await expect.poll(() => play.asked).toEqual([runId, otherId, runId]);
  });

  it("a fault of the program is told as one without a reason and is complained of; what cannot be is refused at once", async () => {
    const play = played(), complaints: unknown[] = [], recomputes = makeRecomputes(play.recompute, (error) => complaints.push(error)), bug = new Error("killed");
    expect(codeOf(() => recomputes.begin({ ...callOf(runId), reason: "" }))).toBe("log.badValue");
    expect(recomputes.read(runId)).toBeNull();
    recomputes.begin(callOf(runId));
    await expect.poll(() => play.asked.length).toBe(1);
    play.end(runId, bug);
    await expect.poll(() => recomputes.read(runId)).toMatchObject({ step: "failed", problem: null });
    expect(complaints).toEqual([bug]);
  });

  it("the server’s end ends the one that goes on and the one that waits", async () => {
    const play = played(), recomputes = makeRecomputes(play.recompute, () => undefined);
    recomputes.begin(callOf(runId));
    recomputes.begin(callOf(otherId));
    await expect.poll(() => play.asked.length).toBe(1);
    await recomputes.close();
    expect([recomputes.read(runId), recomputes.read(otherId), play.asked]).toMatchObject([{ step: "failed", problem: { code: "source.stopped" } }, { step: "failed", problem: { code: "source.stopped" } }, [runId]]);
  });
});
