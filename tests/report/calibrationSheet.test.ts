import { describe, expect, it } from "vitest";
import type { Calibration } from "../../lib/model/calibration.ts";
import { readCalibration } from "../../lib/model/calibrationShape.ts";
import type { ReportBlock } from "../../lib/model/report.ts";
import { calibrationSheet } from "../../lib/report/calibrationSheet.ts";

const u = { fx: 0.4, fy: 0.5, cx: 0.6, cy: 0.7, k1: 0.01, k2: 0.02, p1: 0.001, p2: 0.002, k3: 0 };
/** A 3 × 2 board in one picture of 200 × 100 px, each point 0.1 px to the right of where it is computed. */
const MADE: Calibration = {
  contract: "aslaid/1", board: { pattern: "checkerboard", columns: 3, rows: 2, pitchMm: 5, camera: "camera-2" },
  device: { id: "camera-2", kind: "camera", widthPx: 200, heightPx: 100, fx: 210, fy: 211, cx: 99, cy: 51, k1: -0.1, k2: 0.03, p1: 0.001, p2: 0, k3: 0, calibration: { at: "sha256:ab", pictures: 1, points: 6, rmsPx: 0.1, u, verdict: "doubtful", why: ["Few pictures."] } },
  checks: [{ name: "pictures", verdict: "doubtful", sentence: "Few pictures." }],
  boards: [{ file: "a.png", pointsPx: [20, 30, 60, 30, 100, 30, 20, 70, 60, 70, 100, 70], residualsPx: [0.1, 0, 0.1, 0, 0.1, 0, 0.1, 0, 0.1, 0, 0.1, 0], rmsPx: 0.1, tiltDeg: 12, distanceMm: 140 }],
  leftOut: [{ file: "b.png", why: "expected a grid of 3 × 2 corners, found none" }],
  handEye: { pictures: 1, verdict: "bad", checks: [{ name: "turns of the arm", verdict: "bad", sentence: "One axis alone." }], mount: null, rmsMm: null, rmsDeg: null }, warnings: ["the key x of board.json is not known and is ignored"],
};
const blocks = calibrationSheet(MADE).sections.flatMap((section) => section.blocks), drawing = (id: string) => (blocks.find((block) => block.kind === "drawing" && block.drawing.id === id) as Extract<ReportBlock, { kind: "drawing" }>).drawing;

describe("calibrationSheet", () => {
  it("opens with verdict, first reason, what was left out and the mount; its blocks are those of the job", () => {
    const { headline, detail, blocksText } = calibrationSheet(MADE);
    expect(headline).toBe("The calibration of camera-2 is doubtful.");
    expect(detail).toBe("Few pictures. One picture of 2 left out. Its place on the tool is not determined.");
    expect(JSON.parse(blocksText)).toEqual({ devices: [MADE.device], mounts: [] });
  });

  it("draws a board where it lies: the first row from (20.5, 30.5) to (100.5, 30.5) px at 2.1 points a px", () => {
    expect(drawing("calibration-boards").marks).toContainEqual(expect.objectContaining({ look: "thick", points: [20.5, 30.5, 60.5, 30.5, 100.5, 30.5].map((px) => expect.closeTo(px * 2.1, 6)) }));
    expect(drawing("calibration-boards").scaleWords).toBe("picture of 200 × 100 px, 0.48 px a point");
  });

  it("draws errors of 0.1 px fifty times as long, 10.5 points to the right, and says so", () => {
    const { marks, title } = drawing("calibration-errors");
    expect(title).toContain("errors 50 times as long as they are");
    const first = marks.find((mark) => mark.kind === "path" && mark.look === "thick")!;
    expect((first as { points: readonly number[] }).points.map((v) => Math.round(v * 1e6) / 1e6)).toEqual([43.05, 64.05, 53.55, 64.05]);
  });

  it("says of a number that it is held, and warns of what is not known", () => {
    expect(blocks).toContainEqual({ kind: "caution", text: "the key x of board.json is not known and is ignored" });
    expect(JSON.stringify(blocks)).toContain('["k3","0.000000","held",""]');
  });
});

describe("readCalibration", () => {
  it("takes what was written, number for number", () => {
    expect(readCalibration(JSON.parse(JSON.stringify(MADE)), "detail.json")).toEqual(MADE);
  });

  it.each([["boards", { boards: [{ ...MADE.boards[0]!, pointsPx: [1, 2] }] }], ["board.columns", { board: { ...MADE.board, columns: 0 } }], ["device.fx", { device: { ...MADE.device, fx: -1 } }]])("refuses with calibration.badValue where %s is wrong", (key, change) => {
    expect(() => readCalibration({ ...MADE, ...change }, "detail.json")).toThrow(expect.objectContaining({ code: "calibration.badValue", place: { file: "detail.json", key } }));
  });
});
