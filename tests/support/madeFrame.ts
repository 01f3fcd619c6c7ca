/** A frame that no camera took: flat strands along x under a camera that looks straight down, so that pixels follow by similar triangles. */
import type { FramedStrand, FrameScene } from "../../lib/formula/frameDrawing.ts";
import type { FrameResult } from "../../lib/model/frame.ts";
import type { Camera, Pose } from "../../lib/model/job.ts";

export const MADE_CAMERA: Camera = { id: "camera-1", kind: "camera", widthPx: 640, heightPx: 480, fx: 800, fy: 800, cx: 320, cy: 240, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0, maskPx: [[10, 20, 50, 50]], clockOffsetS: null, calibration: null };
/** 100 mm over the tops of the first layer, its x along the plan's, its y against it. */
export const MADE_POSE: Pose = [10, 0, 100.5, 1, 0, 0, 0];

/** Strand n of a layer lies at y = 3 n − 6 mm, from 0 to 20 mm, a station every 0.5 mm, 1.2 × 0.5 mm. */
export function madeFramedStrand(layer: number, strand: number, count = 41): FramedStrand {
  const at = (of: (i: number) => readonly number[]): number[] => Array.from({ length: count }, (_, i) => of(i)).flat();
  return {
    layer, strand, sMm: at((i) => [i / 2]), positionsMm: at((i) => [i / 2, 3 * strand - 6, 0.5 * layer]), tangents: at(() => [1, 0, 0]), normals: at(() => [0, 0, 1]),
    plannedWidthMm: at(() => [1.2]), plannedHeightMm: at(() => [0.5]),
  };
}

export const MADE_FRAME: FrameResult = {
  file: "frames/004.png", tS: 12.34, used: true, reason: null, separability: 0.973, poseErrorMm: 0.12, nozzleHangMm2: 0,
  stretches: [
    { layer: 1, strand: 1, fromMm: 0, toMm: 20, state: "present" }, { layer: 1, strand: 2, fromMm: 0, toMm: 7, state: "present" },
    { layer: 1, strand: 2, fromMm: 7.5, toMm: 9.5, state: "absent" }, { layer: 1, strand: 2, fromMm: 10, toMm: 20, state: "hidden" },
  ],
  bodies: [{ position: [5, 2, 0], areaMm2: 3.1 }],
};

export const MADE_SCENE: FrameScene = {
  camera: MADE_CAMERA, pose: MADE_POSE, strands: [madeFramedStrand(1, 1), madeFramedStrand(1, 2), madeFramedStrand(1, 3)], frame: MADE_FRAME, layer: 1,
  chosen: { layer: 1, strand: 2, station: 17 }, letters: [{ position: [8.5, 0, 0.5], text: "G" }],
};
