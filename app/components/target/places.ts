/** Places of the sheet as points in space. */
import { add, cross, lerp, scale, sub, dot, unit, type Vec3 } from "../../../lib/kernel/vec.ts";
import type { SheetFinding, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import type { TargetShape, TargetStrand } from "../../../lib/model/targetShape.ts";
import { partKey } from "./chunk.ts";

export interface StationFrame { readonly position: Vec3; readonly tangent: Vec3; readonly normal: Vec3; readonly lateral: Vec3 }
/** A strand that the sheet and the plan both have. */
export interface Placed { readonly strand: SheetStrand; readonly frames: TargetStrand }

const tripleAt = (packed: Float32Array, i: number): Vec3 => [packed[3 * i] as number, packed[3 * i + 1] as number, packed[3 * i + 2] as number];

/** Finds strands by layer and number; null: not in both. */
export class Places {
  readonly #frames: ReadonlyMap<string, TargetStrand>;
  readonly #strands: ReadonlyMap<string, SheetStrand>;
  readonly #layers: readonly SheetLayer[];

  constructor(shape: TargetShape, layers: readonly SheetLayer[]) {
    this.#layers = layers;
    this.#frames = new Map(shape.strands.map((strand) => [partKey(strand), strand]));
    this.#strands = new Map(layers.flatMap(({ strands }) => strands.map((strand) => [partKey(strand), strand] as const)));
  }

  strand(layer: number, strand: number): Placed | null {
    const key = partKey({ layer, strand }), frames = this.#frames.get(key), columns = this.#strands.get(key);
    return frames === undefined || columns === undefined || frames.positionsMm.length !== 3 * columns.sMm.length ? null : { frames, strand: columns };
  }

  /** At a station; null: there is none. */
  station(layer: number, strand: number, i: number): StationFrame | null {
    const placed = this.strand(layer, strand);
    return placed === null || !(i >= 0 && i < placed.strand.sMm.length) ? null : frameAt(placed, i);
  }

  /** At an arc length, between two stations. */
  along(layer: number, strand: number, sMm: number): StationFrame | null {
    const placed = this.strand(layer, strand);
    if (placed === null) return null;
    const { strand: { sMm: arcs } } = placed, last = arcs.length - 1;
    let i = arcs.findIndex((arc) => arc > sMm) - 1;
    if (i < -1 || i >= last) i = sMm < (arcs[0] as number) ? 0 : last;
    const a = frameAt(placed, Math.max(0, i)), b = frameAt(placed, Math.min(last, Math.max(0, i) + 1)), from = arcs[Math.max(0, i)] as number, to = arcs[Math.min(last, Math.max(0, i) + 1)] as number;
    const f = to > from ? Math.max(0, Math.min(1, (sMm - from) / (to - from))) : 0;
    return { ...a, position: lerp(a.position, b.position, f), normal: unit(lerp(a.normal, b.normal, f)) };
  }

  /** Where a finding is: on its strand, or beside it as far as the layer's map has it. */
  finding({ layer, strand, sMm, offPath, xMm, yMm }: SheetFinding): Vec3 | null {
    const at = this.along(layer, strand, sMm), frame = this.#layers.find((each) => each.layer === layer)?.frame;
    if (at === null || frame === undefined || !offPath) return at?.position ?? null;
    const aside = add(scale(frame.right, xMm - dot(frame.right, at.position)), scale(frame.up, yMm - dot(frame.up, at.position)));
    return add(at.position, sub(aside, scale(at.normal, dot(at.normal, aside)))); // along the target
  }
}

function frameAt({ frames }: Placed, i: number): StationFrame {
  const position = tripleAt(frames.positionsMm, i), tangent = tripleAt(frames.tangents, i), normal = tripleAt(frames.normals, i);
  return { position, tangent, normal, lateral: cross(normal, tangent) };
}
