import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { laidAreaMm2 } from "../../lib/formula/bead.ts";
import type { BeadShape, Job } from "../../lib/model/job.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";

const HEAD = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s";
const ROWS = ["1,1,0,0,0.5,0,0,1,0.8,0.4,10,2.9", "1,1,3,4,0.5,0,0,1,0.9,0.4,11,2.8", "1,1,3,10,0.5,0,0,1,0.9,0.4,11,2.8"];

function jobOf(beadShape: BeadShape = "stadium"): Job {
  return resolveJob({
    contract: "aslaid/1", name: "n", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 },
    material: { name: "m", beadShape }, devices: [],
  }, "job.json").job;
}
const csv = (...rows: string[]): string => [HEAD, ...rows].map((row) => `${row}\n`).join("");
const read = (text: string, shape?: BeadShape) => readPlanCsv(text, jobOf(shape), "plan.csv");

function errorOf(text: string, shape?: BeadShape): InputError {
  try {
    read(text, shape);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("expected an InputError, got none");
}

describe("a plan in CSV", () => {
  it("has arc lengths 0, 5 and 11 mm along (0, 0) (3, 4) (3, 10), and beads that hold from a waypoint to the next (check value 1.19)", () => {
    const { plan, warnings } = read(csv(...ROWS));
    const [strand] = plan.strands;
    expect([...(strand?.arcMm ?? [])]).toEqual([0, 5, 11]);
    expect(strand).toMatchObject({ layer: 1, strand: 1, approach: 1, pointCount: 3, lengthMm: 11 });
    expect([...(strand?.widthMm ?? [])]).toEqual([0.8, 0.9, 0.9]);
    expect([...(strand?.speedMmS ?? [])]).toEqual([10, 11, 11]);
    expect(plan.layerCount).toBe(1);
    expect(warnings).toEqual([]);
  });

  it("gives width 0.8 mm for 2.856637 mm³/s at 10 mm/s and height 0.4 mm, and the flow back (check values 1.1, 1.3 and 1.11)", () => {
    const width = read(csv("1,1,0,0,0.5,0,0,1,,0.4,10,2.85663706144", "1,1,5,0,0.5,0,0,1,,0.4,10,2.85663706144")).plan.strands[0];
    expect(width?.widthMm[0]).toBeCloseTo(0.8, 9);
    const flow = read(csv("1,1,0,0,0.5,0,0,1,0.8,0.4,10,", "1,1,5,0,0.5,0,0,1,0.8,0.4,10,")).plan.strands[0];
    expect(flow?.flowMm3S[0]).toBeCloseTo(2.856637, 6);
  });

  it("gives the width of a segment by volume conservation as well", () => {
    const areaMm2 = laidAreaMm2("segment", 1.3, 0.45);
    const strand = read(csv(`1,1,0,0,0.5,0,0,1,,0.45,7,${areaMm2 * 7}`, "1,1,5,0,0.5,0,0,1,,0.45,7,1"), "segment").plan.strands[0];
    expect(strand?.widthMm[0]).toBeCloseTo(1.3, 9);
  });

  it("reads the same with a byte-order mark, CRLF, quoted fields, blank lines and columns in another order", () => {
    const plain = read(csv(...ROWS));
    const order = [11, 3, 2, 1, 0, 4, 5, 6, 7, 8, 9, 10];
    const turn = (row: string): string => order.map((i) => `"${row.split(",")[i] ?? ""}"`).join(",");
    const text = `\uFEFF${[HEAD, ...ROWS].map(turn).join("\r\n")}\r\n\r\n`;
    expect(read(text)).toEqual(plain);
  });

  it("warns once for each unknown column and names it", () => {
    const text = [`${HEAD},mood,approach`, ...ROWS.map((row) => `${row},good,2`)].join("\n");
    const { plan, warnings } = read(text);
    expect(warnings).toEqual([{ code: "plan.unknownColumn", message: "the column mood is not known and is ignored", file: "plan.csv", line: 1 }]);
    expect(plan.strands[0]?.approach).toBe(2);
  });

  it("merges a waypoint that repeats the place before it, and takes the later row's bead from there", () => {
    const strand = read(csv("1,1,0,0,0.5,0,0,1,0.8,0.4,10,2", "1,1,2,0,0.5,0,0,1,0.9,0.4,11,3", "1,1,2,0,0.5,0,0,1,1.1,0.4,12,4", "1,1,7,0,0.5,0,0,1,0.7,0.4,13,5")).plan.strands[0];
    expect([...(strand?.arcMm ?? [])]).toEqual([0, 2, 7]);
    expect([...(strand?.widthMm ?? [])]).toEqual([0.8, 1.1, 1.1]);
  });

  it("lets the bead of the last waypoint be blank or stand still", () => {
    const [first = "", second = ""] = ROWS;
    for (const end of ["1,1,3,10,0.5,0,0,1,,,,", "1,1,3,10,0.5,0,0,1,,,0,0"]) expect(read(csv(first, second, end))).toEqual(read(csv(...ROWS)));
  });

  it("normalises a normal of length 1.0009", () => {
    const strand = read(csv("1,1,0,0,0.5,0,0.60054,0.80072,0.8,0.4,10,2", "1,1,5,0,0.5,0,0,1,0.8,0.4,10,2")).plan.strands[0];
    expect(Math.hypot(...(strand?.normals.subarray(0, 3) ?? []))).toBeCloseTo(1, 14);
  });

  it("keeps strand order over two layers", () => {
    const text = csv(...ROWS, "1,2,0,9,0.5,0,0,1,0.8,0.4,10,2", "1,2,5,9,0.5,0,0,1,0.8,0.4,10,2", "2,1,0,0,0.9,0,0,1,0.8,0.4,10,2", "2,1,4,0,0.9,0,0,1,0.8,0.4,10,2");
    const { plan } = read(text);
    expect(plan.strands.map((s) => [s.layer, s.strand, s.lengthMm])).toEqual([[1, 1, 11], [1, 2, 5], [2, 1, 4]]);
    expect(plan.layerCount).toBe(2);
  });
});

describe("bad plans in CSV", () => {
  const [a = "", b = ""] = ROWS;
  it.each<[string, string, string, number | undefined, string | undefined]>([
    ["an empty file", "", "plan.missingColumn", 1, "layer"],
    ["a missing column", csv(a).replace(",nz", ""), "plan.missingColumn", 1, "nz"],
    ["a column twice", csv(a).replace("nx,ny", "nx,nx"), "plan.badLine", 1, "nx"],
    ["no strand", csv(), "plan.noStrand", undefined, undefined],
    ["a row of 11 cells", csv(a, "1,1,3,4,0.5,0,0,1,0.9,0.4,11"), "plan.badLine", 3, undefined],
    ["a quote that is never closed", csv(a, '1,1,3,4,0.5,0,0,1,"0.9,0.4,11,2'), "plan.badLine", 3, undefined],
    ["NaN for a place", csv(a, "1,1,NaN,4,0.5,0,0,1,0.9,0.4,11,2"), "plan.badNumber", 3, "x_mm"],
    ["Infinity for a speed", csv("1,1,0,0,0.5,0,0,1,0.8,0.4,Infinity,2", b), "plan.badNumber", 2, "speed_mm_s"],
    ["a blank place", csv(a, "1,1,3,,0.5,0,0,1,0.9,0.4,11,2"), "plan.badNumber", 3, "y_mm"],
    ["a hexadecimal number", csv(a, "1,1,0x3,4,0.5,0,0,1,0.9,0.4,11,2"), "plan.badNumber", 3, "x_mm"],
    ["a speed of 0 in mid-strand", csv("1,1,0,0,0.5,0,0,1,0.8,0.4,0,2", b), "plan.badNumber", 2, "speed_mm_s"],
    ["neither width nor flow", csv("1,1,0,0,0.5,0,0,1,,0.4,10,", b), "plan.badNumber", 2, "width_mm"],
    ["layer 1.5", csv("1.5,1,0,0,0.5,0,0,1,0.8,0.4,10,2", b), "plan.badNumber", 2, "layer"],
    ["a stadium 0.39 mm wide and 0.4 mm high", csv("1,1,0,0,0.5,0,0,1,0.39,0.4,10,2", b), "plan.narrow", 2, "width_mm"],
    ["a narrow stadium in the strand's last row", csv(a, "1,1,3,4,0.5,0,0,1,0.39,0.4,11,2"), "plan.narrow", 3, "width_mm"],
    ["a flow that makes no stadium", csv("1,1,0,0,0.5,0,0,1,,0.4,10,1.2", b), "plan.noBead", 2, "flow_mm3_s"],
    ["a normal of length 1.0011", csv("1,1,0,0,0.5,0,0,1.0011,0.8,0.4,10,2", b), "plan.notUnit", 2, "nx"],
    ["a normal of length 0", csv(a, "1,1,3,4,0.5,0,0,0,0.9,0.4,11,2"), "plan.notUnit", 3, "nx"],
    ["a strand of one point", csv(a, b, "1,2,3,4,0.5,0,0,1,0.9,0.4,11,2"), "plan.zeroLength", 4, undefined],
    ["a strand whose points are one place", csv(a, b, "1,2,3,4,0.5,0,0,1,0.9,0.4,11,2", "1,2,3,4,0.5,0,0,1,0.9,0.4,11,2"), "plan.zeroLength", 4, undefined],
    ["a file that begins with strand 2", csv(a.replace("1,1,", "1,2,"), b), "plan.order", 2, "strand"],
    ["a file that begins with layer 2", csv(a.replace("1,1,", "2,1,"), b), "plan.order", 2, "layer"],
    ["strand 3 after strand 1", csv(a, b, a.replace("1,1,", "1,3,")), "plan.order", 4, "strand"],
    ["strands that interleave", csv(a, b, a.replace("1,1,", "1,2,"), b.replace("1,1,", "1,2,"), a), "plan.order", 6, "strand"],
    ["layer 1 after layer 2", csv(a, b, a.replace("1,1,", "2,1,"), b.replace("1,1,", "2,1,"), a.replace("1,1,", "1,2,")), "plan.order", 6, "layer"],
    ["a NUL byte", csv(a, b.replace("4", "\0")), "source.nulByte", 3, undefined],
    ["two approaches of one strand", `${HEAD},approach\n${a},1\n${b},2\n`, "plan.badLine", 3, "approach"],
  ])("refuses %s", (_, text, code, line, key) => {
    const error = errorOf(text);
    expect([error.code, error.place.line, error.place.key, error.place.file]).toEqual([code, line, key, "plan.csv"]);
    expect(error.message).toMatch(/^expected .+, got .+/);
  });

  it("takes a stadium 0.4 mm wide and 0.4 mm high, on the limit", () => {
    const strand = read(csv("1,1,0,0,0.5,0,0,1,0.4,0.4,10,", "1,1,5,0,0.5,0,0,1,0.4,0.4,10,")).plan.strands[0];
    expect(strand?.flowMm3S[0]).toBeCloseTo(Math.PI * 0.04 * 10, 12);
  });
});
