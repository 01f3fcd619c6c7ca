/** Cells of which it is known what they show if the frame's pose is right: paste that a profiler has called good, and bare target beside it. */
import { dilateMask } from "../kernel/mask.ts";
import { COLOURS, type Picture } from "./picture.ts";
import { LAID, type FrameScene } from "./scene.ts";
import type { Stage, StageModel } from "./stage.ts";
import type { Station } from "./station.ts";
import type { View } from "./view.ts";

export interface Labels {
  /** Columns and rows of places on good beads, and the station of each. */
  readonly pasteX: Float64Array; // Float64Array[place], cells
  readonly pasteY: Float64Array; // Float64Array[place], cells
  readonly pasteStation: Int32Array; // Int32Array[place]
  /** Cells of bare target. */
  readonly target: Int32Array; // Int32Array[place], cell
}

/** Target nearer than this to a bead is not learned from, mm; nor is target farther than that from all beads. */
const BESIDE_MM = 0.35, FAR_MM = 5;
/** Places across a bead, of half of what is seen of it: both flanks too, so that light that falls on one side of a bead does not pass for colour. */
const ACROSS = [-0.8, -0.4, 0, 0.4, 0.8];

export interface LabelInput { readonly model: StageModel; readonly stage: Stage; readonly view: View; readonly stations: readonly Station[]; readonly scene: FrameScene; readonly cellMm: number }

/** `teaches`: which of the laid stations are learned from, by their index: those that a profiler calls good, or all where a person has marked paste. */
export function labelCells({ model, stage, view, stations, scene, cellMm }: LabelInput, teaches: (station: number) => boolean): Labels {
  const x: number[] = [], y: number[] = [], of: number[] = [];
  for (const station of stations) {
    if (scene.laid[station.index] !== LAID || !teaches(station.index)) continue;
    for (const share of ACROSS) {
      const [column, row] = station.cellAt(station.offsetMm + (station.leftMm + station.rightMm) / 2 + share * (station.leftMm - station.rightMm) / 2);
      const at = cellOf(view, column, row);
      if (at < 0 || stage.layers.id1[at] === -1 || !isOwn(model, stage.layers.id1[at] as number, station.index)) continue;
      x.push(column); y.push(row); of.push(station.index);
    }
  }
  return { pasteX: Float64Array.from(x), pasteY: Float64Array.from(y), pasteStation: Int32Array.from(of), target: bareTarget(stage, view, cellMm) };
}

/** The cell at fractional column and row; −1: outside. */
export function cellOf(view: View, column: number, row: number): number {
  const c = Math.round(column), r = Math.round(row);
  return c >= 0 && r >= 0 && c < view.width && r < view.height ? r * view.width + c : -1;
}

/** Whether what is drawn at an id is the bead of this station or of its neighbours on the strand. */
export function isOwn({ groups: { groupOf, reach }, ids }: StageModel, id: number, station: number): boolean {
  return id >= 0 && id < ids.strip && groupOf[id] === groupOf[station] && Math.abs(id - station) <= reach;
}

function bareTarget({ layers, ids }: Stage, view: View, cellMm: number): Int32Array {
  const { width, height } = view, beads = new Uint8Array(width * height);
  for (let at = 0; at < beads.length; at++) beads[at] = (layers.id1[at] as number) >= 0 && (layers.id1[at] as number) < ids.strip || layers.id1[at] === ids.nozzle ? 1 : 0;
  const near = dilateMask(beads, width, height, Math.max(1, Math.round(BESIDE_MM / cellMm))), within = dilateMask(beads, width, height, Math.round(FAR_MM / cellMm));
  const cells: number[] = [];
  for (let at = 0; at < beads.length; at++) if (within[at] === 1 && near[at] === 0 && (layers.id1[at] as number) >= ids.strip && layers.id1[at] !== ids.nozzle) cells.push(at);
  return Int32Array.from(cells);
}

/** Every nth, so that at most `most` are left. */
export function thinned<T extends Int32Array | Float64Array>(values: T, most: number): T {
  const stride = Math.max(1, Math.ceil(values.length / most));
  return values.filter((_, i) => i % stride === 0) as T;
}

/** Colours at cells that were seen, Float32Array[3 · cell]. */
export function coloursAt({ colours }: Picture, cells: Int32Array): Float32Array {
  const out: number[] = [];
  for (const at of cells) {
    const first = colours[COLOURS * at] as number;
    if (first === first) out.push(first, colours[COLOURS * at + 1] as number, colours[COLOURS * at + 2] as number);
  }
  return Float32Array.from(out);
}
