/** Binary images as Uint8Array[row · width + column], 0 or 1. */

/** Opening by a square of half-size `radius`: what is thinner than 2 · radius + 1 cells vanishes, the rest keeps its outline. */
export function openMask(mask: Uint8Array, width: number, height: number, radius: number): Uint8Array {
  const eroded = boxPass(boxPass(mask, width, height, radius, true, true), width, height, radius, false, true);
  const dilated = dilateMask(eroded, width, height, radius);
  for (let i = 0; i < dilated.length; i++) dilated[i] = (dilated[i] as number) & (mask[i] as number);
  return dilated;
}

/** Closing by a square of half-size `radius`: holes and notches narrower than 2 · radius + 1 cells are filled. */
export function closeMask(mask: Uint8Array, width: number, height: number, radius: number): Uint8Array {
  const dilated = dilateMask(mask, width, height, radius);
  const closed = boxPass(boxPass(dilated, width, height, radius, true, true), width, height, radius, false, true);
  for (let i = 0; i < closed.length; i++) closed[i] = (closed[i] as number) | (mask[i] as number);
  return closed;
}

/** Dilation by a square of half-size `radius`. */
export function dilateMask(mask: Uint8Array, width: number, height: number, radius: number): Uint8Array {
  return boxPass(boxPass(mask, width, height, radius, true, false), width, height, radius, false, false);
}

/** One direction of an erosion (all of 2r + 1) or a dilation (any of 2r + 1), by a running count; outside counts as 0. */
function boxPass(mask: Uint8Array, width: number, height: number, radius: number, along: boolean, erode: boolean): Uint8Array {
  const out = new Uint8Array(mask.length);
  const length = along ? width : height, lines = along ? height : width;
  const step = along ? 1 : width, lineStep = along ? width : 1;
  const need = erode ? 2 * radius + 1 : 1;
  for (let line = 0; line < lines; line++) {
    const start = line * lineStep;
    let count = 0;
    for (let i = 0; i < Math.min(radius, length); i++) count += mask[start + i * step] as number;
    for (let i = 0; i < length; i++) {
      if (i + radius < length) count += mask[start + (i + radius) * step] as number;
      if (i - radius - 1 >= 0) count -= mask[start + (i - radius - 1) * step] as number;
      if (count >= need) out[start + i * step] = 1;
    }
  }
  return out;
}

/** A part of a binary image: its cell (x, y) is the whole one's (x0 + x, y0 + y). */
export interface MaskPart { readonly mask: Uint8Array; readonly x0: number; readonly y0: number; readonly width: number; readonly height: number }

/** The part that holds every one, with `margin` cells more on each side as far as there are any; null where there is none. */
export function cropMask(mask: Uint8Array, width: number, height: number, margin: number): MaskPart | null {
  let left = width, right = -1, top = -1, bottom = -1;
  for (let i = mask.indexOf(1); i >= 0; i = mask.indexOf(1, i + 1)) {
    const x = i % width;
    if (top < 0) top = (i - x) / width;
    bottom = (i - x) / width;
    if (x < left) left = x;
    if (x > right) right = x;
  }
  if (top < 0) return null;
  const x0 = Math.max(0, left - margin), y0 = Math.max(0, top - margin);
  const wide = Math.min(width, right + margin + 1) - x0, high = Math.min(height, bottom + margin + 1) - y0;
  const part = new Uint8Array(wide * high);
  for (let y = 0; y < high; y++) part.set(mask.subarray((y0 + y) * width + x0, (y0 + y) * width + x0 + wide), y * wide);
  return { mask: part, x0, y0, width: wide, height: high };
}

/** Calls `visit` with the cells of each 8-connected component of ones, in order of first cell. */
export function eachComponent(mask: Uint8Array, width: number, height: number, visit: (cells: number[]) => void): void {
  const left = Uint8Array.from(mask);
  for (let i = 0; i < left.length; i++) {
    if (left[i] === 0) continue;
    const cells = [i];
    left[i] = 0;
    for (let at = 0; at < cells.length; at++) {
      const cell = cells[at] as number;
      const x = cell % width, y = (cell - x) / width;
      for (let dy = -1; dy <= 1; dy++) {
        if (y + dy < 0 || y + dy >= height) continue;
        for (let dx = -1; dx <= 1; dx++) {
          if (x + dx < 0 || x + dx >= width) continue;
          const next = cell + dy * width + dx;
          if (left[next] === 0) continue;
          left[next] = 0;
          cells.push(next);
        }
      }
    }
    visit(cells);
  }
}
