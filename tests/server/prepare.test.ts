/** What is known of a run before its print, and what is refused, on a real store and the example's files. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { PrepareOffer } from "../../lib/model/prepare.ts";
import { fieldTexts } from "../../lib/model/prepare.ts";
import { armRun, checkPrepared, listTemplates, readTemplate } from "../../lib/server/prepare.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { makeToken } from "../../lib/server/tokens.ts";
import { EXAMPLE, command, ownData } from "../support/recorded.ts";
import { ROOT } from "../support/serverProcess.ts";

const NOW_MS = Date.parse("2026-02-03T09:12:00.000Z");
const MANDIBLE = join(ROOT, "fixtures", "mandible-angle");
const offerOf = (folder: string, more: Partial<PrepareOffer> = {}): PrepareOffer => {
  const jobText = readFileSync(join(folder, "job.json"), "utf8");
  return { jobText, planText: readFileSync(join(folder, "plan.csv"), "utf8"), planName: "plan.csv", fields: fieldTexts(JSON.parse(jobText)), ...more };
};
const check = (offer: PrepareOffer) => checkPrepared(offer, new AbortController().signal, NOW_MS);
const refusal = (code: string, place: object) => expect.objectContaining({ code, place }) as Error;

const data = ownData();
let runId = "";
beforeAll(async () => { runId = (await command("import", MANDIBLE)).out.trim(); });
afterAll(() => data.restore());

describe("what is known beforehand", () => {
  it("of the mandible angle: 266 stations, its list, its bands, its job, its picture, and that no token counts", async () => {
    const sheet = await check(offerOf(MANDIBLE));
    expect(sheet.headline).toMatch(/^Ready to be armed, but .*one device has no token\.$/);
    expect(sheet.detail).toBe("266 stations will be measured. Arming makes the run; the print begins when the cell sends its first data.");
    expect(sheet.preflight.lines.length).toBe(9);
    expect(sheet.rehearsal).toBe(JSON.parse(readFileSync(join(MANDIBLE, "job.json"), "utf8")).rehearsal === true);
    expect([sheet.bands.length, sheet.picture.strands.length, sheet.devices.map(({ tokens }) => tokens)]).toEqual([1, 7, [[]]]);
    expect(sheet.job.find(({ name }) => name === "nozzle")?.value).toContain("0.84 mm inside");
    expect(sheet.disk.sentence).toMatch(/^About [\d.]+ [kMG]B of profiles are expected/);
  });

  it("follows what is typed: a working time of 20.5 s, and a token that was never heard", async () => {
    makeToken(sharedStore(), { name: "cell", device: null, at: "2026-02-03T09:00:00.000Z" });
    const offer = offerOf(MANDIBLE), sheet = await check({ ...offer, fields: { ...offer.fields, "material.workingTimeS": "20.5", "material.lot": "B9" } });
    expect(sheet.job.find(({ name }) => name === "working time")?.value).toContain("20.5 s");
    expect(sheet.job.find(({ name }) => name === "material")?.value).toContain("lot B9");
    expect(sheet.devices[0]?.tokens).toEqual([{ name: "cell (all devices)", heard: "never heard" }]);
  });
});

describe("what is refused, each at its place", () => {
  it("no JSON, with its line; a bad number at its key; a bad line of the plan; no plan; a plan of another format; a plan called like a stream", async () => {
    const offer = offerOf(EXAMPLE);
    await expect(check({ ...offer, jobText: "{\n\"name\": x}" })).rejects.toThrowError(refusal("job.notJson", { file: "job.json", line: 2 }));
    await expect(check({ ...offer, fields: { "nozzle.outerDiameterMm": "-1" } })).rejects.toThrowError(refusal("job.badValue", { file: "job.json", key: "nozzle.outerDiameterMm" }));
    await expect(check({ ...offer, planText: offer.planText.replace(/^((?:.*\n){2}[^,]*,[^,]*,)[^,]*/, "$1six") })).rejects.toThrowError(refusal("plan.badNumber", { file: "plan.csv", line: 3, key: "x_mm" }));
    await expect(check({ ...offer, planText: "" })).rejects.toThrowError(refusal("plan.noStrand", { file: "plan.csv" }));
    await expect(check({ ...offer, planName: "plan.gcode" })).rejects.toThrowError(refusal("job.badValue", { file: "job.json", key: "plan.file" }));
    await expect(check({ ...offer, jobText: offer.jobText.replace("plan.csv", "progress.csv") })).rejects.toThrowError(refusal("job.badValue", { file: "job.json", key: "plan.file" }));
  });

  it("arming where nothing is taken over the wire; no run is made", async () => {
    const before = listTemplates().length;
    await expect(armRun(offerOf(EXAMPLE), "M. Ort")).rejects.toThrowError(refusal("wire.busy", {}));
    expect(listTemplates().length).toBe(before);
  });
});

describe("an earlier run as the next one's beginning", () => {
  it("gives its job and plan as they were, without the time at which its paste was mixed", () => {
    const { name, jobText, planText, planName } = readTemplate(runId), kept = JSON.parse(readFileSync(join(MANDIBLE, "job.json"), "utf8")) as { name: string; material: Record<string, unknown> };
    const { mixedAt: _, ...material } = kept.material;
    expect(JSON.parse(jobText)).toEqual({ ...kept, material });
    expect([name, planName, planText === readFileSync(join(MANDIBLE, "plan.csv"), "utf8")]).toEqual([kept.name, "plan.csv", true]);
  });

  it("a run that is not kept is refused", () => {
    expect(() => readTemplate("none")).toThrowError(refusal("store.noRun", {}));
  });
});
