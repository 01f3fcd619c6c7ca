/** The camera's part of a report. Frames and stations are made. */
import { describe, expect, it } from "vitest";
import { frameDrawing } from "../../lib/formula/frameDrawing.ts";
import { pictureKey, type DrawingMark, type ReportBlock } from "../../lib/model/report.ts";
import type { Finding } from "../../lib/model/result.ts";
import { framesSection } from "../../lib/report/body/framesSection.ts";
import { frameCropDrawing } from "../../lib/report/draw/frameDrawing.ts";
import { MADE_CAMERA, MADE_FRAME, MADE_SCENE } from "../support/madeFrame.ts";
import { madeResult } from "../support/madeResult.ts";

const job = { devices: [MADE_CAMERA], tolerance: { camera: { separability: 0.9, poseErrorMm: 0.5 } } } as never;
const { stations } = madeResult({ layers: 1, strands: 1, lengthMm: 4, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [{ layer: 1, strand: 1, fromMm: 1, toMm: 2, kind: "unmeasured" }] });
const seen = stations.map((at) => ({ ...at, camera: { state: "present" as const, widthMm: 0.9, u: { widthMm: 0.04 }, file: MADE_FRAME.file } }));
const textOf = (blocks: readonly ReportBlock[]): string => blocks.map((block) => (block.kind === "words" || block.kind === "caution" ? block.text : block.kind === "facts" ? block.facts.map(({ name, value }) => `${name}: ${value}`).join("\n") : "")).join("\n");

describe("the section on frames", () => {
  const dark = { ...MADE_FRAME, file: "frames/005.png", tS: 15, used: false, reason: "badExposure" as const, stretches: [], bodies: [], separability: null, poseErrorMm: null, nozzleHangMm2: null };
  it("counts frames by what became of them, draws both qualities over time, and says that no calibration is stated", () => {
    const section = framesSection({ frames: [MADE_FRAME, dark], job, stations });
    expect(textOf(section?.blocks ?? [])).toMatch(/^Two frames came, one was used; not used: one too dark or too bright\./);
    expect(textOf(section?.blocks ?? [])).toContain("camera-1: 640 × 480 px, focal lengths 800.0 and 800.0 px, one masked rectangle");
    expect(textOf(section?.blocks ?? [])).toContain("no calibration stated");
    const drawing = section?.blocks.find((block) => block.kind === "drawing");
    expect(drawing?.kind === "drawing" && drawing.drawing.alt).toBe("Two frames over time: separability 0.973 to 0.973, 0.9 asked; off their place 0.12 to 0.12 mm, 0.5 mm allowed.");
    const table = section?.blocks.find((block) => block.kind === "table");
    expect(table?.kind === "table" && table.table.rows).toEqual([
      ["frames/004.png", "12.34", "used", "0.973", "0.12", "27.0", "2.0", "10.0", "1", "0.0"], ["frames/005.png", "15.00", "not used: it is too dark or too bright", "–", "–", "–", "–", "–", "–", "–"],
    ]);
  });
  it("prints a calibration with its judgement, and what its pictures do not determine", () => {
    const calibration = { at: "sha256:ab12", pictures: 14, points: 1232, rmsPx: 0.1834, u: { fx: 1.24, fy: 1.31, cx: 0.62, cy: 0.71, k1: 0.0021, k2: 0.012, p1: 0.0001, p2: 0, k3: null }, verdict: "doubtful" as const, why: ["No picture shows the board near the upper left corner."] };
    const said = textOf(framesSection({ frames: [MADE_FRAME], job: { devices: [{ ...MADE_CAMERA, calibration }], tolerance: { camera: { separability: 0.9, poseErrorMm: 0.5 } } } as never, stations })?.blocks ?? []);
    expect(said).toContain("camera-1, calibration: doubtful: 14 pictures, 1\u2009232 points, 0.183 px from where they ought to be (root mean square); sha256:ab12");
    expect(said).toContain("fx u 1.2, fy u 1.3, cx u 0.620, cy u 0.710, k1 u 2.1e-3, k2 u 0.012, p1 u 1.0e-4, p2 held, k3 not determined");
    expect(said).toContain("camera-1, judged: No picture shows the board near the upper left corner.");
  });
  it("warns of the three of nine stations that a camera alone saw; is not there without camera and frames; says where none came", () => {
    expect(textOf(framesSection({ frames: [MADE_FRAME], job, stations: seen })?.blocks ?? [])).toContain("3 stations were seen by a camera alone.");
    expect(framesSection({ frames: [], job: { devices: [] } as never, stations })).toBeNull();
    expect(textOf(framesSection({ frames: [], job, stations })?.blocks ?? [])).toMatch(/^No frame came\./);
  });
});

describe("a finding's part of a frame", () => {
  const gap = { kind: "gap", severity: "act", layer: 1, strand: 2, fromMm: 7.5, toMm: 9.5, lengthMm: 2 } as unknown as Finding;
  const drawing = frameCropDrawing("finding-0-frame", MADE_FRAME, gap, { drawing: frameDrawing(MADE_SCENE), sha256: "ab" }, { lengthMm: 2, barMm: 1.8 * 1.2 });
  it("is whole pixels with the place in their middle, and names the picture by its hash", () => {
    // the gap's place is seen at 320 + 8 · (8.5 − 10) = 308, 240; 2 mm are 16 px, so the least width of 220 px holds
    const [image] = drawing?.marks ?? [];
    expect(image).toMatchObject({ kind: "image", file: "frames/004.png", sha256: "ab", picturePx: [640, 480], cropPx: [198, 163, 220, 154], x: 0, y: 0, width: 340 });
    expect(pictureKey(image as Extract<DrawingMark, { kind: "image" }>)).toBe("ab/198,163,220,154");
  });
  it("each line stands on a casing, the gap looks as gaps do, and its letter is there", () => {
    const marks = drawing?.marks ?? [], looks = marks.flatMap((mark) => (mark.kind === "path" ? [`${mark.look}/${mark.fill}`] : []));
    expect(looks).toContain("none/gap");
    looks.forEach((look, i) => { if (look !== "casing/none") expect(looks[i - 1]).toBe("casing/none"); });
    expect(marks.at(-1)).toMatchObject({ kind: "tag", letter: "G", verdict: "gap" });
  });
  it("is none where the place lies outside the picture", () => {
    expect(frameCropDrawing("x", MADE_FRAME, gap, { drawing: frameDrawing({ ...MADE_SCENE, letters: [{ position: [900, 0, 0], text: "G" }] }), sha256: "ab" }, { lengthMm: 2, barMm: 2 })).toBeNull();
  });
});
