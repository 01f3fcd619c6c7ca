/** The worked example of README.md: it is what the document says, and inspecting it gives what the document says. Origin: invented numbers, a stadium 1.0 × 0.5 mm missing from 2.4 to 4.4 mm, heights ± 5 µm. */
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { INPUT_CODES } from "../../lib/base/errors.ts";
import { inspect } from "../../lib/command/inspect.ts";
import { rehearse } from "../../lib/command/rehearse.ts";
import type { InspectResult, StretchFinding } from "../../lib/model/result.ts";

const ROOT = resolve(import.meta.dirname, "../..");
const EXAMPLE = join(ROOT, "fixtures", "example-run");
const README = readFileSync(join(ROOT, "README.md"), "utf8");
const BLOCKS = [...README.matchAll(/^```(\w+)\n([\s\S]*?)^```/gm)].map((match) => ({ language: match[1] as string, text: match[2] as string }));

let place = "";
beforeEach(() => { place = mkdtempSync(join(tmpdir(), "example-")); });
afterEach(() => { rmSync(place, { recursive: true, force: true }); });

const silent = { err: () => undefined, nowMs: () => 0 };

/** The n-th block of code in a language. */
function block(language: string, n: number): string {
  return BLOCKS.filter((each) => each.language === language)[n]?.text ?? "";
}

/** Where `found` is not what is said: numbers may differ by `share` of their size and 0.002, everything else not at all. */
function differences(said: unknown, found: unknown, share: number, path: string): string[] {
  if (typeof said === "number" && typeof found === "number") return Math.abs(said - found) <= 0.002 + share * Math.abs(said) ? [] : [`${path}: ${found} is said to be ${said}`];
  if (typeof said === "object" && said !== null && typeof found === "object" && found !== null) {
    const keys = new Set([...Object.keys(said), ...Object.keys(found)]);
    return [...keys].flatMap((key) => differences((said as Record<string, unknown>)[key], (found as Record<string, unknown>)[key], share, `${path}.${key}`));
  }
  return said === found ? [] : [`${path}: ${String(found)} is said to be ${String(said)}`];
}

async function inspectExample(...more: string[]): Promise<{ code: number; result: InspectResult }> {
  let text = "";
  const code = await inspect([EXAMPLE, ...more], { ...silent, out: async (part) => { text += part; } });
  return { code, result: JSON.parse(text) as InspectResult };
}

describe("the worked example of README.md", () => {
  it("shows job.json, plan.csv and progress.csv as they are", () => {
    const file = (name: string): string => readFileSync(join(EXAMPLE, name), "utf8");
    expect(JSON.parse(block("json", 0))).toEqual(JSON.parse(file("job.json")));
    expect(block("csv", 0)).toBe(file("plan.csv"));
    expect(block("csv", 1)).toBe(file("progress.csv"));
    const profiles = file("profiles.ndjson").trimEnd().split("\n");
    const [header, first = ""] = block("text", 0).split("\n");
    expect(profiles).toHaveLength(31);
    expect(header).toBe(profiles[0]);
    expect(profiles[1]?.startsWith(first.slice(0, first.indexOf("…")))).toBe(true);
  });

  it("gives one gap from 2.4 to 4.4 mm, edges right to 0.2 mm (half a profile spacing), all else in band or unsettled, and nothing to warn of", async () => {
    const { code, result } = await inspectExample();
    expect([code, result.warnings, result.findings.length]).toEqual([0, [], 1]);
    const gap = result.findings[0] as StretchFinding;
    expect([gap.kind, gap.severity, gap.proven]).toEqual(["gap", "act", true]);
    expect(Math.abs(gap.fromMm - 2.4)).toBeLessThanOrEqual(0.2);
    expect(Math.abs(gap.toMm - 4.4)).toBeLessThanOrEqual(0.2);
    expect(result.summary).toMatchObject({ stations: 13, laid: 13, measured: 13 });
    for (const s of result.stations.filter((each) => each.sMm <= 2 || each.sMm >= 5)) {
      expect(s.verdict).toBe("inBand");
      expect(Math.abs((s.areaRatio ?? 0) - 1)).toBeLessThanOrEqual(0.02);
    }
  });

  it("matches --fail-on act with exit 1", async () => {
    expect((await inspectExample("--fail-on", "act")).code).toBe(1);
  });

  it("has the station at 1 mm as the document shows it: readings to 5 % and 0.002, u to half its size and 0.002", async () => {
    const { result } = await inspectExample();
    const { u, measured, ...said } = JSON.parse(block("json", 1)) as Record<string, unknown>;
    const { u: foundU, measured: foundMeasured, ...found } = result.stations[2] as unknown as Record<string, unknown>;
    expect([...differences(said, found, 0.02, "station"), ...differences(measured, foundMeasured, 0.05, "measured"), ...differences(u, foundU, 0.5, "u")]).toEqual([]);
  });
});

describe("README.md", () => {
  it("names every code of bad input", () => {
    expect(INPUT_CODES.filter((code) => !README.includes(`\`${code}\``))).toEqual([]);
  });

  it("names every option of rehearse", async () => {
    let help = "";
    await rehearse(["--help"], { ...silent, out: async (text) => { help += text; } });
    const options = [...new Set([...help.matchAll(/--[a-z][a-z-]*/g)].map((match) => match[0]))].filter((option) => option !== "--silent");
    expect(options.length).toBeGreaterThan(40);
    expect(options.filter((option) => !README.includes(option))).toEqual([]);
  });
});
