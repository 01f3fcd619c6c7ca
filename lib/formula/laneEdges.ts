/** Where a strand's bead lies beside its path, station by station, as pictures draw it; and what draws it. */
import { CAMERA_STATES } from "../model/frame.ts";
import { VERDICTS } from "../model/result.ts";
import type { SheetStrand } from "../model/sheet.ts";

/** What draws: a CanvasRenderingContext2D or Path2D is one. */
export interface Pen { moveTo(x: number, y: number): void; lineTo(x: number, y: number): void; closePath(): void }

/** A pen that writes the d of an SVG path. */
export function pathPen(): Pen & { readonly text: () => string } {
  const parts: string[] = [];
  const put = (letter: string) => (x: number, y: number): void => { parts.push(`${letter}${x.toFixed(1)} ${y.toFixed(1)}`); };
  return { moveTo: put("M"), lineTo: put("L"), closePath: () => { parts.push("Z"); }, text: () => parts.join("") };
}

const GAP = VERDICTS.indexOf("gap"), PRESENT = CAMERA_STATES.indexOf("present");

/** Flanks and top of every station, mm; NaN: not drawn. Left of travel is up, so y = −b. */
export interface LaneEdges {
  readonly up: Float32Array;
  readonly down: Float32Array;
  /** Flanks that were seen; and those that a neighbour hides, which stand where the measured area would put them, with the seen ones beside them. */
  readonly upSeen: Float32Array;
  readonly downSeen: Float32Array;
  readonly upHidden: Float32Array;
  readonly downHidden: Float32Array;
  /** Where the camera alone saw paste: as wide as it saw it, else as planned, on the path. */
  readonly upCamera: Float32Array;
  readonly downCamera: Float32Array;
  /** Measured height. */
  readonly top: Float32Array;
  readonly plannedUp: Float32Array;
  readonly plannedDown: Float32Array;
}

const known = new WeakMap<SheetStrand, LaneEdges>();

/** Made once a strand. Nothing is drawn where nothing was seen, nor a bead where next to nothing lies. */
export function laneEdges(strand: SheetStrand): LaneEdges {
  const made = known.get(strand) ?? makeEdges(strand);
  known.set(strand, made);
  return made;
}

function makeEdges(strand: SheetStrand): LaneEdges {
  const count = strand.sMm.length;
  const column = (): Float32Array => new Float32Array(count).fill(Number.NaN);
  const edges = { up: column(), down: column(), upSeen: column(), downSeen: column(), upHidden: column(), downHidden: column(), upCamera: column(), downCamera: column(), top: column(), plannedUp: column(), plannedDown: column() };
  for (let i = 0; i < count; i++) {
    const planned = strand.plannedWidthMm[i] as number;
    edges.plannedUp[i] = -planned / 2;
    edges.plannedDown[i] = planned / 2;
    const ratio = strand.areaRatio[i] as number, width = strand.widthMm[i] as number, offset = strand.offsetMm[i] as number;
    if (Number.isNaN(ratio) && strand.camera[i] === PRESENT) {
      const wide = strand.cameraWidthMm[i] as number, by = (Number.isNaN(wide) ? planned : wide) / 2;
      edges.upCamera[i] = -by;
      edges.downCamera[i] = by;
    }
    if (Number.isNaN(ratio) || strand.verdict[i] === GAP) continue;
    edges.top[i] = strand.heightMm[i] as number;
    const seen = !Number.isNaN(width);
    const middle = Number.isNaN(offset) ? 0 : -offset, half = (seen ? width : planned * Math.max(0, ratio)) / 2;
    edges.up[i] = middle - half;
    edges.down[i] = middle + half;
    (seen ? edges.upSeen : edges.upHidden)[i] = middle - half;
    (seen ? edges.downSeen : edges.downHidden)[i] = middle + half;
  }
  for (const [hidden, all] of [[edges.upHidden, edges.up], [edges.downHidden, edges.down]] as const) joinSeen(hidden, all);
  return edges;
}

/** A dashed flank reaches to the seen stations beside it. */
function joinSeen(hidden: Float32Array, all: Float32Array): void {
  const alone = hidden.map((value) => (Number.isNaN(value) ? 0 : 1));
  for (let i = 0; i < all.length; i++) {
    if (alone[i] === 0 && (alone[i - 1] === 1 || alone[i + 1] === 1)) hidden[i] = all[i] as number;
  }
}
