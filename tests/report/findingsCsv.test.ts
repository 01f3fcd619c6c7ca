import { parse } from "csv-parse/sync";
import { describe, expect, it } from "vitest";
import type { FindingDisposition } from "../../lib/model/disposition.ts";
import type { BodyFinding, Finding, PoreFinding } from "../../lib/model/result.ts";
import { csvCell } from "../../lib/report/csvCell.ts";
import { findingsCsv } from "../../lib/report/findingsCsv.ts";
import { madeResult } from "../support/madeResult.ts";

const STRAY: BodyFinding = { kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 1.9, volumeMm3: null, lengthMm: 2.1, position: [15.2, -5.25, 1], worst: { metric: "areaMm2", value: 1.9, limit: 0.5 } };
const PORE: PoreFinding = { kind: "closedPore", severity: "watch", proven: false, layer: 1, strand: 4, position: [3.5, 6.5, 0.5], areaMm2: 0.33 };
const FINDINGS: readonly Finding[] = [
  ...madeResult({ layers: 2, strands: 3, lengthMm: 6, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [{ layer: 2, strand: 3, fromMm: 1.5, toMm: 4.25, kind: "gap" }, { layer: 1, strand: 2, fromMm: 0, toMm: 3, kind: "unmeasured" }] }).findings, STRAY, PORE,
];
const decided = (seq: number, more: Partial<FindingDisposition>): FindingDisposition => ({ seq, at: `2026-02-03T09:1${seq}:00.000Z`, actor: "M. Ort", resultId: "r1", findingIndex: 0, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "", ...more });
const rowsOf = (text: string): Record<string, string>[] => parse<Record<string, string>>(text, { columns: true });

describe("the findings' table, read by csv-parse", () => {
  it("four findings of three sorts carry every number in full; what a sort has not is empty, and −5.25 stays a number", () => {
    const rows = rowsOf(findingsCsv("r1", FINDINGS, []));
    expect(rows.map((row) => [row["finding"], row["kind"], row["severity"], row["proven"], row["layer"], row["strand"]])).toEqual([
      ["1", "gap", "act", "1", "2", "3"], ["2", "unmeasured", "watch", "0", "1", "2"], ["3", "strayMaterial", "act", "1", "2", ""], ["4", "closedPore", "watch", "0", "1", "4"],
    ]);
    expect([rows[0]!["from_mm"], rows[0]!["to_mm"], rows[0]!["length_mm"], rows[0]!["worst_metric"], rows[0]!["worst_value"], rows[0]!["worst_limit"]]).toEqual(["1.5", "4.25", "2.75", "area_ratio", "0.02", "0.25"]);
    expect([rows[1]!["worst_metric"], rows[1]!["worst_value"], rows[1]!["worst_limit"], rows[1]!["area_mm2"]]).toEqual(["coverage", "", "0.6", ""]);
    expect([rows[2]!["x_mm"], rows[2]!["y_mm"], rows[2]!["z_mm"], rows[2]!["area_mm2"], rows[2]!["volume_mm3"], rows[2]!["from_mm"], rows[2]!["worst_metric"]]).toEqual(["15.2", "-5.25", "1", "1.9", "", "", "area_mm2"]);
    expect([rows[3]!["area_mm2"], rows[3]!["length_mm"], rows[3]!["worst_metric"], rows[3]!["worst_limit"]]).toEqual(["0.33", "", "", ""]);
  });

  it("of two decisions about finding 1 the later counts, with who and when; one about another result's finding 2 does not", () => {
    const rows = rowsOf(findingsCsv("r1", FINDINGS, [
      decided(2, {}), decided(5, { actor: "Zoë Öz", disposition: "false", reason: "sensorArtefact", note: "Glanz, \"hell\"\nam Rand" }), decided(6, { findingIndex: 1, resultId: "r2" }),
    ]));
    expect(["disposition", "disposition_reason", "disposition_note", "decided_by", "decided_at"].map((key) => rows[0]![key])).toEqual(["false", "glare, shadow or a spike of the sensor", "Glanz, \"hell\"\nam Rand", "Zoë Öz", "2026-02-03T09:15:00.000Z"]);
    expect(["disposition", "decided_by", "decided_at"].map((key) => rows[1]![key])).toEqual(["", "", ""]);
  });

  it.each(["=1+2", "+49 30", "-7 °C", "@SUM(A1)", "\tx", "=HYPERLINK(\"http://x\",\"y\")"])("the note %j is made harmless by an apostrophe before it, and is whole behind it", (note) => {
    const [row] = rowsOf(findingsCsv("r1", FINDINGS, [decided(2, { note, actor: note })]));
    expect([row!["disposition_note"], row!["decided_by"]]).toEqual([`'${note}`, `'${note}`]);
  });
});

describe("what frames raise", () => {
  it("stands in the last four columns: the frame, the camera, and what camera and profiler say; empty for the rest", () => {
    const rows = rowsOf(findingsCsv("r1", [
      { kind: "cameraPose", severity: "watch", proven: false, layer: 2, device: "camera-1", position: [1, 2, 3], worst: { metric: "poseErrorMm", value: 0.8, limit: 0.5 }, file: "frames/a.png" },
      { kind: "sensorsDisagree", severity: "act", proven: true, layer: 1, strand: 2, fromMm: 3, toMm: 5, lengthMm: 2, position: [1, 2, 3], camera: "absent", verdict: "inBand", worst: { metric: "pasteFraction", value: 0.05, limit: 0.25 }, file: "frames/b.png" }, STRAY,
    ], []));
    expect(Object.keys(rows[0]!).slice(-4)).toEqual(["frame_file", "device", "camera_state", "profiler_verdict"]);
    expect(rows.map((row) => Object.values(row).slice(-4))).toEqual([["frames/a.png", "camera-1", "", ""], ["frames/b.png", "", "absent", "inBand"], ["", "", "", ""]]);
    expect(rows.map((row) => row["worst_metric"])).toEqual(["pose_error_mm", "paste_fraction", "area_mm2"]);
  });
});

describe("a cell", () => {
  it("of a number is the number in full, of a text that ends in a formula's sign the text, of nothing empty", () => {
    expect([csvCell(-0.1), csvCell(1e-7), csvCell(0), csvCell("a=b"), csvCell("a,b"), csvCell("3-4"), csvCell(null), csvCell("")]).toEqual(["-0.1", "1e-7", "0", "a=b", '"a,b"', "3-4", "", ""]);
  });
});
