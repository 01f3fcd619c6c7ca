/** The real server bound to more than this machine: nobody looks without signing in, and a pause goes all the same. */
import { readdirSync, statSync } from "node:fs";
import { join, relative } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { sharedStore } from "../../lib/server/settings.ts";
import { newestCommands } from "../../lib/store/commandTable.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";
import { signedInAs } from "../support/people.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";
import { WireClient } from "../support/wireClient.ts";

const data = ownData();
let server: ServerProcess, client: WireClient, importedId = "", liveId = "", dana = "";
beforeAll(async () => {
  importedId = (await command("import", EXAMPLE)).out.trim();
  const token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(join(data.place, "data"), "0", { ASLAID_HOST: "0.0.0.0", ASLAID_LOOKING: "free" });
  client = new WireClient(() => server.url, token);
  liveId = await client.makeRun(EXAMPLE, "one");
});
afterAll(async () => {
  await server.stop("SIGKILL");
  await data.restore();
});

interface Said { readonly status: number; readonly location: string | null; readonly text: string }
async function ask(path: string, { cookie = "", method = "GET", body, headers = {} }: { readonly cookie?: string; readonly method?: string; readonly body?: object; readonly headers?: Record<string, string> } = {}): Promise<Said> {
  const response = await fetch(`${server.url}${path}`, { method, redirect: "manual", headers: { origin: server.url, cookie, ...headers }, ...(body === undefined ? {} : { body: JSON.stringify(body) }) });
  return { status: response.status, location: response.headers.get("location"), text: await response.text() };
}

/** Every address of app/ that a page or route answers, with ids of runs that are kept. */
function addressesOf(name: "page.tsx" | "route.ts"): string[] {
  const found: string[] = [], app = join(ROOT, "app");
  const walk = (folder: string): void => {
    for (const each of readdirSync(folder)) {
      if (statSync(join(folder, each)).isDirectory()) walk(join(folder, each));
      else if (each === name) found.push(`/${relative(app, folder)}`.replaceAll("[id]", importedId));
    }
  };
  walk(app);
  return found;
}

describe("bound to 0.0.0.0", () => {
  it("says in one line that looking needs sign-in, and in one how the first person comes in", () => {
    expect(server.said()).toContain("\nLooking needs sign-in: 0.0.0.0 is more than this machine alone. Pause and abort never do.\n");
    expect(server.said()).toMatch(/\nNobody can sign in yet\. The first person comes in, once, at http:\/\/0\.0\.0\.0:\d+\/first\?key=[\w-]{43}\n/);
  });

  it("every page leads to sign in and back, tells nothing of a run on the way, and the three by which people come in are free", async () => {
    const pages = addressesOf("page.tsx"), free = ["/sign-in", "/first", "/invited"];
    expect(pages.length).toBeGreaterThanOrEqual(8);
    for (const path of pages.filter((each) => !free.includes(each))) {
      const said = await ask(path);
      expect([path, said.status, said.location]).toEqual([path, 307, `/sign-in?next=${encodeURIComponent(path)}`]);
      expect(said.text).not.toContain("worked example");
      const parts = await ask(path, { headers: { rsc: "1" } }); // as a link of a page asks
      expect([path, parts.status === 307 || parts.text.includes("/sign-in?next="), parts.text.includes("worked example")]).toEqual([path, true, false]);
    }
    for (const path of free) expect([path, (await ask(path)).status]).toEqual([path, 200]);
    const built = /\/_next\/static\/[\w./~-]+\.css/.exec((await ask("/sign-in")).text)?.[0] ?? "none";
    expect((await ask(built)).status).toBe(200);
  });

  it("every GET of a route answers 401 in JSON, and so does every POST but those by which people come in and out", async () => {
    for (const path of addressesOf("route.ts")) {
      const said = await ask(path);
      if (said.status === 405) continue; // it has no GET
      expect([path, said.status, (JSON.parse(said.text) as { problem: { code: string } }).problem.code]).toEqual([path, 401, "people.signIn"]);
    }
    const open = ["/api/sign-in", "/api/sign-out", "/api/entry", `/api/live/${importedId}/commands`];
    for (const path of addressesOf("route.ts").filter((each) => !open.includes(each))) {
      const said = await ask(path, { method: "POST", body: {} });
      if (said.status !== 405) expect([path, said.status]).toEqual([path, 401]);
    }
  });

  it("whoever is signed in looks, whatever the role, and a token of a device is no session", async () => {
    dana = signedInAs(sharedStore().db, "Dana Reyes", { roles: ["reviewer"] }).cookie;
    expect((await ask(`/runs/${importedId}`, { cookie: dana })).text).toContain("worked example");
    expect([(await ask("/", { cookie: dana })).status, (await ask("/", { cookie: "aslaid-session=abc" })).status, (await ask("/", { headers: { authorization: "Bearer abc" } })).status]).toEqual([200, 307, 307]);
  });

  it("a pause and an abort are asked by nobody in particular; a resume is refused, to nobody with 401 and to a role without it with 403", async () => {
    const commands = (body: object, cookie = ""): Promise<Said> => ask(`/api/live/${liveId}/commands`, { method: "POST", body, cookie });
    expect([(await commands({ kind: "pause", at: "now" })).status, (await commands({ kind: "abort" }, "aslaid-session=abc")).status]).toEqual([200, 200]);
    expect(newestCommands(sharedStore().db, liveId, 5).map(({ actor, body }) => [body.kind, /^screen [0-9a-f]{6}$/.test(actor)])).toEqual([["abort", true], ["pause", true]]);
    const resume = { kind: "resume", layer: 1, strand: 1, sMm: 1, overlapMm: 1 };
    expect([(await commands(resume)).status, (await commands(resume, dana)).status]).toEqual([401, 403]);
  });

  it("the sign-in page offers a pause while a print goes on, and names no run", async () => {
    await client.send(liveId, { path: "progress", type: "application/json", text: JSON.stringify([{ tS: 1, layer: 1, strand: 1, sMm: 0, event: "start" }]), count: 1 });
    const { text } = await ask("/sign-in");
    expect([text.includes("A print goes on. To pause or abort it takes no name."), text.includes("worked example"), text.includes("Dana Reyes")]).toEqual([true, false, false]);
  });

  it("an event stream ends when its session does, and is not given again", async () => {
    const { db } = sharedStore(), session = signedInAs(db, "M. Ort");
    const response = await fetch(`${server.url}/api/live/${liveId}/events`, { headers: { cookie: session.cookie } });
    expect(response.status).toBe(200);
    db.prepare(`UPDATE "Session" SET revokedAt = ? WHERE personId = ?`).run("2026-02-03T09:12:00.000Z", session.personId);
    const reader = (response.body as ReadableStream<Uint8Array>).getReader(), beganMs = performance.now();
    while (!(await reader.read()).done) expect(performance.now() - beganMs).toBeLessThan(10_000);
    expect((await ask(`/api/live/${liveId}/events`, { cookie: session.cookie })).status).toBe(401);
  });
});
