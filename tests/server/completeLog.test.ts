/** What a run's log says beside what came and what was asked: the server that kept it, who was there, when a command was handed over. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { LogKind } from "../../lib/model/log.ts";
import { nameKeyOf } from "../../lib/model/person.ts";
import { aboutServer } from "../../lib/server/about.ts";
import { makeLiveRun } from "../../lib/server/live/newRun.ts";
import { hashPassphrase } from "../../lib/server/people/passphrase.ts";
import { doPeople } from "../../lib/server/people/people.ts";
import { signIn, signOut } from "../../lib/server/people/signIn.ts";
import type { Actor } from "../../lib/server/people/actor.ts";
import { recordOf } from "../../lib/server/record.ts";
import { readEntries, readEntriesOf } from "../../lib/store/logTable.ts";
import { addPerson, setRetired } from "../../lib/store/people.ts";
import { sha256Hex } from "../../lib/log/hash.ts";
import { asking, cookieFrom } from "../support/asking.ts";
import { startLiveServer, type LiveServer } from "../support/liveServer.ts";
import { JOB, PLAN } from "../support/madeLiveJob.ts";

let server: LiveServer, runId = "", personId = "";
const PASSPHRASE = "wet paste on machined foam", NAME = "Dana Reyes";
beforeAll(async () => {
  server = await startLiveServer();
  personId = "person-1";
  addPerson(server.store.db, { id: personId, name: NAME, nameKey: nameKeyOf(NAME), roles: ["operator", "reviewer"], passphraseHash: await hashPassphrase(PASSPHRASE), createdAt: new Date().toISOString() });
});
afterAll(() => server.close());

const come = async (): Promise<Actor> => {
  const token = cookieFrom(await signIn(asking("/", {}), { name: NAME, passphrase: PASSPHRASE }, server.store)).split("=")[1] ?? "";
  return { personId, name: NAME, roles: ["operator", "reviewer"], tokenSha256: sha256Hex(token) };
};
const go = (actor: Actor): Response => signOut(asking("/", {}), actor, false, server.store);
const kinds = (only: readonly LogKind[]): string[] => [...readEntries(server.store.db, runId)].filter(({ kind }) => only.includes(kind)).map(({ kind }) => kind);
const create = (): Promise<string> => server.hub.createRun({ job: JOB, planText: PLAN, planFormat: "csv" }, null, NAME);

describe("the log of a run over the wire", () => {
  it("begins with who made it, what the server is, and who is signed in then, each person once", async () => {
    const [first, second] = [await come(), await come()];
    runId = await create();
    expect([...readEntries(server.store.db, runId)].map(({ kind, actor }) => [kind, actor])).toEqual([["run.created", NAME], ["server.began", "aslaid"], ["person.signedIn", NAME]]);
    expect(readEntriesOf(server.store.db, runId, "server.began")[0]?.payload).toEqual({ version: "0.0.1", build: "made-for-a-test", settings: { looking: "free" } });
    expect(readEntriesOf(server.store.db, runId, "person.signedIn")[0]?.payload).toEqual({ person: NAME, roles: ["operator", "reviewer"] });
    go(first);
    expect(kinds(["person.signedOut"])).toEqual([]); // there is another browser
    go(second);
    expect(readEntriesOf(server.store.db, runId, "person.signedOut").map(({ actor, payload }) => [actor, payload.person])).toEqual([[NAME, NAME]]);
  });

  it("says who comes and goes while it is open, and that a retired person is gone", async () => {
    await come();
    doPeople({ do: "retire", personId }, { name: "Ad Min" }, server.store);
    setRetired(server.store.db, personId, null);
    expect(kinds(["person.signedIn", "person.signedOut"])).toEqual(["person.signedIn", "person.signedOut", "person.signedIn", "person.signedOut"]);
  });

  it("says when a command was handed to the cell, once, between asking and receipt", async () => {
    server.hub.ask(runId, { kind: "pause", at: "now", retractMm: 0, reason: "look" }, "screen 4f2c19");
    for (let i = 0; i < 2; i++) await server.hub.commands(runId, 0, 0, new AbortController().signal);
    server.hub.receive(runId, 1, { outcome: "refused", tS: 3, note: "homing" }, "cell-1");
    expect(kinds(["command.asked", "command.sent", "command.receipt"])).toEqual(["command.asked", "command.sent", "command.receipt"]);
    expect(readEntriesOf(server.store.db, runId, "command.sent")[0]?.payload).toEqual({ n: 1 });
  });

  it("says that a server began again while it was open, and nothing more of who comes once it is over", async () => {
    server.hub.resume();
    expect(kinds(["server.began"])).toHaveLength(2);
    await server.hub.finish(runId);
    const { count } = recordOf(runId, server.store);
    server.hub.resume();
    go(await come());
    expect(recordOf(runId, server.store)).toMatchObject({ whole: true, count });
  });
});

describe("what a server says of itself", () => {
  it("is its version, the folder that its bundle lies in, and settings that bear on a run without a secret", () => {
    const about = aboutServer("file:///srv/aslaid/dist/commands/0a1b2c3d4e5f6071/command.mjs");
    expect(about.version).toMatch(/^\d+\.\d+\.\d+$/);
    expect(about.build).toBe("0a1b2c3d4e5f6071");
    expect(Object.keys(about.settings).sort()).toEqual(["looking", "own runs", "rehearsal", "signing key"]);
  });

  it("names no path: a key file of one's own is said to be one", () => {
    process.env["ASLAID_SIGNING_KEY"] = "/keys/secret.pem";
    expect(JSON.stringify(aboutServer("file:///a/b/c.mjs"))).not.toContain("secret");
    delete process.env["ASLAID_SIGNING_KEY"];
  });

  it("a run is made without anybody signed in, and then names nobody", () => {
    const { store, folder } = server;
    const id = makeLiveRun(store, { body: { job: JOB, planText: PLAN, planFormat: "csv" }, idempotencyKey: null, actor: "cell-1", dataFolder: folder, newId: () => "run-x", at: "2026-02-03T09:12:00.000Z", began: [] });
    expect([...readEntries(store.db, id)].map(({ kind }) => kind)).toEqual(["run.created"]);
  });
});
