/** The surface of runs that are kept, as the pages' routes answer for it. */
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { GET } from "../../app/api/runs/[id]/surface/route.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";
import { asLaidPly } from "../../lib/report/asLaidPly.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { readSurfaceSection } from "../../lib/server/surface.ts";
import { measureAsLaid } from "../support/asLaidRun.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), { place } = data;
const SETTINGS = { seed: 201, strands: 3, lengthMm: 10, surface: "mandibleAngle", rework: [{ layer: 1, strand: 2, fromMm: 3, toMm: 6 }] } as const;
let runId = "", resultId = "";
beforeAll(async () => {
  writeRunFolder(simulate(SETTINGS), join(place, "run"), "arrow");
  runId = (await command("import", join(place, "run"))).out.trim();
  resultId = sharedStore().db.prepare<[string], string>(`SELECT id FROM "Result" WHERE runId = ?`).pluck().get(runId)!;
});
afterAll(() => data.restore());

const ask = (id: string, query = "", headers: Record<string, string> = {}): Promise<Response> => GET(new Request(`http://127.0.0.1:4312/api/runs/${id}/surface${query}`, { headers: { host: "127.0.0.1:4312", ...headers } }), { params: Promise.resolve({ id }) });

describe("GET /api/runs/ID/surface", () => {
  it("sends the file asLaid-ID.ply, byte for byte what the sections in memory make, of the newest attempts alone (seed 201: a stretch laid twice)", async () => {
    const response = await ask(runId), run = measureAsLaid(SETTINGS);
    expect(response.status).toBe(200);
    expect(response.headers.get("content-disposition")).toBe(`attachment; filename="asLaid-${runId}.ply"`);
    expect(response.headers.get("cache-control")).toBe("no-store");
    const strands = run.plan.strands.map((strand) => ({ place: run.rowsOf(strand).place, rows: () => run.rowsOf(strand).rows }));
    const { name } = sharedStore().db.prepare<[string], { name: string }>(`SELECT name FROM "Run" WHERE id = ?`).get(runId)!;
    const made = Buffer.concat([...asLaidPly({ runId, resultId, name, stamp: "REHEARSAL: invented data" }, strands)]);
    expect(run.result.stations.some(({ attempt }) => attempt === 2)).toBe(true);
    expect(Buffer.from(await response.arrayBuffer()).equals(made)).toBe(true);
  });

  it("of the result that is named, and 404 for one of another run, no such run, and an id that is none", async () => {
    const named = await ask(runId, `?result=${resultId}`);
    expect(named.status).toBe(200);
    await named.body?.cancel();
    for (const [id, query] of [[runId, "?result=other"], ["none", ""], ["'; DROP TABLE Run", ""]] as const) {
      const response = await ask(id, query);
      expect([response.status, ((await response.json()) as { problem: { code: string } }).problem.code]).toEqual([404, "store.noRun"]);
    }
  });

  it("is refused to a page of another site by its host", async () => {
    expect((await ask(runId, "", { host: "evil.example" })).status).toBe(403);
  });
});

describe("section surface of a kept run", () => {
  it("says how much of the planned top was measured and has a map of its one layer", async () => {
    const section = await readSurfaceSection(runId, null);
    expect(section.id).toBe("surface");
    expect(section.blocks.filter(({ kind }) => kind === "drawing")).toHaveLength(1);
    expect(section.blocks[0]).toMatchObject({ kind: "words", text: expect.stringMatching(/^Of the planned top of what was laid, 9\d\.\d\s%/) });
  });
});
