/** Paste that hangs at the nozzle above the bead. */
import { dilateMask, eachComponent, openMask } from "../kernel/mask.ts";
import type { Nozzle } from "../model/job.ts";
import type { Look } from "./look.ts";
import type { FrameScene } from "./scene.ts";
import { nozzleLengthMm, nozzleRadiusMm, type Stage } from "./stage.ts";
import { projectInto, type View } from "./view.ts";

export interface HangLook { readonly view: View; readonly stage: Stage; readonly look: Look; readonly scene: FrameScene; readonly nozzle: Nozzle; readonly widthMm: number; readonly cellMm: number }

/** Looked for from the tip up to there, mm, and so many widths beside the nozzle; from METAL_MM on it shows what it is made of. */
const TO_MM = 8, BESIDE_WIDTHS = 1.5, METAL_MM = 4.5;
/** Colour of paste: squared distance. */
const MOST_FROM_PASTE = 40;
/** What is thinner is a streak of light on metal, mm. */
const THIN_MM = 0.14;
/** A bead behind is as much paste as what hangs: so much round it does not count, mm. */
const ROUND_BEAD_MM = 0.15;
/** Lower than this over the tip paste at the nozzle's edge is the bead that is being laid, widths. */
const LOW_WIDTHS = 0.35;
/** Fewer cells of the nozzle in the picture: it is not in view. */
const LEAST_NOZZLE = 20;

/** Area, mm² at the tip's distance: cells that look like paste on the nozzle or joined to it; NaN: the nozzle is not in view. */
export function hangArea({ view, stage, look, scene, nozzle, widthMm, cellMm }: HangLook): number {
  if (scene.nozzle === null) return Number.NaN;
  const { width, height } = view, { layers, ids } = stage, { tip, axis } = scene.nozzle, ends = new Float64Array(6);
  const top = Math.min(TO_MM, nozzleLengthMm(nozzle));
  projectInto(view, tip[0], tip[1], tip[2], ends, 0);
  projectInto(view, tip[0] + top * axis[0], tip[1] + top * axis[1], tip[2] + top * axis[2], ends, 3);
  const [x0, y0, x1, y1] = [ends[0]!, ends[1]!, ends[3]!, ends[4]!], length = Math.sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2);
  if (!(length > 1)) return Number.NaN;
  let nozzleCells = 0;
  const beads = new Uint8Array(width * height), like = new Uint8Array(width * height);
  for (let at = 0; at < beads.length; at++) beads[at] = layers.id1[at]! >= 0 && layers.id1[at]! < ids.strip ? 1 : 0;
  const nearBeads = dilateMask(beads, width, height, Math.max(1, Math.round(ROUND_BEAD_MM / cellMm)));
  const inside = new Int32Array(width * height), metal: number[] = [];
  let insideCount = 0;
  for (let r = 0, at = 0; r < height; r++) {
    for (let c = 0; c < width; c++, at++) {
      const along = ((c - x0) * (x1 - x0) + (r - y0) * (y1 - y0)) / length, aside = Math.abs((c - x0) * (y1 - y0) - (r - y0) * (x1 - x0)) / length;
      if (along < 0 || along > length) continue;
      const above = top * along / length;
      if (aside * cellMm > nozzleRadiusMm(nozzle, above) + BESIDE_WIDTHS * widthMm) continue;
      const isNozzle = layers.id1[at] === ids.nozzle;
      if (isNozzle && look.score[at] === look.score[at]) nozzleCells++;
      if (isNozzle && above > METAL_MM) metal.push(at);
      if (nearBeads[at] === 0 ? isNozzle || above > LOW_WIDTHS * widthMm / 2 : isNozzle && above > LOW_WIDTHS * widthMm) inside[insideCount++] = at;
    }
  }
  if (nozzleCells < LEAST_NOZZLE) return Number.NaN;
  const fromMetal = look.fromCells(Int32Array.from(metal));
  for (const at of inside.subarray(0, insideCount)) {
    const away = look.fromPaste(at);
    if (look.score[at]! > look.threshold && away < MOST_FROM_PASTE && (fromMetal === null || away < fromMetal(at))) like[at] = 1;
  }
  const opened = openMask(like, width, height, Math.max(1, Math.round(THIN_MM / cellMm))), perCell = (view.step / (view.lens.fx * ends[2]!)) ** 2;
  let area = 0;
  eachComponent(opened, width, height, (cells) => { if (cells.some((at) => layers.id1[at] === ids.nozzle)) area += cells.length * perCell; });
  return area;
}
