/**
 * The as-laid surface as a PLY file (format 1.0, binary little-endian), piece by piece. Its header counts what follows, so the rows of all strands are held, some 0.6 kB a
 * station; vertices and faces are made as they are written.
 */
import type { AsLaidRow } from "../model/asLaid.ts";
import { isNextRow, makeVertices, placeRow, type LaidStrandPlace } from "./asLaidVertices.ts";

/** One strand of the surface; its rows are made when they are asked for. */
export interface AsLaidStrand { readonly place: LaidStrandPlace; readonly rows: () => Iterable<AsLaidRow> }

export interface PlyHead {
  readonly runId: string;
  readonly resultId: string;
  readonly name: string;
  /** "REHEARSAL: invented data"; null: none. */
  readonly stamp: string | null;
}

/** x, y, z, deviation and s as float (7 digits: 8 nm at 100 mm), layer and strand as ushort. */
const VERTEX_BYTES = 24;
/** A count of 3 and three indices. */
const FACE_BYTES = 13;
/** Bytes that are gathered before a piece is handed on, about. */
const PIECE_BYTES = 1 << 16;
/** Rows that are gathered between two pauses. */
const ROWS_A_PAUSE = 64;

/** A strand with all its rows. */
interface Gathered { readonly place: LaidStrandPlace; readonly rows: readonly AsLaidRow[] }

/** The file's pieces in order. An empty piece comes now and then while the rows are gathered: whoever sends the file may do something else in between. */
export function* asLaidPly(head: PlyHead, strands: Iterable<AsLaidStrand>): Generator<Uint8Array<ArrayBuffer>> {
  const gathered: Gathered[] = [], firsts: number[] = [];
  let vertices = 0, faces = 0;
  for (const { place, rows: made } of strands) {
    const rows: AsLaidRow[] = [];
    firsts.push(vertices);
    for (const row of made()) {
      vertices += vertexCount(row);
      faces += 2 * cellCount(rows.at(-1), row);
      if (rows.push(row) % ROWS_A_PAUSE === 0) yield new Uint8Array(0);
    }
    gathered.push({ place, rows });
  }
  yield new TextEncoder().encode(headerText(head, vertices, faces));
  for (const strand of gathered) yield* vertexPieces(strand);
  for (const [i, strand] of gathered.entries()) yield* facePieces(strand, firsts[i] as number);
}

function headerText({ runId, resultId, name, stamp }: PlyHead, vertexCount: number, faceCount: number): string {
  return [
    "ply", "format binary_little_endian 1.0",
    "comment Aslaid: top surface of the paste as it was measured, each layer as it was when it was last seen",
    `comment run ${runId}`, `comment result ${resultId}`, `comment name ${asciiLine(name)}`,
    "comment frame plan; x, y, z, s_mm and deviation_mm in mm; layer and strand count from 1; s_mm is the arc length along the strand",
    "comment deviation_mm: signed distance from the planned top surface along its normal (ISO 1101, profile of a surface); + outside: too much paste",
    "comment no vertex and no face where nothing was seen",
    ...(stamp === null ? [] : [`comment ${asciiLine(stamp)}`]),
    `element vertex ${vertexCount}`, "property float x", "property float y", "property float z", "property float deviation_mm", "property ushort layer", "property ushort strand", "property float s_mm",
    `element face ${faceCount}`, "property list uchar int vertex_indices", "end_header", "",
  ].join("\n");
}

/** A text in one line of ASCII, as a header is; other characters by their code units. */
function asciiLine(text: string): string {
  return text.replace(/[^\x20-\x7e]/g, (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, "0")}`);
}

function hasVertex({ nMm }: AsLaidRow, k: number): boolean {
  return !Number.isNaN(nMm[k]);
}

function vertexCount(row: AsLaidRow): number {
  let count = 0;
  for (let k = 0; k < row.nMm.length; k++) if (hasVertex(row, k)) count++;
  return count;
}

/** How many times four vertices between two rows are two triangles. */
function cellCount(before: AsLaidRow | undefined, row: AsLaidRow): number {
  if (before === undefined || !isNextRow(before, row)) return 0;
  let count = 0;
  for (let k = 1; k < row.nMm.length; k++) if (isCell(before, row, k)) count++;
  return count;
}

/** Whether both rows go on from node k − 1 to node k. */
function isCell(before: AsLaidRow, row: AsLaidRow, k: number): boolean {
  return before.joined[k] === 1 && row.joined[k] === 1;
}

function* vertexPieces({ place, rows }: Gathered): Generator<Uint8Array<ArrayBuffer>> {
  const out = makeVertices(place.lattice), piece = makePiece(VERTEX_BYTES * place.lattice.count);
  for (const row of rows) {
    placeRow(place, row, out);
    for (let m = 0; m < out.count; m++) {
      const at = piece.at;
      for (let axis = 0; axis < 3; axis++) piece.view.setFloat32(at + 4 * axis, out.xyzMm[3 * m + axis] as number, true);
      piece.view.setFloat32(at + 12, out.deviationMm[m] as number, true);
      piece.view.setUint16(at + 16, row.layer, true);
      piece.view.setUint16(at + 18, row.strand, true);
      piece.view.setFloat32(at + 20, out.sMm[m] as number, true);
      piece.at += VERTEX_BYTES;
    }
    if (piece.at >= PIECE_BYTES) yield take(piece);
  }
  if (piece.at > 0) yield take(piece);
}

/** Triangles seen from outside run counter-clockwise: along the strand, then to its left. */
function* facePieces({ place: { lattice: { count: nodes } }, rows }: Gathered, firstVertex: number): Generator<Uint8Array<ArrayBuffer>> {
  const piece = makePiece(2 * FACE_BYTES * nodes);
  let here = new Int32Array(nodes), before = new Int32Array(nodes), next = firstVertex;
  const put = (a: number, b: number, c: number): void => {
    piece.view.setUint8(piece.at, 3);
    piece.view.setInt32(piece.at + 1, a, true);
    piece.view.setInt32(piece.at + 5, b, true);
    piece.view.setInt32(piece.at + 9, c, true);
    piece.at += FACE_BYTES;
  };
  for (const [r, row] of rows.entries()) {
    [here, before] = [before, here];
    const rowBefore = rows[r - 1], goesOn = rowBefore !== undefined && isNextRow(rowBefore, row);
    for (let k = 0; k < nodes; k++) {
      if (!hasVertex(row, k)) continue;
      here[k] = next++;
      if (k === 0 || !goesOn || !isCell(rowBefore, row, k)) continue;
      const [a, b, c, d] = [before[k - 1], here[k - 1], before[k], here[k]] as [number, number, number, number];
      put(a, b, c);
      put(b, d, c);
    }
    if (piece.at >= PIECE_BYTES) yield take(piece);
  }
  if (piece.at > 0) yield take(piece);
}

interface Piece { readonly view: DataView<ArrayBuffer>; at: number }

/** Room for a piece and one row more. */
function makePiece(rowBytes: number): Piece {
  return { view: new DataView(new ArrayBuffer(PIECE_BYTES + rowBytes)), at: 0 };
}

/** What the piece holds, as bytes of its own; it is empty afterwards. */
function take(piece: Piece): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(piece.view.buffer.slice(0, piece.at));
  piece.at = 0;
  return bytes;
}
