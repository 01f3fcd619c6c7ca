/**
 * A picture of surfaces by depth: at each cell the nearest one and the nearest one behind it that is another surface. Inverse depth is linear over a
 * plane's picture, so that it is what is kept and interpolated.
 */
export interface DepthLayers {
  readonly width: number;
  readonly height: number;
  readonly inverse1: Float32Array; // Float32Array[row · width + column], 1/mm, 0 = nothing
  readonly id1: Int32Array; // Int32Array[cell], −1 = nothing
  readonly inverse2: Float32Array; // Float32Array[cell], of the second surface
  readonly id2: Int32Array; // Int32Array[cell]
}

/** Which ids are one surface: those of one group that lie at most `reach` apart. */
export interface SurfaceGroups { readonly groupOf: Int32Array /* Int32Array[id] */; readonly reach: number }

export function makeDepthLayers(width: number, height: number): DepthLayers {
  const cells = width * height;
  return { width, height, inverse1: new Float32Array(cells), id1: new Int32Array(cells).fill(-1), inverse2: new Float32Array(cells), id2: new Int32Array(cells).fill(-1) };
}

/**
 * Draws a triangle given by its corners `a`, `b`, `c`: indices into `corners` (Float64Array[3 · vertex]: column, row, inverse depth). Cells count by their
 * centres; one edge in common is drawn by at least one of two triangles. A corner with an inverse depth not above 0 draws nothing.
 */
export function drawTriangle(layers: DepthLayers, corners: Float64Array, a: number, b: number, c: number, id: number, groups: SurfaceGroups): void {
  const ax = corners[3 * a]!, ay = corners[3 * a + 1]!, az = corners[3 * a + 2]!, bx = corners[3 * b]!, by = corners[3 * b + 1]!, bz = corners[3 * b + 2]!, cx = corners[3 * c]!, cy = corners[3 * c + 1]!, cz = corners[3 * c + 2]!;
  if (!(az > 0 && bz > 0 && cz > 0)) return;
  const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
  if (!(area !== 0)) return;
  const { width, height, inverse1, id1 } = layers;
  const x0 = Math.max(0, Math.ceil(Math.min(ax, bx, cx))), x1 = Math.min(width - 1, Math.floor(Math.max(ax, bx, cx)));
  const y0 = Math.max(0, Math.ceil(Math.min(ay, by, cy))), y1 = Math.min(height - 1, Math.floor(Math.max(ay, by, cy)));
  if (x1 < x0) return;
  const scale = 1 / area, slack = -1e-9;
  const ub = (cy - ay) * scale, vb = -(cx - ax) * scale, uc = -(by - ay) * scale, vc = (bx - ax) * scale; // weights of b and c along column and row
  for (let y = y0; y <= y1; y++) {
    let wb = (x0 - ax) * ub + (y - ay) * vb, wc = (x0 - ax) * uc + (y - ay) * vc;
    for (let x = x0, at = y * width + x0; x <= x1; x++, at++, wb += ub, wc += uc) {
      const wa = 1 - wb - wc;
      if (wa < slack || wb < slack || wc < slack) continue;
      const inverse = wa * az + wb * bz + wc * cz;
      if (inverse > inverse1[at]!) {
        if (id1[at]! >= 0 && isOther(groups, id, id1[at]!)) {
          layers.inverse2[at] = inverse1[at]!;
          layers.id2[at] = id1[at]!;
        }
        inverse1[at] = inverse;
        id1[at] = id;
      } else if (inverse > layers.inverse2[at]! && isOther(groups, id, id1[at]!)) {
        layers.inverse2[at] = inverse;
        layers.id2[at] = id;
      }
    }
  }
}

function isOther({ groupOf, reach }: SurfaceGroups, a: number, b: number): boolean {
  return groupOf[a] !== groupOf[b] || Math.abs(a - b) > reach;
}
