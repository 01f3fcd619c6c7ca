import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { TARGET_TYPE, unpackTarget } from "../../lib/model/targetShape.ts";
import { readSheet } from "../../lib/server/pages.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { readTarget } from "../../lib/server/target.ts";
import { command, ownData } from "../support/recorded.ts";
import { ROOT } from "../support/serverProcess.ts";

const data = ownData();
let runId = "";
beforeAll(async () => { runId = (await command("import", join(ROOT, "fixtures", "mandible-angle"))).out.trim(); });
afterAll(() => data.restore());

describe("where a run's stations lie in space", () => {
  it("is sent packed, uncached, with as many stations a strand as its sheet has, each at the place that its result names", async () => {
    const response = await readTarget(runId), bytes = await response.arrayBuffer(), sheet = (await readSheet(runId))!, shape = unpackTarget(bytes);
    expect([response.headers.get("content-type"), response.headers.get("content-length"), response.headers.get("cache-control")]).toEqual([TARGET_TYPE, String(bytes.byteLength), "no-store"]);
    expect(shape.strands.map(({ layer, strand, positionsMm }) => [layer, strand, positionsMm.length / 3])).toEqual(sheet.layers.flatMap(({ strands }) => strands.map(({ layer, strand, sMm }) => [layer, strand, sMm.length])));
    const { right, up } = sheet.layers[0]!.frame, strand = sheet.layers[0]!.strands[2]!, [x, y, z] = shape.strands[2]!.positionsMm.subarray(3 * 9, 3 * 10) as unknown as [number, number, number];
    expect(x * right[0] + y * right[1] + z * right[2]).toBeCloseTo(strand.xMm[9]!, 3);
    expect(x * up[0] + y * up[1] + z * up[2]).toBeCloseTo(strand.yMm[9]!, 3);
  });

  it("is the same again for the second who asks, byte for byte", async () => {
    expect(new Uint8Array(await (await readTarget(runId)).arrayBuffer())).toEqual(new Uint8Array(await (await readTarget(runId)).arrayBuffer()));
  });

  it("of a run that is not kept is refused, whatever it is called", async () => {
    for (const id of ["none", "", "'; DROP TABLE Run; --", "../../etc/passwd", "x".repeat(5000)]) await expect(readTarget(id)).rejects.toThrow(expect.objectContaining({ code: "store.noRun" }));
  });

  it("of a plan that cannot be read any more is refused, and asked for again the next time", async () => {
    const other = (await command("import", join(ROOT, "fixtures", "example-run"))).out.trim(), { db } = sharedStore();
    const { planText } = db.prepare<[string], { planText: string }>(`SELECT planText FROM "Run" WHERE id = ?`).get(other)!;
    db.prepare(`UPDATE "Run" SET planText = 'layer,strand' WHERE id = ?`).run(other);
    await expect(readTarget(other)).rejects.toThrow(expect.objectContaining({ code: "plan.missingColumn" }));
    db.prepare(`UPDATE "Run" SET planText = ? WHERE id = ?`).run(planText, other);
    expect((await readTarget(other)).status).toBe(200);
  });
});
