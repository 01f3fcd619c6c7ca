import { mkdir, symlink, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { InputError } from "../../lib/base/errors.ts";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { arrow, collect, inputError, jobJson, ndjson, PLAN_TWO_LAYERS, profileRow, profileRows, runFolder } from "./runFolder.ts";

type Files = Parameters<typeof runFolder>[0];
const PROFILES = { "profiles.ndjson": ndjson(profileRows(3)) };
const FRAMES = "file,device,t_s,tx,ty,tz,qx,qy,qz,qw,frame\n";
const frame = (file: string): string => `${FRAMES}${file},camera-1,2,0,0,90,0,1,0,0,plan\n`;
const MARKS = "t_s,device,file,u0_px,v0_px,u1_px,v1_px,who\n";
const POSES = "t_s,device,tx,ty,tz,qx,qy,qz,qw,from,to,valid\n";
const PROGRESS = "t_s,layer,strand,s_mm,event\n";

/** Opens and reads to the end. */
async function readAll(folder: string) {
  const run = await openRunFolder(folder);
  return { run, messages: await collect(run.messages()) };
}
async function errorOf(files: Files): Promise<InputError> {
  const folder = await runFolder(files);
  return inputError(() => readAll(folder));
}
const place = (error: InputError) => [error.code, error.place.file, error.place.line, error.place.key];

describe("a folder that cannot be read", () => {
  it("is not there, or is a file", async () => {
    const folder = await runFolder(PROFILES);
    expect((await inputError(() => openRunFolder(join(folder, "nowhere")))).code).toBe("source.noFolder");
    expect((await inputError(() => openRunFolder(join(folder, "job.json")))).code).toBe("source.noFolder");
  });

  it.each<[string, Files, unknown[]]>([
    ["no job", { "job.json": null }, ["source.noFile", "job.json", undefined, undefined]],
    ["a job that is not JSON, in line 3", { "job.json": '{\n"contract": "aslaid/1",\n"name" 3 }' }, ["job.notJson", "job.json", 3, undefined]],
    ["a job with a bare word in line 3 of 5", { "job.json": '{\n"contract": "aslaid/1",\n"name": block,\n"specimen": "b"\n}' }, ["job.notJson", "job.json", 3, undefined]],
    ["a job that stops", { "job.json": '{\n"contract": ' }, ["job.notJson", "job.json", 2, undefined]],
    ["a NUL byte in the job", { "job.json": '{\n\n"contract": "\0"' }, ["source.nulByte", "job.json", 3, undefined]],
    ["another contract", { "job.json": jobJson((j) => { j["contract"] = "aslaid/9"; }) }, ["job.wrongContract", "job.json", undefined, "contract"]],
    ["no plan", { ...PROFILES, "plan.csv": null }, ["source.noFile", "job.json", undefined, "plan.file"]],
    ["a NUL byte in the plan", { ...PROFILES, "plan.csv": "layer,strand\n1,\0" }, ["source.nulByte", "plan.csv", 2, undefined]],
    ["a plan outside by ..", { "job.json": jobJson((j) => { j["plan"].file = "../plan.csv"; }) }, ["source.pathLeaves", "job.json", undefined, "plan.file"]],
    ["a plan outside by an absolute path", { "job.json": jobJson((j) => { j["plan"].file = "/etc/hostname"; }) }, ["source.pathLeaves", "job.json", undefined, "plan.file"]],
    ["no sensor stream, progress alone", { "progress.csv": PROGRESS }, ["sensing.noStream", expect.any(String), undefined, undefined]],
    ["several layers with neither progress nor layer (NDJSON)", { ...PROFILES, "plan.csv": PLAN_TWO_LAYERS }, ["sensing.layersUnknown", "profiles.ndjson", 2, "layer"]],
    ["several layers with neither progress nor layer (Arrow)", { "profiles.arrow": arrow(profileRows(2)), "plan.csv": PLAN_TWO_LAYERS }, ["sensing.layersUnknown", "profiles.arrow", undefined, "layer"]],
    ["several layers, and poses alone", { "poses.csv": POSES, "plan.csv": PLAN_TWO_LAYERS }, ["sensing.layersUnknown", expect.any(String), undefined, undefined]],
    ["two files of one profiler", { ...PROFILES, "profiles.arrow": arrow(profileRows(2)) }, ["sensing.badValue", "profiles.ndjson", undefined, "device"]],
    ["a file named after another profiler", { "profiles.profiler-2.ndjson": ndjson([]) }, ["sensing.unknownDevice", "profiles.profiler-2.ndjson", 1, "device"]],
    ["a frame outside by ..", { ...PROFILES, "frames.csv": frame("frames/../../x.png") }, ["source.pathLeaves", "frames.csv", 2, "file"]],
    ["a frame outside by an absolute path", { ...PROFILES, "frames.csv": frame("/etc/hostname") }, ["source.pathLeaves", "frames.csv", 2, "file"]],
    ["a frame that is not there", { ...PROFILES, "frames.csv": frame("frames/9.png") }, ["source.noFile", "frames.csv", 2, "file"]],
    ["a mark of paste in a frame that nobody took", { ...PROFILES, "frames.csv": frame("frames/1.png"), "frames/1.png": "x", "paste.csv": MARKS + "2,camera-1,frames/2.png,1,2,5,6,N.\n" }, ["sensing.badValue", "paste.csv", 2, "file"]],
    ["a mark of paste without frames", { ...PROFILES, "paste.csv": MARKS + "2,camera-1,frames/2.png,1,2,5,6,N.\n" }, ["sensing.badValue", "paste.csv", 2, "file"]],
    ["a mark of paste 2 px high in its second row", { ...PROFILES, "frames.csv": frame("frames/1.png"), "frames/1.png": "x", "paste.csv": MARKS + "2,camera-1,frames/1.png,1,2,5,6,N.\n3,camera-1,frames/1.png,1,2,5,4,N.\n" }, ["sensing.badValue", "paste.csv", 3, "v1_px"]],
    ["marks of paste whose time runs back", { ...PROFILES, "frames.csv": frame("frames/1.png"), "frames/1.png": "x", "paste.csv": MARKS + "2,camera-1,frames/1.png,1,2,5,6,N.\n1,camera-1,frames/1.png,1,2,5,6,N.\n" }, ["sensing.timeBack", "paste.csv", 3, "t_s"]],
  ])("has %s", async (_, files, expected) => {
    expect(place(await errorOf(files))).toEqual(expected);
  });

  it("has a plan or a frame that leaves it through a link", async () => {
    const outside = await runFolder({ "far.png": "x" });
    const folder = await runFolder({ ...PROFILES, "plan.csv": null });
    await symlink(join(outside, "plan.csv"), join(folder, "plan.csv"));
    expect(place(await inputError(() => readAll(folder)))).toEqual(["source.pathLeaves", "job.json", undefined, "plan.file"]);
    const other = await runFolder({ ...PROFILES, "frames.csv": frame("frames/far.png") });
    await symlink(outside, join(other, "frames"));
    expect(place(await inputError(() => readAll(other)))).toEqual(["source.pathLeaves", "frames.csv", 2, "file"]);
  });

  it("has a folder where a stream should be", async () => {
    const folder = await runFolder({});
    await mkdir(join(folder, "profiles.arrow"));
    expect(place(await inputError(() => readAll(folder)))).toEqual(["source.unreadable", "profiles.arrow", undefined, undefined]);
  });
});

describe("a stream with a fault", () => {
  const profile = (change: object) => ({ "profiles.ndjson": ndjson([profileRow(0), { ...profileRow(1), ...change }]) });
  it.each<[string, Files, unknown[]]>([
    ["NDJSON of 4 points", profile({ zMm: [1, 2, 3, 4] }), ["sensing.wrongCount", "profiles.ndjson", 3, "zMm"]],
    ["NDJSON whose time runs backwards", profile({ tS: 0.99 }), ["sensing.timeBack", "profiles.ndjson", 3, "tS"]],
    ["NDJSON with a NUL byte in line 3", { "profiles.ndjson": ndjson(profileRows(2)).replace('"seq":1', '"seq":\0') }, ["source.nulByte", "profiles.ndjson", 3, undefined]],
    ["a header of an unknown device", { "profiles.ndjson": ndjson([], { device: "profiler-9", frame: "plan" }) }, ["sensing.unknownDevice", "profiles.ndjson", 1, "device"]],
    ["a header that is a profile", { "profiles.ndjson": ndjson([], profileRow(0)) }, ["sensing.missingColumn", "profiles.ndjson", 1, "device"]],
    ["progress without a column", { ...PROFILES, "progress.csv": "t_s,layer,strand,event\n" }, ["sensing.missingColumn", "progress.csv", 1, "s_mm"]],
    ["progress for an unknown strand", { ...PROFILES, "progress.csv": `${PROGRESS}1,1,1,0,start\n2,1,7,0,start\n` }, ["sensing.unknownStrand", "progress.csv", 3, "strand"]],
    ["progress past its strand", { ...PROFILES, "progress.csv": `${PROGRESS}1,1,2,9.5,update\n` }, ["sensing.beyondStrand", "progress.csv", 2, "s_mm"]],
    ["progress whose time runs backwards", { ...PROFILES, "progress.csv": `${PROGRESS}1,1,1,0,start\n0.9,1,1,1,update\n` }, ["sensing.timeBack", "progress.csv", 3, "t_s"]],
    ["an empty progress file", { ...PROFILES, "progress.csv": "" }, ["sensing.missingColumn", "progress.csv", 1, undefined]],
    ["a non-finite pose", { ...PROFILES, "poses.csv": `${POSES}1,arm-1,NaN,0,0,0,0,0,1,tool,base,1\n` }, ["sensing.badNumber", "poses.csv", 2, "tx"]],
    ["poses whose time runs backwards within a device", { ...PROFILES, "poses.csv": `${POSES}1,arm-1,0,0,0,0,0,0,1,tool,base,1\n0.5,arm-1,0,0,0,0,0,0,1,tool,base,1\n` }, ["sensing.timeBack", "poses.csv", 3, "t_s"]],
    ["a pose of an unknown device", { ...PROFILES, "poses.csv": `${POSES}1,arm-7,0,0,0,0,0,0,1,tool,base,1\n` }, ["sensing.unknownDevice", "poses.csv", 2, "device"]],
    ["a signal that is no number", { ...PROFILES, "signals.csv": "t_s,name,value\n1,pressureKPa,high\n" }, ["sensing.badNumber", "signals.csv", 2, "value"]],
    ["a quote that is never closed", { ...PROFILES, "signals.csv": 't_s,name,value\n1,"pressureKPa,80\n' }, ["sensing.badValue", "signals.csv", 2, undefined]],
    ["a quote in mid-cell", { ...PROFILES, "signals.csv": 't_s,name,value\n1,p"q"r,80\n' }, ["sensing.badValue", "signals.csv", 2, undefined]],
    ["a row of 2 cells", { ...PROFILES, "signals.csv": "t_s,name,value\n1,pressureKPa\n2,pressureKPa,3\n" }, ["sensing.badValue", "signals.csv", 2, undefined]],
    ["a column twice", { ...PROFILES, "signals.csv": "t_s,name,name,value\n" }, ["sensing.badValue", "signals.csv", 1, "name"]],
    ["a NUL byte in line 2", { ...PROFILES, "signals.csv": "t_s,name,value\n1,\0,3\n" }, ["source.nulByte", "signals.csv", 2, undefined]],
    ["a frame with a quaternion of length 1.1", { ...PROFILES, "frames.csv": `${FRAMES}frames/1.png,camera-1,2,0,0,90,0,1.1,0,0,plan\n` }, ["sensing.notUnit", "frames.csv", 2, "qx"]],
  ])("is refused: %s", async (_, files, expected) => {
    expect(place(await errorOf(files))).toEqual(expected);
  });

  const rows = profileRows(5);
  const turn = (row: number, change: object) => arrow(rows.map((r, i) => (i === row ? { ...r, ...change } : r)), { sizes: [2] });
  it.each<[string, Uint8Array, unknown]>([
    ["Arrow whose time runs backwards in row 1 of batch 2", turn(3, { tS: 0.1 }), ["sensing.timeBack", { file: "profiles.arrow", message: 2, row: 1, key: "tS" }]],
    ["Arrow with a time of Infinity", turn(2, { tS: Infinity }), ["sensing.badNumber", { file: "profiles.arrow", message: 2, row: 0, key: "tS" }]],
    ["Arrow with a quaternion of length 1.0011", turn(4, { pose: [1, 2, 3, 0, 0, 0, 1.0011] }), ["sensing.notUnit", { file: "profiles.arrow", message: 3, row: 0, key: "pose" }]],
    ["Arrow with NaN in a pose", turn(1, { pose: [Number.NaN, 2, 3, 0, 0, 0, 1] }), ["sensing.badNumber", { file: "profiles.arrow", message: 1, row: 1, key: "pose" }]],
    ["Arrow with a height of Infinity", turn(1, { zMm: [1, 2, Infinity, 4, 5] }), ["sensing.badNumber", { file: "profiles.arrow", message: 1, row: 1, key: "zMm[2]" }]],
    ["Arrow with seq −3", turn(0, { seq: -3 }), ["sensing.badValue", { file: "profiles.arrow", message: 1, row: 0, key: "seq" }]],
    ["Arrow of 4 points", arrow(rows.map((r) => ({ ...r, zMm: r.zMm.slice(1) }))), ["sensing.wrongCount", { file: "profiles.arrow", message: 1, row: 0, key: "zMm" }]],
    ["Arrow with 5 heights at 4 places", arrow(rows.map((r) => ({ ...r, xMm: [1, 2, 3, 4] }))), ["sensing.wrongCount", { file: "profiles.arrow", message: 1, row: 0, key: "zMm" }]],
    ["Arrow of an unknown device", arrow(rows, { metadata: { device: "x", frame: "plan" } }), ["sensing.unknownDevice", { file: "profiles.arrow", key: "device" }]],
    ["Arrow of a device that is no profiler", arrow(rows, { metadata: { device: "arm-1", frame: "plan" } }), ["sensing.unknownDevice", { file: "profiles.arrow", key: "device" }]],
    ["Arrow without a frame", arrow(rows, { metadata: { device: "profiler-1" } }), ["sensing.missingColumn", { file: "profiles.arrow", key: "frame" }]],
  ])("is refused: %s", async (_, bytes, expected) => {
    const error = await errorOf({ "profiles.arrow": bytes });
    expect([error.code, error.place]).toEqual(expected);
  });
});

describe("what is odd and no fault", () => {
  it("takes a recording of two layers whose profiles say their layer, in either format, with their own x", async () => {
    const rows = profileRows(4).map((row, i) => ({ ...row, layer: i, xMm: row.zMm.map((_, k) => k * 0.5 - 1) }));
    for (const stream of [{ "profiles.ndjson": ndjson(rows) }, { "profiles.arrow": arrow(rows) }]) {
      const { messages } = await readAll(await runFolder({ ...stream, "plan.csv": PLAN_TWO_LAYERS }));
      expect(messages.map((m) => (m.kind === "profile" ? [m.layer, m.xMm?.[4]] : []))).toEqual([[0, 1], [1, 1], [2, 1], [3, 1]]);
    }
  });

  it("takes equal stamps within a device", async () => {
    const { messages } = await readAll(await runFolder({ "profiles.ndjson": ndjson(profileRows(3).map((r) => ({ ...r, tS: 5 }))) }));
    expect(messages).toHaveLength(3);
  });

  it("keeps profiles in base, with one warning per device", async () => {
    const { run, messages } = await readAll(await runFolder({ "profiles.ndjson": ndjson(profileRows(3), { device: "profiler-1", frame: "base" }) }));
    expect(messages).toHaveLength(3);
    expect(run.warnings.map((w) => [w.code, w.file])).toEqual([["sensing.frameNotPlan", "profiles.ndjson"]]);
  });

  it("warns once for each unknown key and column, with its name", async () => {
    const { run } = await readAll(await runFolder({
      "job.json": jobJson((j) => { j["colour"] = 1; }),
      "profiles.ndjson": ndjson(profileRows(3).map((r) => ({ ...r, glow: [1] })), { device: "profiler-1", frame: "plan", lens: 3 }),
      "signals.csv": "t_s,name,value,mood\n1,pressureKPa,80,fine\n2,pressureKPa,81,fine\n",
    }));
    expect(run.warnings.map((w) => [w.code, /key (\S+)|column (\S+)/.exec(w.message)?.[0]])).toEqual([
      ["job.unknownKey", "key colour"], ["sensing.unknownKey", "key lens"], ["sensing.unknownKey", "key glow"], ["sensing.unknownColumn", "column mood"],
    ]);
  });

  it("reads streams with a byte-order mark, CRLF, quoted fields, quoted line feeds and blank lines as it does without", async () => {
    const plain = { "profiles.ndjson": ndjson(profileRows(3)), "rework.csv": "t_s,layer,strand,from_mm,to_mm,who,reason\n2,1,1,1,2,N.,x\n", "progress.csv": `${PROGRESS}1,1,1,0,start\n2,1,1,4,update\n` };
    const dressed = {
      "profiles.ndjson": `\uFEFF${plain["profiles.ndjson"].replaceAll("\n", "\r\n\r\n")}`,
      "rework.csv": '\uFEFF"t_s",layer,strand,from_mm,to_mm,who,reason\r\n2,1,"1",1,2,N.,"x"\r\n\r\n',
      "progress.csv": `\uFEFF${PROGRESS}1,1,1,0,start\n2,1,1,4,"update"\n`.replaceAll("\n", "\r\n"),
    };
    const expected = (await readAll(await runFolder(plain))).messages;
    expect((await readAll(await runFolder(dressed))).messages).toEqual(expected);
    const lines = { ...plain, "rework.csv": 't_s,layer,strand,from_mm,to_mm,who,reason\n2,1,1,1,2,N.,"a\nb"\n3,1,1,1,9999,N.,x\n' };
    expect(place(await errorOf(lines))).toEqual(["sensing.beyondStrand", "rework.csv", 4, "to_mm"]);
  });

  it("passes over files that are none of its own, and a target and landmarks", async () => {
    const folder = await runFolder({ ...PROFILES, "profiles.txt": "x", "landmarks.csv": "name\n" });
    await writeFile(join(folder, "target.ply"), "ply\n");
    const { run } = await readAll(folder);
    expect(run.files.map((f) => f.path)).toEqual(["job.json", "landmarks.csv", "plan.csv", "profiles.ndjson", "target.ply"]);
    expect(run.warnings).toEqual([]);
  });
});
