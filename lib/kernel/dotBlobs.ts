/** Round dots of a picture, and what a lens and a slanting view do to their middles. */
import { distortInto, type Lens } from "./brownConrady.ts";
import { boxMeans, type GrayImage, smoothed } from "./grayImage.ts";
import { eachComponent } from "./mask.ts";
import { quantile } from "./statistics.ts";
import { applyPose, type Pose7 } from "./vec.ts";

export interface Dot {
  /** Centroid of what is darker (or brighter) than its surroundings, px. */
  readonly x: number;
  readonly y: number;
  /** The same quantity's sum over the dot's own depth: the dot's area whatever the blur, px². */
  readonly areaPx2: number;
}

const LEAST_CELLS = 20;
/** Of the picture's range of brightness: how far a dot stands off the mean around it. */
const LEAST_DEPTH = 0.06;
/** Area over that of the ellipse of the same moments. */
const ROUND = [0.85, 1.15] as const;
const LEAST_AXIS_RATIO = 0.2;
const MARGIN_PX = 3;

/** Dots darker than what surrounds them; with `isBright`, brighter ones. `windowPx`: half-size of the surroundings, larger than a dot and its gap. */
export function findDots(image: GrayImage, { isBright, windowPx }: { readonly isBright: boolean; readonly windowPx: number }): Dot[] {
  const { width, height } = image, sign = isBright ? -1 : 1, soft = smoothed(image, 1).pixels, around = boxMeans(image, windowPx), mask = new Uint8Array(soft.length);
  let low = Infinity, high = -Infinity;
  for (const v of soft) {
    low = Math.min(low, v);
    high = Math.max(high, v);
  }
  const depth = LEAST_DEPTH * (high - low);
  for (let i = 0; i < mask.length; i++) mask[i] = sign * (around[i]! - soft[i]!) > depth ? 1 : 0;
  const dots: Dot[] = [];
  eachComponent(mask, width, height, (cells) => {
    const dot = cells.length < LEAST_CELLS ? null : dotOf(image, cells, sign);
    if (dot !== null) dots.push(dot);
  });
  return dots;
}

interface Ellipse { readonly x: number; readonly y: number; readonly xx: number; readonly xy: number; readonly yy: number }

function momentsOf(cells: readonly number[], width: number): Ellipse {
  const n = cells.length;
  let x = 0, y = 0, xx = 0, xy = 0, yy = 0;
  for (const cell of cells) {
    x += cell % width / n;
    y += Math.floor(cell / width) / n;
  }
  for (const cell of cells) {
    const dx = cell % width - x, dy = Math.floor(cell / width) - y;
    xx += dx * dx / n;
    xy += dx * dy / n;
    yy += dy * dy / n;
  }
  return { x, y, xx, xy, yy };
}

function dotOf(image: GrayImage, cells: readonly number[], sign: number): Dot | null {
  const e = momentsOf(cells, image.width), det = e.xx * e.yy - e.xy * e.xy, half = (e.xx + e.yy) / 2, spread = Math.sqrt(Math.max(0, half * half - det));
  const round = cells.length / (4 * Math.PI * Math.sqrt(det));
  if (!(round > ROUND[0] && round < ROUND[1] && Math.sqrt((half - spread) / (half + spread)) > LEAST_AXIS_RATIO)) return null;
  return weigh(image, e, { det, sign, inner: quantile(Float64Array.from(cells, (cell) => image.pixels[cell]!).sort(), sign > 0 ? 0.25 : 0.75) });
}

/** Sums what stands off the surroundings over the ellipse grown by a margin on all sides; its outermost rim tells the surroundings' brightness. */
function weigh({ pixels, width, height }: GrayImage, e: Ellipse, { det, sign, inner }: { readonly det: number; readonly sign: number; readonly inner: number }): Dot | null {
  const reachX = 2 * Math.sqrt(e.xx) + MARGIN_PX + 1, reachY = 2 * Math.sqrt(e.yy) + MARGIN_PX + 1;
  const x0 = Math.ceil(e.x - reachX), x1 = Math.floor(e.x + reachX), y0 = Math.ceil(e.y - reachY), y1 = Math.floor(e.y + reachY);
  if (x0 < 0 || y0 < 0 || x1 >= width || y1 >= height) return null;
  const rim: number[] = [], at: number[] = [];
  for (let y = y0; y <= y1; y++) for (let x = x0; x <= x1; x++) {
    const dx = x - e.x, dy = y - e.y, far = Math.sqrt((e.yy * dx * dx - 2 * e.xy * dx * dy + e.xx * dy * dy) / det), beyond = Math.sqrt(dx * dx + dy * dy) * (1 - 2 / far); // px outside of the ellipse, along the ray
    if (far > 0 && beyond > MARGIN_PX) continue;
    at.push(y * width + x);
    if (far > 0 && beyond > MARGIN_PX - 1) rim.push(pixels[y * width + x]!);
  }
  const outer = quantile(Float64Array.from(rim).sort(), 0.5);
  let sum = 0, sx = 0, sy = 0;
  for (const cell of at) {
    const weight = sign * (outer - pixels[cell]!);
    sum += weight;
    sx += weight * (cell % width - e.x);
    sy += weight * (Math.floor(cell / width) - e.y);
  }
  return sum > 0 ? { x: e.x + sx / sum, y: e.y + sy / sum, areaPx2: sum / Math.abs(outer - inner) } : null;
}

const OUTLINE = 32;
/** Of the radius, so that the polygon has the circle's area. */
const OUTLINE_RATIO = Math.sqrt((2 * Math.PI / OUTLINE) / Math.sin(2 * Math.PI / OUTLINE));

/**
 * How far the centroid of a circle's picture lies from the picture of its middle (its shift in x, y, px), and the picture's area: by the
 * polygon of its outline, seen through the lens. Circle of `radius` about (x, y) of the plane z = 0 that `pose` carries before the camera.
 */
export function circleShift(lens: Lens, pose: Pose7, { x, y, radius }: { readonly x: number; readonly y: number; readonly radius: number }): { readonly dx: number; readonly dy: number; readonly areaPx2: number } {
  const out = new Float64Array(2), see = (bx: number, by: number): readonly [number, number] => {
    const [cx, cy, cz] = applyPose(pose, [bx, by, 0]);
    distortInto(lens, cx / cz, cy / cz, out);
    return [out[0]!, out[1]!];
  };
  const reach = radius * OUTLINE_RATIO, [mx, my] = see(x, y), outline = Array.from({ length: OUTLINE }, (_, i) => see(x + reach * Math.cos(2 * Math.PI * i / OUTLINE), y + reach * Math.sin(2 * Math.PI * i / OUTLINE)));
  let area = 0, ax = 0, ay = 0;
  outline.forEach(([px, py], i) => {
    const [qx, qy] = outline[(i + 1) % OUTLINE]!, twice = (px - mx) * (qy - my) - (qx - mx) * (py - my);
    area += twice / 2;
    ax += twice * (px + qx - 2 * mx) / 6;
    ay += twice * (py + qy - 2 * my) / 6;
  });
  return { dx: ax / area, dy: ay / area, areaPx2: Math.abs(area) };
}
