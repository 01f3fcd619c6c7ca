/**
 * Rings of points swept along frames into vertex and index buffers of the caller. Numbers only: it knows no strands and no screen.
 * A frame is a position, a unit tangent t and a unit normal n square to it; the lateral is n × t. Point j of a ring lies at b along the lateral and at n along the normal.
 */
export interface Frames {
  readonly positionsMm: Float32Array; // Float32Array[3 · frame]
  readonly tangents: Float32Array; // Float32Array[3 · frame]
  readonly normals: Float32Array; // Float32Array[3 · frame]
}

/** Vertex v = frame · ringPoints + j. */
export interface RingBuffers {
  readonly positions: Float32Array; // Float32Array[3 · vertex]
  readonly faces: Int8Array; // Int8Array[4 · vertex], outward normal · 127 and the frame's code
  readonly places: Float32Array; // Float32Array[2 · vertex], arc length and the way round the ring from its middle
}

export interface RingAt { readonly frame: number; readonly firstVertex: number; /** Of the ring's own origin from the frame's. */ readonly lateralMm: number; readonly normalMm: number; readonly sMm: number; readonly code: number }

/** Numbers of each ring point: b, n, the normal's b and n, the way round. */
const STRIDE = 5;

/** Writes the vertices of one ring (Float64Array[5 · points]). */
export function writeRing({ positionsMm: p, tangents: t, normals: n }: Frames, { frame, firstVertex, lateralMm, normalMm, sMm, code }: RingAt, ring: Float64Array, out: RingBuffers): void {
  const f = 3 * frame, nx = n[f] as number, ny = n[f + 1] as number, nz = n[f + 2] as number, tx = t[f] as number, ty = t[f + 1] as number, tz = t[f + 2] as number;
  const bx = ny * tz - nz * ty, by = nz * tx - nx * tz, bz = nx * ty - ny * tx;
  const x = (p[f] as number) + lateralMm * bx + normalMm * nx, y = (p[f + 1] as number) + lateralMm * by + normalMm * ny, z = (p[f + 2] as number) + lateralMm * bz + normalMm * nz;
  for (let j = 0, v = firstVertex; j < ring.length; j += STRIDE, v++) {
    const b = ring[j] as number, up = ring[j + 1] as number, nb = ring[j + 2] as number, nn = ring[j + 3] as number;
    out.positions[3 * v] = x + b * bx + up * nx;
    out.positions[3 * v + 1] = y + b * by + up * ny;
    out.positions[3 * v + 2] = z + b * bz + up * nz;
    out.faces[4 * v] = 127 * (nb * bx + nn * nx);
    out.faces[4 * v + 1] = 127 * (nb * by + nn * ny);
    out.faces[4 * v + 2] = 127 * (nb * bz + nn * nz);
    out.faces[4 * v + 3] = code;
    out.places[2 * v] = sMm;
    out.places[2 * v + 1] = ring[j + 4] as number;
  }
}

export interface Strips {
  /** Of each frame; below `leastCode` nothing is drawn. */
  readonly codes: Uint8Array;
  readonly leastCode: number;
  readonly firstFrame: number;
  readonly count: number;
  /** Of rings of one code every so many-th is kept, and the first and last of each stretch of a code. */
  readonly step: number;
  /** Vertices a ring has, and those of them that are used, in order round it. */
  readonly ringPoints: number;
  readonly used: readonly number[];
}

/** Most indices that `writeStrips` writes for so many frames: one long tube needs the most, since short ones leave frames between them. */
export function mostIndices(count: number, usedPoints: number): number {
  return 6 * usedPoints * count + 6 * (usedPoints - 2);
}

/**
 * Writes the triangles of all stretches from index `at` on and gives the index after the last. Each stretch is a closed tube: counter-clockwise from outside, with a cap at either end.
 * The last vertex of every triangle of a tube belongs to its first ring, so that a flat value is that of where the piece begins.
 */
export function writeStrips(strips: Strips, out: Uint16Array | Uint32Array, at: number): number {
  const { codes, leastCode, firstFrame, count, step } = strips, end = firstFrame + count;
  let next = at;
  for (let from = firstFrame; from < end; from++) {
    if ((codes[from] as number) < leastCode) continue;
    let to = from;
    while (to + 1 < end && (codes[to + 1] as number) >= leastCode) to++;
    if (to > from) next = writeTube(strips, from, to, step, out, next);
    from = to;
  }
  return next;
}

function writeTube({ codes, ringPoints, used }: Strips, from: number, to: number, step: number, out: Uint16Array | Uint32Array, at: number): number {
  const points = used.length, vertex = (frame: number, k: number): number => frame * ringPoints + (used[k % points] as number);
  let next = at;
  for (let k = 1; k < points - 1; k++) {
    out[next++] = vertex(from, 0);
    out[next++] = vertex(from, k);
    out[next++] = vertex(from, k + 1);
  }
  for (let a = from; a < to;) {
    let b = a + 1;
    while (b < to && b - a < step && codes[b] === codes[a]) b++;
    for (let k = 0; k < points; k++) {
      const aj = vertex(a, k), ak = vertex(a, k + 1), bj = vertex(b, k);
      out[next] = aj; out[next + 1] = bj; out[next + 2] = ak;
      out[next + 3] = bj; out[next + 4] = vertex(b, k + 1); out[next + 5] = ak;
      next += 6;
    }
    a = b;
  }
  for (let k = 1; k < points - 1; k++) {
    out[next++] = vertex(to, 0);
    out[next++] = vertex(to, k + 1);
    out[next++] = vertex(to, k);
  }
  return next;
}

/** Pairs of vertices round the first and the last ring of each tube, put onto `out`: the edges of its caps. */
export function pushCapEdges({ codes, leastCode, firstFrame, count, ringPoints }: Omit<Strips, "step" | "used">, out: number[]): void {
  const isDrawn = (frame: number): boolean => frame >= firstFrame && frame < firstFrame + count && (codes[frame] as number) >= leastCode;
  for (let frame = firstFrame; frame < firstFrame + count; frame++) {
    if (!isDrawn(frame) || isDrawn(frame - 1) === isDrawn(frame + 1)) continue;
    for (let j = 0; j < ringPoints; j++) out.push(frame * ringPoints + j, frame * ringPoints + (j + 1) % ringPoints);
  }
}

/**
 * Pairs of frames for lines where `isDrawn` holds at either end, thinned like rings, put onto `out`. A line so ends where a tube begins.
 */
export function pushLines(codes: Uint8Array, isDrawn: (code: number) => boolean, { firstFrame, count, step }: Pick<Strips, "firstFrame" | "count" | "step">, out: number[]): void {
  const last = firstFrame + count - 1;
  for (let a = firstFrame; a < last;) {
    let b = a + 1;
    while (b < last && b - a < step && codes[b] === codes[a]) b++;
    if (isDrawn(codes[a] as number)) out.push(a, b);
    else if (isDrawn(codes[b] as number)) out.push(b - 1, b);
    a = b;
  }
}
