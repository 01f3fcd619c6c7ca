import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { inspect } from "../../lib/command/inspect.ts";
import { rehearse } from "../../lib/command/rehearse.ts";
import type { InspectResult } from "../../lib/model/result.ts";

let place = "", good = "", faulty = "";

/** Runs a command with a clock that moves on by 0.4 s at every look. */
async function run(command: typeof inspect, ...argv: string[]): Promise<{ code: number; out: string; err: string[] }> {
  let out = "", clockMs = 0;
  const err: string[] = [];
  const code = await command(argv, { out: async (text) => { out += text; }, err: (line) => { err.push(line); }, nowMs: () => (clockMs += 400) });
  return { code, out, err };
}

async function codeOf(...argv: string[]): Promise<string> {
  try {
    await run(inspect, ...argv);
    return "none";
  } catch (error) {
    if (error instanceof InputError) return error.code;
    throw error;
  }
}

beforeAll(async () => {
  place = mkdtempSync(join(tmpdir(), "inspect-"));
  [good, faulty] = [join(place, "good"), join(place, "faulty")];
  await run(rehearse, "--out", good, "--seed", "31", "--strands", "2", "--length", "6", "--points", "200", "--dx", "0.05");
  await run(rehearse, "--out", faulty, "--seed", "32", "--strands", "2", "--length", "8", "--points", "200", "--dx", "0.05", "--fault", "gap@1/2/3-5.5");
});
afterAll(() => { rmSync(place, { recursive: true, force: true }); });

