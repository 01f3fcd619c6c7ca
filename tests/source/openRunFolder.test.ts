import { describe, expect, it } from "vitest";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { arrow, collect, jobJson, ndjson, PLAN_CSV, profileRows, profilesOf, runFolder } from "./runFolder.ts";

const ROWS = profileRows(7);

describe("reading a whole run folder", () => {
  it("gives 7 profiles equal to what NDJSON holds, null as NaN", async () => {
    const run = await openRunFolder(await runFolder({ "profiles.ndjson": ndjson(ROWS) }));
    const profiles = profilesOf(await collect(run.messages()));
    expect(profiles.map((p) => [p.seq, p.tS, [...p.pose], p.layer, p.xMm])).toEqual(ROWS.map((r) => [r.seq, r.tS, r.pose, null, null]));
    expect(profiles.map((p) => [...p.zMm])).toEqual(ROWS.map((r) => r.zMm.map((z) => z ?? Number.NaN)));
    expect(run.warnings).toEqual([]);
  });

  it.each([["stream", "nan"], ["stream", "null"], ["file", "nan"], ["file", "null"]] as const)("reads an Arrow %s with missing heights as %s to the same messages as NDJSON", async (format, missing) => {
    const fromArrow = await openRunFolder(await runFolder({ "profiles.arrow": arrow(ROWS, { format, missing, sizes: [2, 4] }) }));
    const fromText = await openRunFolder(await runFolder({ "profiles.ndjson": ndjson(ROWS) }));
    expect(await collect(fromArrow.messages())).toEqual(await collect(fromText.messages()));
    expect(fromArrow.warnings).toEqual([]);
  });

  it.each([[[9000, 26000, 2, 20000]], [[40000, 1]]])("reads Arrow batches of %j profiles, of 88 bytes to 3.5 MB in any order, to the same messages as batches of 100", async (sizes) => {
    const rows = profileRows(55_002), heights = async (cut: readonly number[]): Promise<unknown[]> => {
      const run = await openRunFolder(await runFolder({ "profiles.arrow": arrow(rows, { sizes: cut }) }));
      const out: unknown[] = [];
      for await (const batch of run.messages()) for (const p of profilesOf(batch)) out.push(p.seq, p.tS, p.pose[0], String(p.zMm));
      return out;
    };
    const found = await heights(sizes);
    expect(found).toHaveLength(4 * rows.length);
    expect(found).toEqual(await heights([100]));
  });

  it("may be read twice, with equal messages", async () => {
    const run = await openRunFolder(await runFolder({ "profiles.arrow": arrow(ROWS), "progress.csv": "t_s,layer,strand,s_mm,event\n0.5,1,1,0,start\n" }));
    const first = await collect(run.messages());
    expect(await collect(run.messages())).toEqual(first);
    expect(first).toHaveLength(8);
  });

  it("lists the files of the run with their sizes", async () => {
    const text = ndjson(ROWS);
    const run = await openRunFolder(await runFolder({ "profiles.ndjson": text, "notes.txt": "beside", "target.ply": "ply\n" }));
    expect(run.files.map((f) => f.path)).toEqual(["job.json", "plan.csv", "profiles.ndjson", "target.ply"]);
    expect(run.files.find((f) => f.path === "profiles.ndjson")?.size).toBe(text.length);
    expect(run.planText).toBe(PLAN_CSV);
    expect(run.rawJob).toEqual(jobJson());
  });
});
