/**
 * Where a plan's stations lie in space, and what is drawn beside them: what the picture of the target needs beyond the columns of a sheet. Lengths mm, in `plan`.
 *
 * Packed (`packTarget`, GET /api/runs/{id}/target) it is a row of 32-bit words, the low byte first:
 *   0 "ASLT"   1 version   2 bead shape, index in BEAD_SHAPES   3 strands S   4 stations N, of all strands together
 *   5 nozzle's outer diameter   6 its full cone angle, degrees   7 its length   8, 9 the profiler's field across, from and to   (float32; NaN: not stated)
 *   then of each strand layer, strand and its stations (S × 3 words), then positions, tangents and normals (float32[3 N] each), strand after strand.
 */
import { InputError } from "../base/errors.ts";
import type { BeadShape } from "./job.ts";

export const TARGET_TYPE = "application/octet-stream";
const MAGIC = 0x544c5341, VERSION = 1, HEAD_WORDS = 10, STRAND_WORDS = 3, STATION_WORDS = 9;
const BEAD_SHAPES = ["stadium", "segment"] as const satisfies readonly BeadShape[];

export interface TargetStrand {
  readonly layer: number;
  readonly strand: number;
  /** The planned nozzle tip: the top of the planned bead. */
  readonly positionsMm: Float32Array; // Float32Array[3 · station]
  readonly tangents: Float32Array; // Float32Array[3 · station], unit, along travel
  readonly normals: Float32Array; // Float32Array[3 · station], unit, away from the target, square to the tangent
}

export interface TargetShape {
  readonly beadShape: BeadShape;
  /** `lengthMm` null: not stated. */
  readonly nozzle: { readonly outerDiameterMm: number; readonly coneAngleDeg: number; readonly lengthMm: number | null };
  /** What the first profiler sees across its own middle, from and to; null: the job has none. */
  readonly fieldMm: readonly [number, number] | null;
  /** In the plan's order. */
  readonly strands: readonly TargetStrand[];
}

/** Bytes of the layout above. */
export function packTarget({ beadShape, nozzle, fieldMm, strands }: TargetShape): Uint8Array<ArrayBuffer> {
  const stationCount = strands.reduce((sum, { positionsMm }) => sum + positionsMm.length / 3, 0);
  const words = new Uint32Array(HEAD_WORDS + STRAND_WORDS * strands.length + STATION_WORDS * stationCount), floats = new Float32Array(words.buffer);
  words.set([MAGIC, VERSION, BEAD_SHAPES.indexOf(beadShape), strands.length, stationCount]);
  floats.set([nozzle.outerDiameterMm, nozzle.coneAngleDeg, nozzle.lengthMm ?? Number.NaN, ...(fieldMm ?? [Number.NaN, Number.NaN])], 5);
  strands.forEach(({ layer, strand, positionsMm }, i) => words.set([layer, strand, positionsMm.length / 3], HEAD_WORDS + STRAND_WORDS * i));
  let at = HEAD_WORDS + STRAND_WORDS * strands.length;
  for (const key of ["positionsMm", "tangents", "normals"] as const) {
    for (const strand of strands) {
      floats.set(strand[key], at);
      at += strand[key].length;
    }
  }
  return new Uint8Array(words.buffer);
}

/** Reads them back; the columns are seen in place. InputError wire.badBody where the bytes are not such a row, or are cut off. */
export function unpackTarget(bytes: ArrayBuffer): TargetShape {
  if (bytes.byteLength % 4 !== 0 || bytes.byteLength < 4 * HEAD_WORDS) throw bad(`${bytes.byteLength} bytes`);
  const words = new Uint32Array(bytes), floats = new Float32Array(bytes);
  const [magic, version, shape, strandCount, stationCount] = words as unknown as [number, number, number, number, number];
  const beadShape = BEAD_SHAPES[shape];
  if (magic !== MAGIC || version !== VERSION || beadShape === undefined) throw bad(`words ${magic}, ${version}, ${shape}`);
  const tableEnd = HEAD_WORDS + STRAND_WORDS * strandCount;
  if (words.length !== tableEnd + STATION_WORDS * stationCount) throw bad(`${words.length} words for ${strandCount} strands and ${stationCount} stations`);
  const [outerDiameterMm, coneAngleDeg, lengthMm, fromMm, toMm] = floats.subarray(5, HEAD_WORDS) as unknown as [number, number, number, number, number];
  const strands: TargetStrand[] = [];
  let first = 0;
  for (let at = HEAD_WORDS; at < tableEnd; at += STRAND_WORDS) {
    const [layer, strand, count] = words.subarray(at, at + STRAND_WORDS) as unknown as [number, number, number];
    const column = (which: number): Float32Array => floats.subarray(tableEnd + 3 * (which * stationCount + first), tableEnd + 3 * (which * stationCount + first + count));
    strands.push({ layer, strand, positionsMm: column(0), tangents: column(1), normals: column(2) });
    first += count;
  }
  if (first !== stationCount) throw bad(`strands of ${first} stations together, ${stationCount} in all`);
  return { beadShape, nozzle: { outerDiameterMm, coneAngleDeg, lengthMm: Number.isNaN(lengthMm) ? null : lengthMm }, fieldMm: Number.isNaN(fromMm) || Number.isNaN(toMm) ? null : [fromMm, toMm], strands };
}

function bad(got: string): InputError {
  return new InputError("wire.badBody", "stations in space as this page packs them", got, {});
}
