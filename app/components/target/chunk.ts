/** Strands of a layer in buffers that a graphics card takes: written once, and again only where a reading has changed something. */
import { RING_POINTS, RING_STRIDE, writeBeadRing } from "../../../lib/formula/beadRing.ts";
import { mostIndices, pushCapEdges, pushLines, writeRing, writeStrips, type RingBuffers } from "../../../lib/kernel/sweep.ts";
import type { BeadShape } from "../../../lib/model/job.ts";
import type { SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import type { TargetShape, TargetStrand } from "../../../lib/model/targetShape.ts";
import { GAP, lookAt, PLANNED, SEEN, sizeAt } from "./looks.ts";

/** A chunk holds whole strands of one layer, as many as have so many stations together. */
const STATIONS_A_CHUNK = 2048;
/** Vertices a station has for lines: the crown's middle, and the planned flanks on the base. */
export const LINE_POINTS = 3;

export interface Part { readonly key: string; readonly frames: TargetStrand; readonly first: number; readonly count: number }

export interface Chunk extends RingBuffers {
  readonly layer: number;
  readonly beadShape: BeadShape;
  readonly parts: readonly Part[];
  readonly count: number;
  readonly codes: Uint8Array; // Uint8Array[station], index in LOOKS
  readonly linePositions: Float32Array; // Float32Array[3 · 3 · station]
  readonly lineArcs: Float32Array; // Float32Array[3 · station]
}

export const partKey = ({ layer, strand }: { readonly layer: number; readonly strand: number }): string => `${layer}/${strand}`;

/** Empty chunks for the strands that are in both; one whose stations are not as many in both is left out. */
export function makeChunks(shape: TargetShape, layers: readonly SheetLayer[]): Chunk[] {
  const counts = new Map(layers.flatMap(({ strands }) => strands.map((strand) => [partKey(strand), strand.sMm.length] as const)));
  const chunks: Chunk[] = [];
  let parts: Part[] = [], count = 0, layer = 0;
  const close = (): void => {
    if (parts.length > 0) chunks.push(emptyChunk(shape.beadShape, layer, parts, count));
    [parts, count] = [[], 0];
  };
  for (const frames of shape.strands) {
    const stations = frames.positionsMm.length / 3, key = partKey(frames);
    if (counts.get(key) !== stations) continue;
    if (frames.layer !== layer || count + stations > STATIONS_A_CHUNK) close();
    ({ layer } = frames);
    parts.push({ key, frames, first: count, count: stations });
    count += stations;
  }
  close();
  return chunks;
}

function emptyChunk(beadShape: BeadShape, layer: number, parts: readonly Part[], count: number): Chunk {
  const vertices = count * RING_POINTS;
  return {
    layer, beadShape, parts, count, codes: new Uint8Array(count), positions: new Float32Array(3 * vertices), faces: new Int8Array(4 * vertices), places: new Float32Array(2 * vertices),
    linePositions: new Float32Array(3 * LINE_POINTS * count), lineArcs: new Float32Array(LINE_POINTS * count),
  };
}

const ring = new Float64Array(RING_STRIDE * RING_POINTS);

/** Writes the stations from `from` to `to` of one strand, both included. The bead stands where the plan has its base. */
export function writePart(chunk: Chunk, { frames, first }: Part, strand: SheetStrand, from: number, to: number): void {
  for (let i = from; i <= to; i++) {
    const code = lookAt(strand, i), { widthMm, heightMm, offsetMm } = sizeAt(strand, i);
    chunk.codes[first + i] = code;
    writeBeadRing(chunk.beadShape, widthMm, heightMm, ring);
    writeRing(frames, { frame: i, firstVertex: RING_POINTS * (first + i), lateralMm: offsetMm, normalMm: -(strand.plannedHeightMm[i] as number), sMm: strand.sMm[i] as number, code }, ring, chunk);
  }
}

/** Writes where the lines of one strand may run: they are the plan's, and never change. */
export function writePartLines(chunk: Chunk, { frames, first, count }: Part, strand: SheetStrand): void {
  const { positionsMm: p, tangents: t, normals: n } = frames;
  for (let i = 0; i < count; i++) {
    const half = (strand.plannedWidthMm[i] as number) / 2, height = strand.plannedHeightMm[i] as number, at = LINE_POINTS * (first + i);
    for (let k = 0; k < 3; k++) {
      const a = 3 * i + (k + 1) % 3, b = 3 * i + (k + 2) % 3, side = half * ((n[a] as number) * (t[b] as number) - (n[b] as number) * (t[a] as number));
      const top = p[3 * i + k] as number, base = top - height * (n[3 * i + k] as number);
      chunk.linePositions[3 * at + k] = top;
      chunk.linePositions[3 * at + 3 + k] = base + side;
      chunk.linePositions[3 * at + 6 + k] = base - side;
    }
    chunk.lineArcs.fill(strand.sMm[i] as number, at, at + LINE_POINTS);
  }
}

/** How finely a chunk is drawn: every so many-th station, and which points of the ring. */
export interface Detail { readonly step: number; readonly used: readonly number[] }
const WHOLE = [0, 1, 2, 3, 4, 5, 6, 7, 8], FEWER = [0, 2, 3, 5, 6, 8], FEWEST = [0, 2, 6, 8];

/** A bead so wide on the screen, px, is drawn with all points of its ring, or with six. Stations are left out while they are closer than so many px. */
const WHOLE_FROM_PX = 14, FEWER_FROM_PX = 5, REST_STEP_PX = 5, MOVING_STEP_PX = 14;

/** `isNear`: the strand somebody looks at. */
export function detailOf({ beadPx, spacingPx, isMoving, isNear }: { readonly beadPx: number; readonly spacingPx: number; readonly isMoving: boolean; readonly isNear: boolean }): Detail {
  const step = (isMoving ? MOVING_STEP_PX : REST_STEP_PX) / Math.max(1e-6, spacingPx), seenPx = isMoving ? beadPx / 2 : beadPx;
  const used = isNear && !isMoving ? WHOLE : seenPx >= WHOLE_FROM_PX ? WHOLE : seenPx >= FEWER_FROM_PX ? FEWER : FEWEST;
  return { step: 2 ** Math.max(0, Math.floor(Math.log2(Math.max(1, step)))), used }; // a power of two: a zoom makes few of them anew
}

/** A place for the most triangles that a chunk can have. */
export function indexPlace({ count, parts }: Chunk): Uint16Array | Uint32Array {
  const most = mostIndices(count, RING_POINTS) + 6 * RING_POINTS * parts.length;
  return count * RING_POINTS > 0xffff ? new Uint32Array(most) : new Uint16Array(most);
}

/** Writes the triangles of all bodies; gives how many indices they are. */
export function writeBodies({ codes, parts }: Chunk, { step, used }: Detail, out: Uint16Array | Uint32Array): number {
  return parts.reduce((at, { first, count }) => writeStrips({ codes, leastCode: SEEN, firstFrame: first, count, step, ringPoints: RING_POINTS, used }, out, at), 0);
}

export interface LineIndices { readonly planned: number[]; readonly gap: number[]; readonly edges: number[] }

/** Indices of the planned line and of the dashed flanks of gaps (vertices for lines), and of the edges where bodies end (vertices of rings). */
export function lineIndices({ codes, parts }: Chunk, { step }: Detail): LineIndices {
  const planned: number[] = [], gap: number[] = [], pairs: number[] = [], edges: number[] = [];
  for (const { first, count } of parts) {
    pushLines(codes, (code) => code === PLANNED, { firstFrame: first, count, step }, planned);
    pushLines(codes, (code) => code === GAP, { firstFrame: first, count, step }, pairs);
    pushCapEdges({ codes, leastCode: SEEN, firstFrame: first, count, ringPoints: RING_POINTS }, edges);
  }
  for (const side of [1, 2]) gap.push(...pairs.map((frame) => LINE_POINTS * frame + side));
  return { planned: planned.map((frame) => LINE_POINTS * frame), gap, edges };
}