describe("inspect FOLDER", () => {
  it("prints the result alone on stdout, one JSON document of contract aslaid/1 with 26 stations, and exits 0", async () => {
    const { code, out } = await run(inspect, good);
    const result = JSON.parse(out) as InspectResult;
    expect([code, out.endsWith("}\n"), out.split("\n").length]).toEqual([0, true, 2]);
    expect(result).toMatchObject({ contract: "aslaid/1", warnings: [], events: [], frames: [], motion: null, summary: { stations: 26, laid: 26, measured: 26 } });
    expect(result.findings).toEqual([]);
  });

  it("twice gives the same bytes", async () => {
    const [first, again] = [await run(inspect, faulty), await run(inspect, faulty)];
    expect(again.out).toBe(first.out);
  });

  it("--out and --csv write files, print nothing, and leave nothing half-written beside them", async () => {
    const [json, csv] = [join(place, "r.json"), join(place, "s.csv")];
    const { code, out } = await run(inspect, good, "--out", json, "--csv", csv);
    expect([code, out]).toEqual([0, ""]);
    expect((JSON.parse(readFileSync(json, "utf8")) as InspectResult).stations).toHaveLength(26);
    expect(readFileSync(csv, "utf8").trim().split("\n")).toHaveLength(27);
    expect(readdirSync(place).filter((name) => name.endsWith(".partial"))).toEqual([]);
  });

  it.each([["act", 1], ["watch", 1]])("--fail-on %s exits %d over a gap of 2.5 mm, and 0 where nothing is found", async (kind, code) => {
    const failed = await run(inspect, faulty, "--fail-on", kind);
    expect(failed.code).toBe(code);
    expect((JSON.parse(failed.out) as InspectResult).findings.map((f) => f.kind)).toContain("gap");
    expect((await run(inspect, good, "--fail-on", kind)).code).toBe(0);
  });

  it("a finding alone does not fail it: exit 0 without --fail-on", async () => {
    expect((await run(inspect, faulty)).code).toBe(0);
  });

  it("an unknown key of the job is a warning in the result and on stderr", async () => {
    const folder = join(place, "odd");
    mkdirSync(folder);
    for (const name of readdirSync(good)) writeFileSync(join(folder, name), readFileSync(join(good, name)));
    const job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as Record<string, unknown>;
    writeFileSync(join(folder, "job.json"), JSON.stringify({ ...job, colour: "blue" }));
    const { code, out, err } = await run(inspect, folder);
    expect(code).toBe(0);
    expect(err.some((line) => line.startsWith("job.unknownKey: ") && line.includes("colour"))).toBe(true);
    expect((JSON.parse(out) as InspectResult).warnings).toMatchObject([{ code: "job.unknownKey", file: "job.json" }]);
  });

  it("--help names every option and exits 0", async () => {
    const { code, out } = await run(inspect, "--help");
    expect(code).toBe(0);
    for (const option of ["--out", "--csv", "--preflight", "--fail-on", "strandsCross"]) expect(out).toContain(option);
  });

  describe("--preflight", () => {
    /** A folder of job and plan alone; the second strand crosses the first where `crosses` says so. */
    function planFolder(name: string, crosses: boolean): string {
      const folder = join(place, name);
      mkdirSync(folder);
      const job = JSON.parse(readFileSync(join(good, "job.json"), "utf8")) as Record<string, unknown>;
      writeFileSync(join(folder, "job.json"), JSON.stringify({ ...job, mounts: [{ from: "profiler-1", to: "tool", pose: [-2, 0, 60, 0, 0, -Math.SQRT1_2, Math.SQRT1_2] }] }));
      const y = crosses ? 1 : 2;
      writeFileSync(join(folder, "plan.csv"), `layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s\n1,1,0,0,0.5,0,0,1,1,0.5,6,\n1,1,8,0,0.5,0,0,1,1,0.5,6,\n1,2,8,${y},0.5,0,0,1,1,0.5,6,\n1,2,0,${crosses ? -1 : 2},0.5,0,0,1,1,0.5,6,\n`);
      return folder;
    }

    it("needs job.json and the plan alone, prints one JSON document, and writes the same to --out", async () => {
      const folder = planFolder("planOnly", true), file = join(place, "p.json");
      const { code, out } = await run(inspect, folder, "--preflight");
      expect([code, out.endsWith("}\n"), out.split("\n").length]).toEqual([0, true, 2]);
      expect(JSON.parse(out)).toMatchObject({ contract: "aslaid/1", warnings: [], preflight: { items: [{ kind: "strandsCross", severity: "act", layer: 1, strand: 2, unit: "mm" }, {}, {}], totals: { lengthMm: 16.246211 } } });
      expect((await run(inspect, folder, "--preflight", "--out", file)).out).toBe("");
      expect(readFileSync(file, "utf8")).toBe(out);
    });

    it("--fail-on act exits 1 over a crossing and 0 over what is watch alone; watch exits 1 over either; a finding of the recording is none", async () => {
      const [crossing, trailing] = [planFolder("crossing", true), planFolder("trailing", false)];
      const codes = [];
      for (const [folder, kind] of [[crossing, "act"], [crossing, "watch"], [trailing, "act"], [trailing, "watch"], [faulty, "watch"]] as const) codes.push((await run(inspect, folder, "--preflight", "--fail-on", kind)).code);
      expect(codes).toEqual([1, 1, 0, 1, 0]);
    });

    it("bad input is its own error: no plan, a bad number, --csv beside it", async () => {
      const folder = planFolder("broken", false);
      expect(await codeOf(folder, "--preflight", "--csv", join(place, "x.csv"))).toBe("command.usage");
      writeFileSync(join(folder, "plan.csv"), readFileSync(join(folder, "plan.csv"), "utf8").replace("1,1,8,0", "1,1,eight,0"));
      expect(await codeOf(folder, "--preflight")).toBe("plan.badNumber");
      rmSync(join(folder, "plan.csv"));
      expect(await codeOf(folder, "--preflight")).toBe("source.noFile");
    });
  });

  it("refuses no folder, two folders, an unknown option, --fail-on maybe with command.usage, and a folder that is not there with source.noFolder", async () => {
    expect([await codeOf(), await codeOf(good, faulty), await codeOf(good, "--loud"), await codeOf(good, "--fail-on", "maybe")]).toEqual(Array.from({ length: 4 }, () => "command.usage"));
    expect(await codeOf(join(place, "nowhere"))).toBe("source.noFolder");
  });

  it("a result that cannot be written is one error that names the file, and leaves nothing", async () => {
    const file = join(place, "missing", "r.json");
    expect(await codeOf(good, "--out", file)).toBe("command.usage");
    expect(existsSync(`${file}.partial`)).toBe(false);
  });
});
