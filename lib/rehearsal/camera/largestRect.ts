/** The largest upright rectangle of marked pixels. */

/** First and last pixel, both inside: [u0, v0, u1, v1]. */
export type RectPx = readonly [number, number, number, number];

/** Of all rectangles of marked pixels the largest (the first of several); a histogram of heights a row, each with a stack. null where nothing is marked. */
export function largestRect(widthPx: number, heightPx: number, isMarked: (pixel: number) => boolean): RectPx | null {
  const heights = new Int32Array(widthPx + 1);
  let best: RectPx | null = null, most = 0;
  for (let v = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++) heights[u] = isMarked(v * widthPx + u) ? heights[u]! + 1 : 0;
    const open: number[] = []; // columns of growing height
    for (let u = 0; u <= widthPx; u++) {
      while (open.length > 0 && heights[open.at(-1)!]! >= heights[u]!) {
        const height = heights[open.pop()!]!, from = open.length > 0 ? open.at(-1)! + 1 : 0, area = height * (u - from);
        if (area > most) {
          most = area;
          best = [from, v - height + 1, u - 1, v];
        }
      }
      open.push(u);
    }
  }
  return best;
}
