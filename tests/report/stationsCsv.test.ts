import { describe, expect, it } from "vitest";
import { stationsCsv } from "../../lib/report/stationsCsv.ts";
import { madeResult } from "../support/madeResult.ts";

const RESULT = madeResult({ layers: 1, strands: 2, lengthMm: 3, spacingMm: 0.75, widthMm: 1.1, heightMm: 0.45, laidStrands: 1, faults: [{ layer: 1, strand: 1, fromMm: 0.7, toMm: 1.6, kind: "unmeasured" }] });
const text = stationsCsv(RESULT.stations);
const lines = text.split("\n");
const heading = lines[0]!.split(",");
const rows = lines.slice(1, -1).map((line) => Object.fromEntries(line.split(",").map((cell, i) => [heading[i]!, cell])));

describe("the stations table", () => {
  it("is a heading in snake_case with units, one line a station (10), ended by LF alone", () => {
    expect(heading.every((name) => /^[a-z]+(_[a-z0-9]+)*$/.test(name))).toBe(true);
    expect(heading.slice(0, 8)).toEqual(["layer", "strand", "s_mm", "attempt", "x_mm", "y_mm", "z_mm", "laid"]);
    expect([rows.length, text.endsWith("\n"), text.includes("\r")]).toEqual([10, true, false]);
    expect(new Set(lines.slice(0, -1).map((line) => line.split(",").length))).toEqual(new Set([heading.length]));
  });

  it("carries every number of the result unrounded: place, plan, reading, u, ratio and verdict of station 5", () => {
    const s = RESULT.stations[4]!, row = rows[4]!;
    const number = (key: string): number => Number(row[key]);
    expect([number("s_mm"), number("x_mm"), number("y_mm"), number("z_mm")]).toEqual([s.sMm, ...s.position]);
    expect([number("planned_width_mm"), number("planned_height_mm"), number("planned_area_mm2")]).toEqual([1.1, 0.45, s.planned.areaMm2]);
    expect([number("width_mm"), number("height_mm"), number("area_mm2"), number("offset_mm")]).toEqual([s.measured!.widthMm, s.measured!.heightMm, s.measured!.areaMm2, s.measured!.offsetMm]);
    expect([number("width_u_mm"), number("height_u_mm"), number("area_u_mm2"), number("offset_u_mm")]).toEqual([s.u!.widthMm, s.u!.heightMm, s.u!.areaMm2, s.u!.offsetMm]);
    expect([number("area_ratio"), number("coverage"), number("age_s"), row["support"], row["verdict"], row["laid"], row["proven"]]).toEqual([s.areaRatio, 0.97, 0.6, "measured", "inBand", "1", "1"]);
  });

  it("a cell is empty, not 0, where nothing was measured; pending is laid 0", () => {
    for (const [row, verdict, laid] of [[rows[1]!, "unmeasured", "1"], [rows[7]!, "pending", "0"]] as const) {
      expect([row["width_mm"], row["height_mm"], row["area_mm2"], row["area_u_mm2"], row["area_ratio"], row["coverage"], row["support"], row["age_s"], row["sag_mm"]]).toEqual(Array.from({ length: 9 }, () => ""));
      expect([row["verdict"], row["laid"], row["proven"]]).toEqual([verdict, laid, "0"]);
    }
  });

  it("what the camera says stands in the last four columns, empty where no used frame shows a station", () => {
    const [first, second] = RESULT.stations.map((at, i) => (i === 0 ? { ...at, camera: { state: "present" as const, widthMm: 0.98, u: { widthMm: 0.04 }, file: "frames/a,b.png" } } : at)), csv = stationsCsv([first!, second!]).split("\n");
    expect(heading.slice(-4)).toEqual(["camera_state", "camera_width_mm", "camera_width_u_mm", "camera_file"]);
    expect(csv[1]!.endsWith(',present,0.98,0.04,"frames/a,b.png"')).toBe(true);
    expect(csv[2]!.endsWith(",,,,")).toBe(true);
  });

  it("no stations are a heading alone", () => {
    expect(stationsCsv([])).toBe(`${lines[0]}\n`);
  });
});
