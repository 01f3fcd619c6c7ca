import { describe, expect, it } from "vitest";
import { mostIndices, pushCapEdges, pushLines, writeRing, writeStrips, type Frames, type RingBuffers } from "../../lib/kernel/sweep.ts";

const POINTS = 5;
/** A trapezium with a ridge, 2 wide at its base and 1 high: 1.5 mm². Its normals need not be its own here. */
const RING = Float64Array.of(-1, 0, -1, 0, -2, -0.5, 1, -0.6, 0.8, -0.9, 0, 1, 0, 1, 0, 0.5, 1, 0.6, 0.8, 0.9, 1, 0, 1, 0, 2);
const ALL = [0, 1, 2, 3, 4];

/** Along an arc of radius 10 in the x-y plane, n up, `count` frames over 0.9 rad. */
function arc(count: number): Frames {
  const angle = (i: number): number => 0.9 * i / (count - 1), of = (at: (a: number) => number[]): Float32Array => Float32Array.from(Array.from({ length: count }, (_, i) => at(angle(i))).flat());
  return { positionsMm: of((a) => [10 * Math.sin(a), 10 - 10 * Math.cos(a), 3]), tangents: of((a) => [Math.cos(a), Math.sin(a), 0]), normals: of(() => [0, 0, 1]) };
}

function swept(frames: Frames, codes: readonly number[], lateralMm = 0): RingBuffers {
  const vertices = codes.length * POINTS, out = { positions: new Float32Array(3 * vertices), faces: new Int8Array(4 * vertices), places: new Float32Array(2 * vertices) };
  codes.forEach((code, i) => writeRing(frames, { frame: i, firstVertex: POINTS * i, lateralMm, normalMm: -1, sMm: 0.25 * i, code }, RING, out));
  return out;
}

function strips(codes: readonly number[], step = 1, used: readonly number[] = ALL): number[] {
  const out = new Uint16Array(mostIndices(codes.length, used.length));
  const end = writeStrips({ codes: Uint8Array.from(codes), leastCode: 3, firstFrame: 0, count: codes.length, step, ringPoints: POINTS, used }, out, 0);
  expect(end).toBeLessThanOrEqual(out.length);
  return [...out.subarray(0, end)];
}

/** By the divergence theorem: positive where triangles are counter-clockwise from outside. */
function volumeMm3(positions: Float32Array, indices: readonly number[]): number {
  const at = (v: number): [number, number, number] => [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
  let sum = 0;
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [at(indices[i]!), at(indices[i + 1]!), at(indices[i + 2]!)];
    sum += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sum / 6;
}

/** Edges that are not walked once each way. */
function openEdges(indices: readonly number[]): number {
  const walked = new Map<string, number>();
  for (let i = 0; i < indices.length; i += 3) {
    for (const [a, b] of [[0, 1], [1, 2], [2, 0]] as const) {
      const from = indices[i + a]!, to = indices[i + b]!, key = from < to ? `${from} ${to}` : `${to} ${from}`;
      walked.set(key, (walked.get(key) ?? 0) + (from < to ? 1 : -1));
    }
  }
  return [...walked.values()].filter((sum) => sum !== 0).length;
}

describe("a ring swept along an arc", () => {
  const seen = Array.from({ length: 61 }, () => 3);

  it("encloses area times the arc of its centroid (Pappus): 1.5 mm² over 0.9 rad at 10 mm, to 0.1 %", () => {
    expect(volumeMm3(swept(arc(61), seen).positions, strips(seen))).toBeCloseTo(1.5 * 0.9 * 10, 2);
  });

  it("moved 2 mm to the left of travel, towards the arc's middle, encloses 1.5 mm² over 0.9 rad at 8 mm", () => {
    expect(volumeMm3(swept(arc(61), seen, 2).positions, strips(seen))).toBeCloseTo(1.5 * 0.9 * 8, 2);
  });

  it("is closed at every degree of detail: 2 triangles a side and piece, and both caps", () => {
    for (const [step, used] of [[1, ALL], [4, ALL], [7, [0, 1, 3, 4]], [100, [0, 2, 4]]] as const) {
      const indices = strips(seen, step, used), pieces = Math.ceil(60 / step);
      expect(indices.length).toBe(3 * (2 * used.length * pieces + 2 * (used.length - 2)));
      expect(openEdges(indices)).toBe(0);
      expect(volumeMm3(swept(arc(61), seen).positions, indices)).toBeGreaterThan(0);
    }
  });

  it("has outward normals of length 127, its code, its arc length and the way round", () => {
    const { positions, faces, places } = swept(arc(61), seen);
    const v = 30 * POINTS + 1, [nx, ny, nz] = [faces[4 * v]!, faces[4 * v + 1]!, faces[4 * v + 2]!], middle = 10 * Math.sin(0.45);
    expect(Math.hypot(nx, ny, nz)).toBeGreaterThan(125);
    expect((positions[3 * v]! - middle) * nx + (positions[3 * v + 1]! - (10 - 10 * Math.cos(0.45))) * ny).toBeGreaterThan(0);
    expect([faces[4 * v + 3], places[2 * v], Number(places[2 * v + 1]!.toFixed(6))]).toEqual([3, 7.5, -0.9]);
  });
});

describe("stretches", () => {
  const codes = [3, 3, 3, 0, 3, 3, 4, 4, 4, 3, 0, 0, 3, 1, 3];

  it("are tubes of their own, closed each; a single frame between blanks is none", () => {
    const indices = strips(codes);
    expect(openEdges(indices)).toBe(0);
    expect(indices.length).toBe(3 * (2 * POINTS * (2 + 5) + 4 * (POINTS - 2)));
    expect(new Set(indices.map((v) => Math.floor(v / POINTS)))).toEqual(new Set([0, 1, 2, 4, 5, 6, 7, 8, 9]));
  });

  it("keep the frames where the code changes when others are left out, and the last vertex of each tube's triangle belongs to its beginning", () => {
    const indices = strips(codes, 8), frames = new Set(indices.map((v) => Math.floor(v / POINTS)));
    expect(frames).toEqual(new Set([0, 2, 4, 6, 9])); // 4 to 6 and 6 to 9 end where the code is another
    const caps = 3 * (POINTS - 2), tube = indices.slice(caps, caps + 6 * POINTS);
    expect(tube.filter((_, i) => i % 3 === 2).every((v) => v < POINTS)).toBe(true);
  });

  it("never need more indices than is said, however frames are blank", () => {
    const most = Math.max(...Array.from({ length: 1024 }, (_, bits) => strips(Array.from({ length: 10 }, (_unused, i) => (bits >> i & 1) * 3)).length));
    expect(most).toBe(6 * POINTS * 9 + 6 * (POINTS - 2)); // one tube of all ten
  });

  it("have edges round both ends: 5 each for two tubes", () => {
    const out: number[] = [];
    pushCapEdges({ codes: Uint8Array.from(codes), leastCode: 3, firstFrame: 0, count: codes.length, ringPoints: POINTS }, out);
    expect(new Set(out.map((v) => Math.floor(v / POINTS)))).toEqual(new Set([0, 2, 4, 9]));
    expect(out.length).toBe(4 * POINTS * 2);
  });
});

describe("lines", () => {
  it("run where a frame of theirs stands at either end, thinned to each third, and no further than the frames they are given", () => {
    const codes = Uint8Array.of(1, 1, 1, 1, 1, 3, 3, 3, 1, 1), out: number[] = [];
    pushLines(codes, (code) => code === 1, { firstFrame: 0, count: 9, step: 3 }, out);
    expect(out).toEqual([0, 3, 3, 5, 7, 8]);
  });
});
