/**
 * A laid station before the camera. Its bead is looked at in the plane half-way up it, along the station's lateral: there both edges of a stadium's
 * silhouette lie alike, at ± (w − h)/2 + h/(2 cos θ), θ being the view's lean across the strand (plane geometry).
 */
import { flankRadiusMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";
import type { StationPlan } from "../model/stations.ts";
import { NOT_LAID, type FrameScene, type StationColumns } from "./scene.ts";
import { known } from "./stage.ts";
import { projectInto, type View } from "./view.ts";

export interface Station {
  readonly index: number;
  /** Height of the bead, measured or planned, and its standard uncertainty. */
  readonly heightMm: number; readonly uHeightMm: number;
  readonly plannedWidthMm: number;
  /** At an end of what is laid it is looked at from so far inside, along the strand, mm; 0 elsewhere. */
  readonly inwardMm: number;
  /** Where the profiler put the bead; 0 where it did not. */
  readonly offsetMm: number;
  /** tan θ: the view's lean towards +lateral, and cos θ. */
  readonly lean: number; readonly cos: number;
  /** Edges of the planned bead's silhouette in the middle plane, from its centre: right (< 0) and left. */
  readonly rightMm: number; readonly leftMm: number;
  /** How far the lateral window reaches beyond the planned flanks. */
  readonly beyondRightMm: number; readonly beyondLeftMm: number;
  /** Inverse depth of its middle, 1/mm. */
  readonly inverse: number;
  /** Column and row (cells) of the middle plane's point at lateral b, moved `alongMm` along the strand. */
  readonly cellAt: (bMm: number, alongMm?: number) => readonly [number, number];
}

/** An end is looked at from so far inside, mm: what lies beyond it is not mixed in. */
const INWARD_MM = 0.3;
/** A view flatter than this along the target sees no bead: cosine. */
const FLAT_COS = 0.15;
/** A planned height is this uncertain, share (common practice, no source). */
const PLANNED_HEIGHT_U = 0.1;

/** Lateral places of both edges of a bead's silhouette in the middle plane, from its centre: [right, left] mm. */
export function silhouetteMm(shape: BeadShape, widthMm: number, heightMm: number, lean: number): readonly [number, number] {
  const cos = 1 / Math.sqrt(1 + lean * lean), sin = lean * cos, r = shape === "stadium" ? Math.min(widthMm, heightMm) / 2 : flankRadiusMm(shape, widthMm, heightMm);
  const centreN = heightMm - r, halfFlat = shape === "stadium" ? Math.max(0, widthMm / 2 - r) : 0;
  const edge = (side: 1 | -1): number => {
    const n = centreN - side * r * sin;
    const [b, at] = n >= 0 ? [side * (halfFlat + r * cos), n] : [side * Math.sqrt(r * r - centreN * centreN), 0]; // a segment ends at its chord
    return b + (heightMm / 2 - at) * lean;
  };
  return [edge(-1), edge(1)];
}

/** Stations with paste that face the camera and whose middle is in the view, in plan order. */
export function stationsInView(plan: StationPlan, columns: StationColumns, view: View, scene: FrameScene): Station[] {
  const found: Station[] = [], spot = new Float64Array(3), { t } = view.place;
  for (let i = 0; i < columns.count; i++) {
    if (scene.laid[i] === NOT_LAID) continue;
    const f = columns.frames, o = 12 * i, height = known(scene.heightMm, i, columns.heightMm), up = height / 2 - (columns.heightMm[i] as number), width = columns.widthMm[i] as number;
    const mx = f[o]! + up * f[o + 6]!, my = f[o + 1]! + up * f[o + 7]!, mz = f[o + 2]! + up * f[o + 8]!;
    projectInto(view, mx, my, mz, spot, 0);
    if (!(spot[0]! >= 0 && spot[1]! >= 0 && spot[0]! < view.width && spot[1]! < view.height)) continue;
    const dx = t[0] - mx, dy = t[1] - my, dz = t[2] - mz, vn = dx * f[o + 6]! + dy * f[o + 7]! + dz * f[o + 8]!, vb = dx * f[o + 9]! + dy * f[o + 10]! + dz * f[o + 11]!;
    if (!(vn > FLAT_COS * Math.sqrt(dx * dx + dy * dy + dz * dz))) continue;
    const lean = vb / vn, [right, left] = silhouetteMm(plan.beadShape, width, height, lean), u = scene.uHeightMm[i] as number;
    found.push({
      index: i, heightMm: height, uHeightMm: u === u ? u : PLANNED_HEIGHT_U * height, plannedWidthMm: width, offsetMm: known(scene.offsetMm, i, null),
      inwardMm: inward(columns, scene, i), lean, cos: 1 / Math.sqrt(1 + lean * lean), rightMm: right, leftMm: left, beyondRightMm: columns.beyondRightMm[i] as number, beyondLeftMm: columns.beyondLeftMm[i] as number, inverse: spot[2]!,
      cellAt: (b, along = 0) => {
        projectInto(view, mx + b * f[o + 9]! + along * f[o + 3]!, my + b * f[o + 10]! + along * f[o + 4]!, mz + b * f[o + 11]! + along * f[o + 5]!, spot, 0);
        return [spot[0]!, spot[1]!];
      },
    });
  }
  return found;
}

function inward({ strandOf }: StationColumns, { laid }: FrameScene, i: number): number {
  const isJoined = (j: number): boolean => strandOf[j] === strandOf[i] && laid[j] !== NOT_LAID, [before, after] = [isJoined(i - 1), isJoined(i + 1)];
  return before === after ? 0 : before ? -INWARD_MM : INWARD_MM;
}
