/** The as-laid surface as a PLY file (format 1.0, binary little-endian), piece by piece: vertices are made twice, counted and written, and never all held. */
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
/** Rows that are counted between two pauses. */
const ROWS_A_PAUSE = 256;
/** What a node of a row has. */
const NONE = 0, VERTEX = 1, JOINED = 2;

/** Which nodes of a strand's rows have a vertex, and which rows go on from the one before: enough for its faces. */
interface Outline { readonly nodes: number; readonly marks: Uint8Array; readonly goesOn: Uint8Array }

/**
 * The file's pieces in order. `strands` is walked twice and must give the same twice. An empty piece comes now and then while the vertices are counted: whoever
 * sends the file may do something else in between.
 */
export function* asLaidPly(head: PlyHead, strands: () => Iterable<AsLaidStrand>): Generator<Uint8Array<ArrayBuffer>> {
  const outlines: Outline[] = [];
  for (const strand of strands()) {
    const found = outlineOf(strand);
    for (let step = found.next(); ; step = found.next()) {
      if (step.done === true) { outlines.push(step.value); break; }
      yield new Uint8Array(0);
    }
  }
  const counts = outlines.map(countsOf);
  yield new TextEncoder().encode(headerText(head, counts.reduce((sum, { vertices }) => sum + vertices, 0), counts.reduce((sum, { faces }) => sum + faces, 0)));
  for (const strand of strands()) yield* vertexPieces(strand);
  let first = 0;
  for (const [i, outline] of outlines.entries()) {
    yield* facePieces(outline, first);
    first += counts[i]?.vertices ?? 0;
  }
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

function* outlineOf({ place: { lattice }, rows }: AsLaidStrand): Generator<null, Outline> {
  const nodes = lattice.count, goesOn: number[] = [];
  let marks = new Uint8Array(64 * nodes), before: AsLaidRow | null = null;
  for (const row of rows()) {
    const at = goesOn.length * nodes;
    if (at === marks.length) {
      const more = new Uint8Array(2 * marks.length);
      more.set(marks);
      marks = more;
    }
    for (let k = 0; k < nodes; k++) marks[at + k] = Number.isNaN(row.nMm[k]) ? NONE : row.joined[k] === 1 ? JOINED : VERTEX;
    goesOn.push(before !== null && isNextRow(before, row) ? 1 : 0);
    before = row;
    if (goesOn.length % ROWS_A_PAUSE === 0) yield null;
  }
  return { nodes, marks: marks.slice(0, goesOn.length * nodes), goesOn: Uint8Array.from(goesOn) };
}

/** Whether four vertices between row r − 1 and row r, node k − 1 and node k, are two triangles. */
function isCell({ nodes, marks, goesOn }: Outline, r: number, k: number): boolean {
  return goesOn[r] === 1 && marks[r * nodes + k] === JOINED && marks[(r - 1) * nodes + k] === JOINED;
}

function countsOf(outline: Outline): { readonly vertices: number; readonly faces: number } {
  const { nodes, marks, goesOn } = outline;
  let vertices = 0, faces = 0;
  for (const mark of marks) if (mark !== NONE) vertices++;
  for (let r = 1; r < goesOn.length; r++) for (let k = 1; k < nodes; k++) if (isCell(outline, r, k)) faces += 2;
  return { vertices, faces };
}

function* vertexPieces({ place, rows }: AsLaidStrand): Generator<Uint8Array<ArrayBuffer>> {
  const out = makeVertices(place.lattice), piece = makePiece(VERTEX_BYTES * place.lattice.count);
  for (const row of rows()) {
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
function* facePieces(outline: Outline, firstVertex: number): Generator<Uint8Array<ArrayBuffer>> {
  const { nodes, marks, goesOn } = outline, piece = makePiece(2 * FACE_BYTES * nodes);
  let here = new Int32Array(nodes), before = new Int32Array(nodes), next = firstVertex;
  const put = (a: number, b: number, c: number): void => {
    piece.view.setUint8(piece.at, 3);
    [a, b, c].forEach((index, i) => { piece.view.setInt32(piece.at + 1 + 4 * i, index, true); });
    piece.at += FACE_BYTES;
  };
  for (let r = 0; r < goesOn.length; r++) {
    [here, before] = [before, here];
    for (let k = 0; k < nodes; k++) {
      if (marks[r * nodes + k] === NONE) continue;
      here[k] = next++;
      if (k === 0 || !isCell(outline, r, k)) continue;
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
