/** What is taken away of a result, read back by reference libraries and compared with result.json value by value. */
import { tableFromIPC } from "apache-arrow";
import { parse } from "csv-parse/sync";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { GET as getFindings } from "../../app/api/runs/[id]/findings/route.ts";
import { GET as getStations } from "../../app/api/runs/[id]/stations/route.ts";
import type { InspectResult, StationResult } from "../../lib/model/result.ts";
import { disposeFinding } from "../../lib/server/dispositions.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { newId } from "../../lib/server/settings.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), folder = join(data.place, "run"), file = join(data.place, "result.json"), csv = join(data.place, "stations.csv"), bands = join(data.place, "bands.json");
let runId = "", otherId = "", result: InspectResult;
beforeAll(async () => {
  await command("rehearse", "--out", folder, "--seed", "61", "--layers", "2", "--pattern", "lattice", "--strands", "3", "--length", "6", "--points", "210", "--dx", "0.05", "--fault", "gap@1/2/2-4", "--fault", "drag@2/1/2-5");
  runId = (await command("import", folder)).out.trim();
  await command("inspect", folder, "--out", file, "--csv", csv);
  result = JSON.parse(readFileSync(file, "utf8")) as InspectResult;
  writeFileSync(bands, JSON.stringify({ tolerance: { areaRatio: { watch: [0.5, 1.5], act: [0.3, 1.7] } } }));
  otherId = (await command("recompute", runId, "--bands", bands, "--reason", "wide")).out.trim();
});
afterAll(() => data.restore());

const request = (path: string): Request => new Request(`http://127.0.0.1/api/runs/${path}`, { headers: { host: "127.0.0.1" } });
const ask = (get: typeof getStations, id: string, name: string, query = ""): Promise<Response> => get(request(`${id}/${name}${query}`), { params: Promise.resolve({ id }) });
const numberOrNull = (cell: string | undefined): number | null => (cell === "" || cell === undefined ? null : Number(cell));

describe("stations", () => {
  it("as CSV are what inspect --csv writes, byte for byte, and csv-parse reads the result’s values", async () => {
    const response = await ask(getStations, runId, "stations", "?format=csv"), text = await response.text();
    expect([response.status, response.headers.get("content-type"), response.headers.get("content-disposition")]).toEqual([200, "text/csv; charset=utf-8", expect.stringMatching(/^attachment; filename="stations-[\w-]+\.csv"$/)]);
    expect(text).toBe(readFileSync(csv, "utf8"));
    const rows = parse<Record<string, string>>(text, { columns: true });
    expect(rows.map((row) => [Number(row["s_mm"]), numberOrNull(row["width_mm"]), numberOrNull(row["area_u_mm2"]), numberOrNull(row["area_ratio"]), row["verdict"]]))
      .toEqual(result.stations.map((at) => [at.sMm, at.measured?.widthMm ?? null, at.u?.areaMm2 ?? null, at.areaRatio, at.verdict]));
    expect(result.stations.some((at) => at.measured?.widthMm == null)).toBe(true);
  });

  it("as Arrow carry every value of result.json, with run, result and contract in their metadata", async () => {
    const response = await ask(getStations, runId, "stations", "?format=arrow"), table = tableFromIPC(new Uint8Array(await response.arrayBuffer()));
    expect(response.headers.get("content-type")).toBe("application/vnd.apache.arrow.stream");
    const column = (name: string): unknown[] => [...table.getChild(name) as Iterable<unknown>], of = (pick: (at: StationResult) => unknown): unknown[] => result.stations.map(pick);
    expect(column("measured.widthMm")).toEqual(of((at) => at.measured?.widthMm ?? null));
    expect(column("measured.support")).toEqual(of((at) => at.measured?.support ?? null));
    expect(column("u.offsetMm")).toEqual(of((at) => at.u?.offsetMm ?? null));
    expect([column("zMm"), column("sagMm"), column("verdict"), column("proven")]).toEqual([of((at) => at.position[2]), of((at) => at.sagMm), of((at) => at.verdict), of((at) => at.proven)]);
    expect(table.schema.metadata.get("runId")).toBe(runId);
  });

  it("of a recompute carry its own verdicts", async () => {
    const verdicts = async (query: string): Promise<unknown[]> => [...tableFromIPC(new Uint8Array(await (await ask(getStations, runId, "stations", query)).arrayBuffer())).getChild("verdict") as Iterable<unknown>];
    expect(await verdicts(`?format=arrow&result=${otherId}`)).not.toEqual(await verdicts("?format=arrow"));
  });

  it("of 100 000 stations are sent strand by strand: 100 pieces beside head and end, none above 400 kB", { timeout: 120_000 }, async () => {
    const long = madeResult({ layers: 10, strands: 10, lengthMm: 500, spacingMm: 0.5005, widthMm: 1, heightMm: 0.5, faults: [] });
    const longId = writeRun(sharedStore().db, madeRun(5, newId, long));
    const reader = (await ask(getStations, longId, "stations", "?format=arrow")).body!.getReader(), sizes: number[] = [];
    const chunks: Uint8Array[] = [];
    for (let read = await reader.read(); !read.done; read = await reader.read()) {
      sizes.push(read.value.length);
      chunks.push(read.value);
    }
    expect([long.stations.length, sizes.length, Math.max(...sizes) < 400e3]).toEqual([100_000, 102, true]);
    expect(tableFromIPC(Buffer.concat(chunks)).numRows).toBe(100_000);
  });

  it("in another format, of no such run and of another run’s result are refused: 400, 404, 404", async () => {
    const statuses = await Promise.all([["?format=xlsx", runId], ["", "none"], ["?result=none", runId]].map(async ([query, id]) => (await ask(getStations, id as string, "stations", query)).status));
    expect(statuses).toEqual([400, 404, 404]);
  });
});

describe("findings", () => {
  it("as CSV are those of result.json with what was decided; a note like a formula is harmless", async () => {
    const resultId = String(sharedStore().db.prepare(`SELECT id FROM "Result" WHERE runId = ? AND computedBy IS NULL`).pluck().get(runId));
    disposeFinding(runId, { resultId, findingIndex: 0, disposition: "false", reason: "other", note: "=1+1, seen by eye" }, "Zoë Öz");
    const rows = parse<Record<string, string>>(await (await ask(getFindings, runId, "findings")).text(), { columns: true });
    expect(rows.map((row) => [row["kind"], row["severity"], Number(row["layer"]), numberOrNull(row["from_mm"]), numberOrNull(row["area_mm2"]), numberOrNull(row["worst_value"]), numberOrNull(row["x_mm"])]))
      .toEqual(result.findings.map((f) => [f.kind, f.severity, f.layer, "fromMm" in f ? f.fromMm : null, "areaMm2" in f ? f.areaMm2 : null, "worst" in f ? f.worst.value : null, f.position[0]]));
    expect([rows[0]!["disposition"], rows[0]!["disposition_note"], rows[0]!["decided_by"], rows[1]!["decided_by"]]).toEqual(["false", "'=1+1, seen by eye", "Zoë Öz", ""]);
    const others = parse<Record<string, string>>(await (await ask(getFindings, runId, "findings", `?result=${otherId}`)).text(), { columns: true });
    expect([others.length > 0, others.every((row) => row["decided_by"] === "")]).toEqual([true, true]);
  });
});
