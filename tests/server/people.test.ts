/** People in a real database, through the routes that pages send to: in by links, signed in and out, refused, retired. */
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { POST as entry } from "../../app/api/entry/route.ts";
import { POST as passphraseRoute } from "../../app/api/passphrase/route.ts";
import { POST as people } from "../../app/api/people/route.ts";
import { POST as signInRoute } from "../../app/api/sign-in/route.ts";
import { POST as signOutRoute } from "../../app/api/sign-out/route.ts";
import type { PeopleDeed, Role } from "../../lib/model/person.ts";
import { actorOf, requirePerson, screenActor } from "../../lib/server/people/actor.ts";
import { makeFirstLink, viewLink } from "../../lib/server/people/links.ts";
import { linkLines, peopleLines } from "../../lib/server/people/people.ts";
import { newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { makeToken } from "../../lib/server/tokens.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { asking, cookieFrom, type AskingOptions } from "../support/asking.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { signedInAs } from "../support/people.ts";
import { ownData } from "../support/recorded.ts";

const data = ownData();
const MINUTE_MS = 60_000, HOUR_MS = 60 * MINUTE_MS, START_MS = Date.parse("2026-02-03T09:12:00.000Z");
const PASSPHRASE = "wet paste on machined foam", OTHER = "a strand is laid on a strand";
let admin = "", adminId = "";

beforeAll(() => { vi.useFakeTimers({ toFake: ["Date"], now: START_MS }); });
afterAll(async () => {
  vi.useRealTimers();
  await data.restore();
});
const later = (ms: number): void => { vi.setSystemTime(Date.now() + ms); };

interface Told { readonly status: number; readonly code: string | null; readonly cookie: string; readonly retryAfter: string | null; readonly json: Record<string, unknown> }
async function told(response: Promise<Response>): Promise<Told> {
  const answered = await response, json = await answered.json() as Record<string, unknown> & { problem?: { code: string } | null };
  return { status: answered.status, code: json.problem?.code ?? null, cookie: cookieFrom(answered), retryAfter: answered.headers.get("retry-after"), json };
}
const signIn = (name: string, passphrase: string, options: AskingOptions = {}): Promise<Told> => told(signInRoute(asking("/api/sign-in", { name, passphrase }, options)));
const enter = (path: string | null, name: string, passphrase = PASSPHRASE): Promise<Told> => told(entry(asking("/api/entry", { key: (path ?? "").split("key=")[1] ?? "", name, passphrase })));
const doPeople = (deed: PeopleDeed, cookie = admin): Promise<Told> => told(people(asking("/api/people", deed, { cookie })));
const who = (cookie: string): string | null => actorOf(asking("/", undefined, { cookie }))?.name ?? null;
const statusFor = (name: string): string => { const line = peopleLines().find((each) => each.name === name); return `${line?.roles.join(" ")} ${line?.retiredAt === null ? "in" : "retired"} ${line?.sessionCount}`; };

/** Lets somebody in by an invitation; the cookie of the session. */
async function letIn(name: string, roles: readonly Role[], passphrase = PASSPHRASE): Promise<string> {
  const { json } = await doPeople({ do: "invite", name, roles });
  return (await enter(json["link"] as string, "", passphrase)).cookie;
}
const idOf = (name: string): string => peopleLines().find((line) => line.name === name)?.id ?? "";

let runNumber = 0;
/** A run that is open since now. */
function openRun(): { readonly end: () => void } {
  const { db } = sharedStore(), id = writeRun(db, madeRun(++runNumber, newId, madeResult({ layers: 1, strands: 1, lengthMm: 2, spacingMm: 0.5, widthMm: 0.9, heightMm: 0.4, faults: [] })));
  db.prepare(`UPDATE "Run" SET state = 'live', createdAt = ? WHERE id = ?`).run(nowIso(), id);
  return { end: () => { db.prepare(`UPDATE "Run" SET state = 'finished' WHERE id = ?`).run(id); } };
}

describe("the first link", () => {
  it("of an earlier start counts no more, the newest lets one person in with all four roles, once, and then there is none", async () => {
    const { store } = { store: sharedStore() }, earlier = makeFirstLink(store, nowIso()), path = makeFirstLink(store, nowIso());
    expect(await enter(earlier, "Dana Reyes")).toMatchObject({ status: 410, code: "people.link" });
    expect(viewLink((path ?? "").split("key=")[1] ?? "")).toMatchObject({ kind: "first", name: null });
    expect(await enter(path, "Dana Reyes", "too short")).toMatchObject({ status: 400, code: "people.badValue" });
    later(400 * 24 * HOUR_MS);
    const first = await enter(path, "  Dana   Reyes ");
    expect([first.status, who(first.cookie), statusFor("Dana Reyes")]).toEqual([200, "Dana Reyes", "operator engineer reviewer administrator in 1"]);
    expect(await enter(path, "Somebody Else")).toMatchObject({ status: 410, code: "people.link" });
    expect(makeFirstLink(store, nowIso())).toBeNull();
    admin = first.cookie;
    adminId = idOf("Dana Reyes");
  });

  it("two who take it at once: one is in", async () => {
    const { db } = sharedStore();
    const { json } = await doPeople({ do: "invite", name: "Two At Once", roles: ["operator"] });
    const both = await Promise.all([enter(json["link"] as string, ""), enter(json["link"] as string, "")]);
    expect(both.map(({ status }) => String(status)).toSorted()).toEqual(["200", "410"]);
    expect(db.prepare(`SELECT count(*) FROM "Person" WHERE name = 'Two At Once'`).pluck().get()).toBe(1);
  });

  it("keeps no key, token or passphrase: only hashes stand in the database", () => {
    const { db } = sharedStore(), all = JSON.stringify(["Person", "Session", "EntryLink"].map((table) => db.prepare(`SELECT * FROM "${table}"`).all()));
    expect([all.includes(PASSPHRASE), all.includes(admin.split("=")[1] ?? "-"), all.includes("$argon2id$")]).toEqual([false, false, true]);
  });
});

describe("an invitation", () => {
  beforeEach(() => { admin = signedInAs(sharedStore().db, "Dana Reyes").cookie; });

  it("lets in under the name and the roles that it was made with, whatever is typed, and counts 72 h", async () => {
    const early = await doPeople({ do: "invite", name: "M. Ort", roles: ["reviewer", "operator"] }), late = await doPeople({ do: "invite", name: "Late Comer", roles: ["operator"] });
    expect(linkLines().map(({ name, kind, roles, createdBy }) => [name, kind, roles, createdBy])).toContainEqual(["M. Ort", "invited", ["operator", "reviewer"], "Dana Reyes"]);
    later(72 * HOUR_MS - 1);
    expect([(await enter(early.json["link"] as string, "Administrator")).status, statusFor("M. Ort")]).toEqual([200, "operator reviewer in 1"]);
    later(1);
    expect(await enter(late.json["link"] as string, "")).toMatchObject({ status: 410, code: "people.link" });
    expect(linkLines()).toEqual([]);
  });

  it("taken back lets nobody in", async () => {
    const { json } = await doPeople({ do: "invite", name: "Not Yet", roles: ["operator"] }), [line] = linkLines();
    expect(await doPeople({ do: "takeBackLink", keySha256: line?.keySha256 ?? "" })).toMatchObject({ status: 200 });
    expect(await enter(json["link"] as string, "")).toMatchObject({ status: 410 });
    expect(await doPeople({ do: "takeBackLink", keySha256: line?.keySha256 ?? "" })).toMatchObject({ status: 410, code: "people.link" });
  });

  it("needs a name that nobody has, had, was invited by or sends by, and at least one role", async () => {
    makeToken(sharedStore(), { name: "cell-1", device: null, at: nowIso() });
    await doPeople({ do: "invite", name: "On Her Way", roles: ["operator"] });
    for (const name of ["dana  REYES", "Ｍ. Ort", "on her way", "Cell-1"]) expect(await doPeople({ do: "invite", name, roles: ["operator"] })).toMatchObject({ status: 409, code: "people.taken" });
    for (const name of ["", " ", "aslaid", "Command Line", "screen 4f2c19", "Dana at screen 4f2c19", "a\u200bb", "a\u0000b", "...", "x".repeat(81)]) expect(await doPeople({ do: "invite", name, roles: ["operator"] })).toMatchObject({ status: 400, code: "people.badValue" });
    for (const roles of [[], ["owner"]]) expect(await doPeople({ do: "invite", name: "Well Named", roles })).toMatchObject({ status: 400, code: "people.badValue" });
    expect(() => makeToken(sharedStore(), { name: "Solo", device: null, at: nowIso() })).not.toThrow();
    await letIn("Wiebke", ["operator"]);
    expect(() => makeToken(sharedStore(), { name: "wiebke", device: null, at: nowIso() })).toThrow("a name that no person has");
  });
});

describe("signing in", () => {
  beforeEach(() => {
    admin = signedInAs(sharedStore().db, "Dana Reyes").cookie;
    later(2 * HOUR_MS); // what failed before is forgotten
    admin = signedInAs(sharedStore().db, "Dana Reyes").cookie;
  });

  it("knows name and passphrase, whatever the capitals of the name; the cookie is for this site and no script, Secure by https", async () => {
    const answered = await signInRoute(asking("/api/sign-in", { name: "DANA reyes", passphrase: PASSPHRASE }, { headers: { "x-forwarded-proto": "https" } }));
    expect(answered.headers.getSetCookie()).toEqual([expect.stringMatching(/^aslaid-session=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Secure$/)]);
    expect(who(cookieFrom(answered))).toBe("Dana Reyes");
  });

  it("tells a wrong passphrase, an unknown and a retired name in the same words, and sets no cookie", async () => {
    await letIn("Gone Soon", ["operator"]);
    await doPeople({ do: "retire", personId: idOf("Gone Soon") });
    const all = [await signIn("Dana Reyes", OTHER), await signIn("Nobody At All", PASSPHRASE), await signIn("Gone Soon", PASSPHRASE)];
    expect(all.map(({ status, cookie }) => [status, cookie])).toEqual([[401, ""], [401, ""], [401, ""]]);
    expect(new Set(all.map(({ json }) => JSON.stringify(json))).size).toBe(1);
  });

  it("fails three times for nothing, then asks to wait 1 s, 2 s, 4 s … with 429 and Retry-After, the right passphrase too, a name that is not there the same", async () => {
    for (const [name, address] of [["Dana Reyes", "192.0.2.2"], ["Nobody", "192.0.2.3"]] as const) {
      const statuses: (number | string)[] = [];
      for (let i = 0; i < 4; i++) statuses.push((await signIn(name, OTHER, { address })).status);
      const refused = await signIn(name, PASSPHRASE, { address: "192.0.2.99" }); // from elsewhere, too
      expect([...statuses, refused.status, refused.code, refused.retryAfter]).toEqual([401, 401, 401, 401, 429, "people.wait", "1"]);
      later(1000);
      await signIn(name, OTHER, { address });
      expect((await signIn(name, OTHER, { address })).retryAfter).toBe("2");
    }
    later(2000);
    expect((await signIn("Dana Reyes", PASSPHRASE)).status).toBe(200);
    expect((await signIn("Dana Reyes", OTHER)).status).toBe(401);
  });

  it("many at once are no way around it: of six, four count and the rest wait", async () => {
    const statuses = (await Promise.all([0, 1, 2, 3, 4, 5].map(() => signIn("Dana Reyes", OTHER, { address: "192.0.2.4" })))).map(({ status }) => String(status));
    expect(statuses.toSorted()).toEqual(["401", "401", "401", "401", "429", "429"]);
  });

  it("of one address is free twenty times over all names, then waits", async () => {
    const statuses: number[] = [];
    for (let i = 0; i < 23; i++) statuses.push((await signIn(`Guess ${i}`, OTHER, { address: "192.0.2.5" })).status);
    expect([statuses.slice(0, 21).every((status) => status === 401), statuses.slice(21)]).toEqual([true, [429, 429]]);
    expect((await signIn("Dana Reyes", PASSPHRASE, { address: "192.0.2.6" })).status).toBe(200);
  });

  it("another site's page can sign nobody in or out", async () => {
    const headers = { origin: "http://evil.example" };
    expect(await signIn("Dana Reyes", PASSPHRASE, { headers })).toMatchObject({ status: 403, code: "upload.elsewhere", cookie: "" });
    expect((await told(signOutRoute(asking("/api/sign-out", {}, { cookie: admin, headers })))).status).toBe(403);
    expect(who(admin)).toBe("Dana Reyes");
  });
});

describe("a session", () => {
  beforeEach(() => {
    later(25 * HOUR_MS);
    admin = signedInAs(sharedStore().db, "Dana Reyes").cookie;
  });

  it("is good for 30 min since its last use, to the millisecond", () => {
    later(30 * MINUTE_MS - 1);
    expect(who(admin)).toBe("Dana Reyes");
    later(30 * MINUTE_MS - 1);
    expect(who(admin)).toBe("Dana Reyes");
    later(30 * MINUTE_MS);
    expect(who(admin)).toBeNull();
  });

  it("is not kept alive by a page that asks by itself", () => {
    for (let i = 0; i < 5; i++) {
      later(5 * MINUTE_MS);
      expect(actorOf(asking("/", undefined, { cookie: admin }), false)?.name).toBe("Dana Reyes");
    }
    later(5 * MINUTE_MS);
    expect(who(admin)).toBeNull();
  });

  it("lives through a run that is open, to its end and at most 24 h since its last use", () => {
    const run = openRun();
    later(7 * HOUR_MS);
    expect(actorOf(asking("/", undefined, { cookie: admin }), false)?.name).toBe("Dana Reyes");
    run.end();
    expect(who(admin)).toBeNull();
    const next = signedInAs(sharedStore().db, "Dana Reyes").cookie, another = openRun();
    later(24 * HOUR_MS - 1);
    expect(actorOf(asking("/", undefined, { cookie: next }), false)?.name).toBe("Dana Reyes");
    later(1);
    expect(who(next)).toBeNull();
    another.end();
  });

  it("that had expired is not brought back by a run that begins later", () => {
    later(31 * MINUTE_MS);
    const run = openRun();
    expect(who(admin)).toBeNull();
    run.end();
  });

  it("is ended by signing out: here alone, or everywhere", async () => {
    const { db } = sharedStore(), [one, two, three] = [0, 1, 2].map(() => signedInAs(db, "Dana Reyes").cookie) as [string, string, string];
    const answered = await signOutRoute(asking("/api/sign-out", {}, { cookie: one }));
    expect(answered.headers.getSetCookie()).toEqual(["aslaid-session=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0"]);
    expect([who(one), who(two), who(three)]).toEqual([null, "Dana Reyes", "Dana Reyes"]);
    await signOutRoute(asking("/api/sign-out?everywhere", {}, { cookie: two }));
    expect([who(two), who(three), who(admin)]).toEqual([null, null, null]);
    expect((await told(signOutRoute(asking("/api/sign-out", {})))).status).toBe(200);
  });

  it("of a person is ended by an administrator, by retiring, and by a new passphrase", async () => {
    const { db } = sharedStore(), ort = (): string => signedInAs(db, "M. Ort").cookie;
    for (const deed of ["endSessions", "retire"] as const) {
      const cookie = ort();
      expect(who(cookie)).toBe("M. Ort");
      expect((await doPeople({ do: deed, personId: idOf("M. Ort") })).status).toBe(200);
      expect(who(cookie)).toBeNull();
    }
    await doPeople({ do: "bringBack", personId: idOf("M. Ort") });
    const before = ort(), { json } = await doPeople({ do: "newPassphrase", personId: idOf("M. Ort") }), again = await doPeople({ do: "newPassphrase", personId: idOf("M. Ort") });
    expect(json["link"]).toMatch(/^\/invited\?key=[\w-]{43}$/);
    expect(await enter(json["link"] as string, "", OTHER)).toMatchObject({ status: 410 }); // the later link counts
    const entered = await enter(again.json["link"] as string, "Somebody Else", OTHER);
    expect([who(before), who(entered.cookie), (await signIn("M. Ort", PASSPHRASE)).status, (await signIn("M. Ort", OTHER)).status]).toEqual([null, "M. Ort", 401, 200]);
  });

  it("stays where its person changes the own passphrase, which takes the one before, and ends elsewhere", async () => {
    const here = await letIn("Nora Feld", ["operator"]), elsewhere = signedInAs(sharedStore().db, "Nora Feld").cookie;
    const change = (current: string, passphrase: string, cookie = here): Promise<Told> => told(passphraseRoute(asking("/api/passphrase", { current, passphrase }, { cookie })));
    expect([(await change(OTHER, "another one of five words")).code, (await change(PASSPHRASE, "short")).code, (await change(PASSPHRASE, OTHER, "")).code]).toEqual(["people.wrong", "people.badValue", "people.signIn"]);
    expect((await change(PASSPHRASE, OTHER)).status).toBe(200);
    expect([who(here), who(elsewhere), (await signIn("Nora Feld", OTHER)).status]).toEqual(["Nora Feld", null, 200]);
  });
});

describe("who may do what", () => {
  beforeEach(() => { admin = signedInAs(sharedStore().db, "Dana Reyes").cookie; });

  it("nobody is 401 and a role that does not do is 403, in JSON and plain words", async () => {
    const ort = signedInAs(sharedStore().db, "M. Ort").cookie;
    expect(await doPeople({ do: "retire", personId: adminId }, "")).toMatchObject({ status: 401, code: "people.signIn" });
    expect(await doPeople({ do: "retire", personId: adminId }, ort)).toMatchObject({ status: 403, json: { problem: { code: "people.role", message: "expected the role administrator, got M. Ort, who has operator and reviewer" } } });
    expect(() => requirePerson(asking("/", undefined, { cookie: ort }), "prepare")).toThrow("expected the role engineer");
    expect(requirePerson(asking("/", undefined, { cookie: ort }), "resume")).toMatchObject({ name: "M. Ort", roles: ["operator", "reviewer"] });
  });

  it("the last administrator cannot be retired or lose the role, until there is another; then either goes", async () => {
    const others = peopleLines().filter(({ id, roles }) => id !== adminId && roles.includes("administrator"));
    expect(others).toEqual([]);
    for (const deed of [{ do: "retire", personId: adminId }, { do: "roles", personId: adminId, roles: ["operator"] }] as const) expect(await doPeople(deed)).toMatchObject({ status: 409, code: "people.lastAdministrator" });
    const second = await letIn("Second Administrator", ["administrator"]);
    expect((await doPeople({ do: "roles", personId: adminId, roles: ["engineer", "operator"] }, second)).status).toBe(200);
    expect(statusFor("Dana Reyes")).toMatch(/^operator engineer in /);
    expect(await doPeople({ do: "retire", personId: idOf("Second Administrator") }, second)).toMatchObject({ status: 409, code: "people.lastAdministrator" });
    await doPeople({ do: "roles", personId: adminId, roles: ["operator", "engineer", "reviewer", "administrator"] }, second);
    expect((await doPeople({ do: "retire", personId: idOf("Second Administrator") })).status).toBe(200);
    expect(who(second)).toBeNull();
  });

  it("a person who is not there is 404, and a retired one gets no link", async () => {
    expect(await doPeople({ do: "retire", personId: "none" })).toMatchObject({ status: 404, code: "people.unknown" });
    expect(await doPeople({ do: "newPassphrase", personId: idOf("Second Administrator") })).toMatchObject({ status: 404, code: "people.unknown" });
  });
});

describe("the database", () => {
  it("refuses to delete, rename or replace a person, by whatever statement", () => {
    const { db } = sharedStore(), count = (): unknown => db.prepare(`SELECT count(*) FROM "Person"`).pluck().get(), before = count();
    for (const sql of [
      `DELETE FROM "Person"`, `UPDATE "Person" SET name = name || '2'`, `UPDATE "Person" SET nameKey = nameKey || '2'`, `UPDATE "Person" SET id = id || '2'`, `UPDATE "Person" SET createdAt = ''`,
      `INSERT OR REPLACE INTO "Person" SELECT 'other', name, 'other', rolesJson, passphraseHash, createdAt, retiredAt FROM "Person" LIMIT 1`,
      `REPLACE INTO "Person" SELECT id, 'other', 'other', rolesJson, passphraseHash, createdAt, retiredAt FROM "Person" LIMIT 1`,
      `REPLACE INTO "Person" SELECT 'other', 'other', nameKey, rolesJson, passphraseHash, createdAt, retiredAt FROM "Person" LIMIT 1`,
      `UPDATE OR REPLACE "Person" SET nameKey = (SELECT min(nameKey) FROM "Person")`,
    ]) expect(() => db.exec(sql)).toThrow(/a person (is retired, never deleted|keeps the name)/);
    expect(count()).toBe(before);
  });
});

describe("a screen", () => {
  it("stands in the log for a pause, with the name of whoever is signed in there", () => {
    const screen = "aslaid-screen=AAAAAAAAAAAAAAAAAAAAAA", session = signedInAs(sharedStore().db, "M. Ort").cookie;
    const of = (cookie: string): string => screenActor(asking("/", undefined, { cookie }));
    expect(of(screen)).toMatch(/^screen [0-9a-f]{6}$/);
    expect([of(`${screen}; ${session}`), of(session), of("")]).toEqual([`M. Ort at ${of(screen)}`, "M. Ort at screen", "screen"]);
    expect(of("aslaid-screen=AAAAAAAAAAAAAAAAAAAAAB")).not.toBe(of(screen));
  });

  it("pauses without a name where the database has none to give", () => {
    const said = vi.mocked(console.error), screen = "aslaid-screen=AAAAAAAAAAAAAAAAAAAAAA";
    sharedStore().db.exec(`ALTER TABLE "Session" RENAME TO "Gone"`);
    try {
      expect(screenActor(asking("/", undefined, { cookie: `${screen}; aslaid-session=abc` }))).toMatch(/^screen [0-9a-f]{6}$/);
    } finally {
      sharedStore().db.exec(`ALTER TABLE "Gone" RENAME TO "Session"`);
    }
    expect(said.mock.calls.length).toBe(1);
    said.mockClear();
  });
});
