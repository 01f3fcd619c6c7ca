import { describe, expect, it } from "vitest";
import { drawTriangle, makeDepthLayers, type SurfaceGroups } from "../../lib/kernel/depthLayers.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

const WIDTH = 40, HEIGHT = 30, COUNT = 12;
/** Ids of one group are one surface however far apart; or each id is its own. */
const THREE_GROUPS: SurfaceGroups = { groupOf: Int32Array.from({ length: COUNT }, (_, id) => id % 3), reach: COUNT };
const EACH_ITS_OWN: SurfaceGroups = { groupOf: new Int32Array(COUNT), reach: 0 };

interface Hit { readonly id: number; readonly inverse: number }

/** What a triangle shows at a cell: three signed areas of one sign, and the plane through its corners by Cramer's rule; null: it does not cover the cell. */
function hitAt(corners: Float64Array, id: number, x: number, y: number): Hit | null {
  const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(9 * id, 9 * id + 9) as unknown as [number, number, number, number, number, number, number, number, number];
  const side = (px: number, py: number, qx: number, qy: number): number => (qx - px) * (y - py) - (qy - py) * (x - px);
  const sides = [side(ax, ay, bx, by), side(bx, by, cx, cy), side(cx, cy, ax, ay)];
  if (!(sides.every((s) => s > 0) || sides.every((s) => s < 0))) return null;
  const det = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay), slopeX = ((bz - az) * (cy - ay) - (cz - az) * (by - ay)) / det, slopeY = ((bx - ax) * (cz - az) - (cx - ax) * (bz - az)) / det;
  return { id, inverse: az + slopeX * (x - ax) + slopeY * (y - ay) };
}

function drawn(corners: Float64Array, ids: readonly number[], groups: SurfaceGroups, width = WIDTH, height = HEIGHT) {
  const layers = makeDepthLayers(width, height);
  for (const id of ids) drawTriangle(layers, corners, 3 * id, 3 * id + 1, 3 * id + 2, id, groups);
  return layers;
}

describe.each([1, 2, 3])("twelve random triangles, seed %d, cell by cell against every triangle asked alone", (seed) => {
  const random = makeRandom(seed, "triangles"), corners = Float64Array.from({ length: 9 * COUNT }, (_, i) => (i % 3 === 0 ? 50 * random.next() - 5 : i % 3 === 1 ? 40 * random.next() - 5 : 0.002 + 0.02 * random.next()));
  const order = Array.from({ length: COUNT }, (_, id) => id);

  it.each([["three groups", THREE_GROUPS, order], ["three groups, drawn backwards", THREE_GROUPS, order.toReversed()], ["each its own surface", EACH_ITS_OWN, order]] as const)("%s: nearest, and nearest behind it that is another surface", (_, groups, ids) => {
    const layers = drawn(corners, ids, groups);
    let seconds = 0;
    for (let cell = 0; cell < WIDTH * HEIGHT; cell++) {
      const hits = order.flatMap((id) => hitAt(corners, id, cell % WIDTH, Math.floor(cell / WIDTH)) ?? []).sort((a, b) => b.inverse - a.inverse), first = hits[0];
      const isOther = (hit: Hit): boolean => groups === EACH_ITS_OWN || hit.id % 3 !== (first as Hit).id % 3, second = hits.slice(1).find(isOther);
      expect([layers.id1[cell], layers.id2[cell]]).toEqual([first?.id ?? -1, second?.id ?? -1]);
      expect(Math.abs((layers.inverse1[cell] as number) - (first?.inverse ?? 0))).toBeLessThan(2e-9); // a single float of 0.02
      expect(Math.abs((layers.inverse2[cell] as number) - (second?.inverse ?? 0))).toBeLessThan(2e-9);
      if (second !== undefined) seconds++;
    }
    expect(seconds).toBeGreaterThan(100); // else the scene shows nothing of second surfaces
  });
});

describe("by hand: triangles that all cover the cell (1, 1)", () => {
  /** Flat ones at the given inverse depths. */
  const flat = (...inverses: number[]): Float64Array => Float64Array.from(inverses.flatMap((z) => [-5, -5, z, 20, -5, z, -5, 20, z]));
  const seen = (corners: Float64Array, ids: readonly number[], groups: SurfaceGroups): number[] => {
    const { id1, id2 } = drawn(corners, ids, groups, 3, 3);
    return [id1[4] as number, id2[4] as number];
  };

  it("two ids of one group are one surface up to `reach` apart, and two beyond it, in whichever order they are drawn", () => {
    const corners = flat(0.01, 0.02, 0.03, 0.04), group = new Int32Array(4);
    expect(seen(corners, [0, 3], { groupOf: group, reach: 3 })).toEqual([3, -1]);
    expect(seen(corners, [0, 3], { groupOf: group, reach: 2 })).toEqual([3, 0]);
    expect(seen(corners, [3, 0], { groupOf: group, reach: 3 })).toEqual([3, -1]);
    expect(seen(corners, [3, 0], { groupOf: group, reach: 2 })).toEqual([3, 0]);
  });

  it("neighbours by id of two groups are two surfaces", () => {
    expect(seen(flat(0.01, 0.02), [0, 1], { groupOf: Int32Array.of(0, 1), reach: 5 })).toEqual([1, 0]);
  });

  it("a corner that is not before the camera, or a triangle without area, draws nothing", () => {
    const behind = Float64Array.of(-5, -5, 0.01, 20, -5, 0, -5, 20, 0.01), thin = Float64Array.of(-5, -5, 0.01, 0, 0, 0.01, 20, 20, 0.01);
    for (const corners of [behind, thin]) expect(seen(corners, [0], EACH_ITS_OWN)).toEqual([-1, -1]);
  });

  it("two triangles that share an edge through cells' centres leave no cell of the square between them", () => {
    const square = Float64Array.of(0, 0, 0.01, 8, 0, 0.01, 0, 8, 0.01, 8, 0, 0.01, 8, 8, 0.01, 0, 8, 0.01), { id1 } = drawn(square, [0, 1], EACH_ITS_OWN, 9, 9);
    expect([...id1].filter((id) => id < 0)).toEqual([]);
  });
});
