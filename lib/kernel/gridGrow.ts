/** Finds points that form a rectangular grid in a picture, seen aslant and through a lens, among others that do not. */

export interface PointSet { readonly x: ArrayLike<number>; readonly y: ArrayLike<number> }

/** Indices of points, row by row: columns to the right of rows as the picture is read (the turn from along to down is clockwise, as x to y is). */
export interface FoundGrid { readonly columns: number; readonly rows: number; readonly points: readonly number[] }

type Linked = (i: number, j: number) => boolean;

const NEIGHBOURS = 8;
const SEEDS = 60;
/** How far a point may lie from where its neighbours say, of their distance. */
const REACH = 0.33;
/** Sine of the least angle between the two directions of a grid. */
const LEAST_SINE = 0.25;

/**
 * The largest full rectangle that can be grown: from a point and two of its neighbours on, each next point is looked for where the step
 * before it leads. `linked`: whether two points can be neighbours in the grid. null: none of at least 2 × 2.
 */
export function growGrid(points: PointSet, linked: Linked): FoundGrid | null {
  const count = points.x.length, tried = new Uint8Array(count);
  let best: FoundGrid | null = null;
  const most = (): number => (best === null ? 0 : best.points.length);
  for (let seed = 0, seeds = 0; seed < count && seeds < SEEDS; seed++) {
    if (tried[seed] === 1) continue;
    seeds++;
    for (const [a, b] of basesAt(points, seed, linked)) {
      const grown = grow(points, linked, [seed, a, b]);
      if (grown.size > 8) for (const point of grown.values()) tried[point] = 1;
      if (grown.size <= most()) continue;
      const rectangle = fullRectangle(grown);
      if (rectangle !== null && rectangle.points.length > most()) best = rectangle;
    }
    if (most() > 0 && 2 * most() > count - tried.reduce((sum, v) => sum + v, 0) + most()) break; // what is left cannot hold a larger one
  }
  return best;
}

/** Pairs of neighbours, the second clockwise of the first. */
function basesAt({ x, y }: PointSet, seed: number, linked: Linked): (readonly [number, number])[] {
  const near = nearest({ x, y }, seed).filter((i) => linked(seed, i));
  return near.flatMap((a) => near.filter((b) => {
    const ax = x[a]! - x[seed]!, ay = y[a]! - y[seed]!, bx = x[b]! - x[seed]!, by = y[b]! - y[seed]!;
    return ax * by - ay * bx > LEAST_SINE * Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by));
  }).map((b): readonly [number, number] => [a, b])).slice(0, 12);
}

function nearest({ x, y }: PointSet, seed: number): number[] {
  const found: { readonly i: number; readonly d: number }[] = [];
  for (let i = 0; i < x.length; i++) {
    const d = (x[i]! - x[seed]!) ** 2 + (y[i]! - y[seed]!) ** 2;
    if (i === seed || (found.length === NEIGHBOURS && d >= found[NEIGHBOURS - 1]!.d)) continue;
    found.push({ i, d });
    found.sort((p, q) => p.d - q.d);
    if (found.length > NEIGHBOURS) found.pop();
  }
  return found.map(({ i }) => i);
}

const DIRECTIONS = [[1, 0], [0, 1], [-1, 0], [0, -1]] as const;
const keyOf = (c: number, r: number): number => (c + 512) * 1024 + r + 512;
const columnOf = (key: number): number => Math.floor(key / 1024) - 512;
const rowOf = (key: number): number => key % 1024 - 512;

interface Cell { readonly c: number; readonly r: number; readonly point: number; readonly steps: readonly (readonly [number, number])[] }

/** Point by cell key. Each cell keeps the step that led along each of the two directions near it. */
function grow(points: PointSet, linked: Linked, [seed, a, b]: readonly [number, number, number]): Map<number, number> {
  const { x, y } = points, cells = new Map<number, number>([[keyOf(0, 0), seed]]), taken = new Set([seed]);
  const step = (to: number, from: number): readonly [number, number] => [x[to]! - x[from]!, y[to]! - y[from]!];
  const queue: Cell[] = [{ c: 0, r: 0, point: seed, steps: [step(a, seed), step(b, seed)] }];
  for (let at = 0; at < queue.length; at++) {
    const { c, r, point, steps } = queue[at]!;
    for (const [dc, dr] of DIRECTIONS) {
      const key = keyOf(c + dc, r + dr), along = dc === 0 ? 1 : 0, sign = dc + dr;
      if (cells.has(key) || Math.abs(c + dc) > 500 || Math.abs(r + dr) > 500) continue;
      const [sx, sy] = steps[along]!, next = closest(points, x[point]! + sign * sx, y[point]! + sign * sy, REACH * Math.sqrt(sx * sx + sy * sy));
      if (next < 0 || taken.has(next) || !linked(point, next)) continue;
      cells.set(key, next);
      taken.add(next);
      const own = step(next, point), forward: readonly [number, number] = [sign * own[0], sign * own[1]];
      queue.push({ c: c + dc, r: r + dr, point: next, steps: along === 0 ? [forward, steps[1]!] : [steps[0]!, forward] });
    }
  }
  return cells;
}

function closest({ x, y }: PointSet, px: number, py: number, reach: number): number {
  let best = -1, least = reach * reach;
  for (let i = 0; i < x.length; i++) {
    const d = (x[i]! - px) ** 2 + (y[i]! - py) ** 2;
    if (d < least) {
      least = d;
      best = i;
    }
  }
  return best;
}

/** The largest rectangle without a hole (of equal ones the first), turned so that its columns run to the right more than down. */
function fullRectangle(cells: ReadonlyMap<number, number>): FoundGrid | null {
  const keys = [...cells.keys()], cs = keys.map(columnOf), rs = keys.map(rowOf), c0 = Math.min(...cs), r0 = Math.min(...rs), wide = Math.max(...cs) - c0 + 1, high = Math.max(...rs) - r0 + 1;
  const heights = new Int32Array(wide);
  let best = { area: 0, c: 0, r: 0, columns: 0, rows: 0 };
  for (let r = 0; r < high; r++) {
    for (let c = 0; c < wide; c++) heights[c] = cells.has(keyOf(c0 + c, r0 + r)) ? heights[c]! + 1 : 0;
    for (let c = 0; c < wide; c++) {
      for (let end = c, low = Infinity; end < wide && heights[end]! > 0; end++) {
        low = Math.min(low, heights[end]!);
        if (low * (end - c + 1) > best.area) best = { area: low * (end - c + 1), c, r: r - low + 1, columns: end - c + 1, rows: low };
      }
    }
  }
  const { c, r, columns, rows } = best;
  if (columns < 2 || rows < 2) return null;
  return { columns, rows, points: Array.from({ length: columns * rows }, (_, i) => cells.get(keyOf(c0 + c + i % columns, r0 + r + Math.floor(i / columns)))!) };
}

/** The grid turned by a quarter clockwise as the picture is read: its first row becomes its last column. */
export function quarterTurned({ columns, rows, points }: FoundGrid): FoundGrid {
  return { columns: rows, rows: columns, points: Array.from({ length: points.length }, (_, i) => points[(rows - 1 - i % rows) * columns + Math.floor(i / rows)]!) };
}
