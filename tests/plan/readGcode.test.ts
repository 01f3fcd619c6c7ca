import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { Job } from "../../lib/model/job.ts";
import { readPlan } from "../../lib/plan/readPlan.ts";

function jobOf(plan: object = {}): Job {
  return resolveJob({
    contract: "aslaid/1", name: "n", plan: { file: "plan.gcode", flowWord: "E", flowUnit: "mm3", flowMode: "total", ...plan }, stationSpacingMm: 0.5,
    nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 }, material: { name: "m", beadShape: "stadium" }, devices: [],
  }, "job.json").job;
}
const read = (lines: readonly string[], plan?: object) => readPlan(lines.join("\n"), jobOf(plan), "plan.gcode").plan;

function errorOf(lines: readonly string[], plan?: object): InputError {
  try {
    read(lines, plan);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("expected an InputError, got none");
}

// A stadium of 0.8 × 0.4 mm has 0.285663706 mm² (check value 1.1): 10 mm take 2.85663706 mm³.
const TEN_MM = 2.85663706;

describe("a plan in ISO 6983 words", () => {
  it("makes a strand 0.8 mm wide from 2.856637 mm³ over 10 mm at height 0.4 mm, laid at F 600 = 10 mm/s", () => {
    const plan = read(["(layer 1)", "(height 0.4)", "G71 G90", "G0 X1 Y2 Z0.4", `G1 X11 E${TEN_MM} F600`, `G1 Y12 E${2 * TEN_MM}`]);
    const [strand] = plan.strands;
    expect(plan.strands).toHaveLength(1);
    expect([...(strand?.pointsMm ?? [])]).toEqual([1, 2, 0.4, 11, 2, 0.4, 11, 12, 0.4]);
    expect([...(strand?.normals.subarray(0, 3) ?? [])]).toEqual([0, 0, 1]);
    expect(strand?.widthMm[0]).toBeCloseTo(0.8, 7);
    expect(strand?.widthMm[1]).toBeCloseTo(0.8, 7);
    expect(strand?.speedMmS[0]).toBe(10);
    expect(strand?.flowMm3S[0]).toBeCloseTo(2.856637, 6);
    expect(strand).toMatchObject({ layer: 1, strand: 1, approach: 1, lengthMm: 20 });
  });

  it("reads flow as increments, and as plunger travel times 50 mm² of syringe", () => {
    const total = read(["(height 0.4)", "G0 Z0.4", `G1 X10 E${TEN_MM} F600`, `G1 X20 E${2 * TEN_MM}`]);
    const increment = read(["(height 0.4)", "G0 Z0.4", `G1 X10 E${TEN_MM} F600`, `G1 X20 E${TEN_MM}`], { flowMode: "increment" });
    const plunger = read(["(height 0.4)", "G0 Z0.4", `G1 X10 E${TEN_MM / 50} F600`, `G1 X20 E${TEN_MM / 25}`], { flowUnit: "plungerMm", syringeAreaMm2: 50 });
    for (const plan of [increment, plunger]) expect(plan.strands[0]?.widthMm[1]).toBeCloseTo(total.strands[0]?.widthMm[1] ?? 0, 9);
  });

  it.each([["G70"], ["G20"]])("takes lengths and feed in inches after %s, material as before", (word) => {
    const inches = read([word, "(height 0.4)", "G0 Z0.02", `G1 X1 E${2.54 * TEN_MM} F60`]);
    expect(inches.strands[0]?.lengthMm).toBeCloseTo(25.4, 12);
    expect(inches.strands[0]?.speedMmS[0]).toBeCloseTo(25.4, 12);
    expect(inches.strands[0]?.widthMm[0]).toBeCloseTo(0.8, 7);
  });

  it("moves by increments after G91, and G92 renames the present place without moving", () => {
    const plan = read(["(height 0.4)", "G0 X5 Z0.4", "G92 X0 E0", `G1 X10 E${TEN_MM} F600`, "G91", `G1 Y10 E${2 * TEN_MM}`, "G90", `G1 X0 E${3 * TEN_MM}`]);
    expect([...(plan.strands[0]?.pointsMm ?? [])]).toEqual([5, 0, 0.4, 15, 0, 0.4, 15, 10, 0.4, 5, 10, 0.4]);
  });

  it("ends a strand at a travel and at a retraction, not at a dwell or where material is primed in place", () => {
    const plan = read(["(height 0.4)", "G0 Z0.4", "G1 X3 E1 F600", "G4 X2", "G1 E1.5", "G1 X6 E2.5", "G0 Y2", "G1 X0 E4", "G1 E3", "G1 E4", "G1 X0 Y6 E6"]);
    expect(plan.strands.map((s) => [s.strand, s.lengthMm])).toEqual([[1, 6], [2, 6], [3, 4]]);
  });

  it("opens a layer where Z rises between strands, and takes the height from the rise: 0.4 then 0.35 mm", () => {
    const plan = read(["G0 Z0.4", "G1 X10 E3 F600", "G0 Y3", "G1 X0 E6", "G0 Z5", "G0 X0 Y0 Z0.75", "G1 X10 E9"]);
    expect(plan.strands.map((s) => [s.layer, s.strand])).toEqual([[1, 1], [1, 2], [2, 1]]);
    expect(plan.strands.map((s) => s.heightMm[0]).map((h) => h?.toFixed(6))).toEqual(["0.400000", "0.400000", "0.350000"]);
  });

  it("takes layers from comments alone where there are any", () => {
    const plan = read(["(layer 1)", "(height 0.4)", "G0 Z0.4", "G1 X10 E3 F600", "G0 Y3 Z0.9", "G1 X0 E6", "(LAYER 2)", "G0 Z1.1", "G1 X10 E9"]);
    expect(plan.strands.map((s) => [s.layer, s.strand])).toEqual([[1, 1], [1, 2], [2, 1]]);
  });

  it("keeps the tool axis of I J K until it changes, from the strand's first point on", () => {
    const plan = read(["(height 0.4)", "G0 Z0.4", "G0 I0 J0.6 K0.8", "G1 X10 E3 F600", "G1 X20 E6 J0 K1"], { axisWords: "IJK" });
    expect([...(plan.strands[0]?.normals ?? [])]).toEqual([0, 0.6, 0.8, 0, 0.6, 0.8, 0, 0, 1]);
  });

  it("reads small letters, G01, blanks inside words, comments after semicolons and CRLF", () => {
    const text = "\uFEFF(height 0.4) ; begin\r\ng00 z 0.4\r\n\r\ng01 x10 e3 f600 ; lay\r\n(done)\r\n";
    expect(readPlan(text, jobOf(), "plan.gcode").plan.strands[0]?.lengthMm).toBe(10);
  });
});

describe("bad plans in words", () => {
  const START = ["(height 0.4)", "G0 Z0.4"];
  it.each<[string, readonly string[], string, number | undefined, string | undefined]>([
    ["G2", [...START, "G2 X1 Y1 E1 F600"], "plan.badWord", 3, "G"],
    ["G92.1", [...START, "G92.1 X1"], "plan.badWord", 3, "G"],
    ["an M word", [...START, "M104"], "plan.badWord", 3, "M"],
    ["a word that is the tool's axis elsewhere", [...START, "G1 X1 I1 E1 F600"], "plan.badWord", 3, "I"],
    ["a text", [...START, "G1 X1 hello"], "plan.badNumber", 3, "H"],
    ["a sign without a letter", [...START, "%"], "plan.badWord", 3, undefined],
    ["a comment that is not closed", [...START, "(layer 1"], "plan.badWord", 3, undefined],
    ["a word without its number", [...START, "G1 X E1"], "plan.badNumber", 3, "X"],
    ["a number with two points", [...START, "G1 X1.2.3"], "plan.badNumber", 3, "X"],
    ["a word twice", [...START, "G1 X1 X2"], "plan.badLine", 3, "X"],
    ["two motions in a block", [...START, "G0 G1 X2"], "plan.badLine", 3, "G"],
    ["a move before any G0 or G1", ["X1"], "plan.badLine", 1, "G"],
    ["material on G0", [...START, "G0 X1 E1 F600"], "plan.badLine", 3, "E"],
    ["material without a feed", [...START, "G1 X1 E1"], "plan.badLine", 3, "F"],
    ["a feed of 0", [...START, "G1 X1 F0"], "plan.badNumber", 3, "F"],
    ["a height of 0", ["(height 0)"], "plan.badNumber", 1, "height"],
    ["no height and no rise", ["G0 Z0", "G1 X10 E3 F600"], "plan.noBead", 2, "height"],
    ["too little material for the height", [...START, "G1 X10 E0.9 F600"], "plan.noBead", 3, "E"],
    ["nothing but travels", [...START, "G1 X10 F600"], "plan.noStrand", undefined, undefined],
    ["layer 2 first", ["(layer 2)", ...START, "G1 X10 E3 F600"], "plan.order", 4, "layer"],
    ["a strand before layer 1 opens", [...START, "G1 X10 E3 F600", "(layer 1)", "G1 X20 E6"], "plan.order", 3, "layer"],
    ["layer 3 after layer 1", ["(layer 1)", ...START, "G1 X10 E3 F600", "(layer 3)", "G1 X20 E6"], "plan.order", 6, "layer"],
    ["a NUL byte", [...START, "G1 X\0"], "source.nulByte", 3, undefined],
  ])("refuses %s", (_, lines, code, line, key) => {
    const error = errorOf(lines);
    expect([error.code, error.place.line, error.place.key, error.place.file]).toEqual([code, line, key, "plan.gcode"]);
  });

  it("refuses a tool axis 0.002 off unit length", () => {
    const error = errorOf([...START, "G0 I0 J0 K1.002"], { axisWords: "IJK" });
    expect([error.code, error.place.line, error.place.key]).toEqual(["plan.notUnit", 3, "IJK"]);
  });
});
