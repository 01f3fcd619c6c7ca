/** Hue and saturation (HSV) of #rrggbb. */
function channels(hex: string): [number, number, number] {
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as [number, number, number];
}

/** Degrees, 0..360; 0 for grey. */
export function hueDeg(hex: string): number {
  const [r, g, b] = channels(hex);
  const max = Math.max(r, g, b), span = max - Math.min(r, g, b);
  if (span === 0) return 0;
  const sixth = max === r ? ((g - b) / span + 6) % 6 : max === g ? (b - r) / span + 2 : (r - g) / span + 4;
  return sixth * 60;
}

/** 0..1; 0 for black. */
export function saturation(hex: string): number {
  const all = channels(hex), max = Math.max(...all);
  return max === 0 ? 0 : (max - Math.min(...all)) / max;
}
