/**
 * An invented compound form that resembles the angle of a lower jaw: a ridge that turns by 60° (its legs stand at 120°), rounded with 15 mm on
 * its outer border and 40 mm on its inner side, and bowed along its length with 60 mm. No anatomy was measured for it.
 *
 * The ridge line in plan view is leg, arc of radius 20 mm, leg; σ is the length along it (0 in the middle of the arc), d the distance from it
 * (positive outside the turn). Height z = −rise(d) − σ²/120. The normal is continuous everywhere.
 */
import type { Vec3 } from "../kernel/vec.ts";
import type { Surface } from "./surface.ts";

const TURN_MM = 20;
const HALF_TURN_RAD = Math.PI / 6;
const OUTER_MM = 15;
const INNER_MM = 40;
const BOW_MM = 60;

interface Ridge { sigmaMm: number; dMm: number; tx: number; ty: number; stretch: number }
const at: Ridge = { sigmaMm: 0, dMm: 0, tx: 1, ty: 0, stretch: 1 };

/** Ridge coordinates of (x, y) into `at`: σ, d, the ridge's direction there and dσ's stretch 1 + d/20 mm (1 on the legs). */
function ridgeOf(x: number, y: number): void {
  // the arc's centre is (0, −TURN), its middle (0, 0); outside is +y
  const angle = Math.atan2(x, y + TURN_MM);
  const held = angle > HALF_TURN_RAD ? HALF_TURN_RAD : angle < -HALF_TURN_RAD ? -HALF_TURN_RAD : angle;
  const s = Math.sin(held), c = Math.cos(held);
  at.tx = c;
  at.ty = -s;
  at.dMm = x * s + (y + TURN_MM) * c - TURN_MM;
  const along = x * c - (y + TURN_MM) * s; // 0 on the arc
  at.sigmaMm = TURN_MM * held + along;
  at.stretch = held === angle ? 1 + at.dMm / TURN_MM : 1;
}

function radiusFor(d: number): number { return d > 0 ? OUTER_MM : INNER_MM; }
/** Drop of the ridge's cross-section at distance d, a circle's; past 80° it goes on straight so that no ray meets an edge. */
function dropMm(d: number): number {
  const r = radiusFor(d), edge = r * Math.sin(1.4), a = Math.abs(d);
  return a < edge ? r - Math.sqrt(r * r - a * a) : r * (1 - Math.cos(1.4)) + (a - edge) * Math.tan(1.4);
}
function dropSlope(d: number): number {
  const r = radiusFor(d), edge = r * Math.sin(1.4), a = Math.min(Math.abs(d), edge);
  return Math.sign(d) * (a / Math.sqrt(r * r - a * a));
}

/** Slopes dz/dx, dz/dy of the height at `at`. */
function slopes(): [number, number] {
  const bySigma = -at.sigmaMm / BOW_MM / at.stretch, byD = -dropSlope(at.dMm);
  return [bySigma * at.tx - byD * at.ty, bySigma * at.ty + byD * at.tx];
}
function heightMm(): number { return -dropMm(at.dMm) - at.sigmaMm * at.sigmaMm / (2 * BOW_MM); }

/** Chart to plan view: v is arc length on the cross-section's circle, left of the ridge's direction positive. */
function planView(u: number, v: number): [number, number] {
  const r = radiusFor(v), d = r * Math.sin(v / r);
  const held = Math.max(-HALF_TURN_RAD, Math.min(HALF_TURN_RAD, u / TURN_MM));
  const over = u - TURN_MM * held;
  const s = Math.sin(held), c = Math.cos(held);
  return [(TURN_MM + d) * s + over * c, (TURN_MM + d) * c - TURN_MM - over * s];
}

/** First hit by bracketing and safeguarded Newton on z − height, to 1e-10 mm. */
function castMm(ox: number, oy: number, oz: number, dx: number, dy: number, dz: number): number {
  if (!(dz < 0)) return Number.NaN;
  // start where the ray is below the highest point (z = 0) and still outside
  let low = Math.max(0, -oz / dz), high = low + 120;
  let lambda = low;
  for (let turn = 0; turn < 60; turn++) {
    ridgeOf(ox + lambda * dx, oy + lambda * dy);
    const f = oz + lambda * dz - heightMm();
    if (f > 0) low = lambda; else high = lambda;
    if (Math.abs(f) < 1e-10) return lambda;
    const [sx, sy] = slopes();
    const slope = dz - sx * dx - sy * dy;
    let next = slope < 0 ? lambda - f / slope : (low + high) / 2;
    if (!(next >= low && next <= high)) next = (low + high) / 2;
    if (Math.abs(next - lambda) < 1e-11) return next;
    lambda = next;
  }
  return high - low < 1e-6 ? lambda : Number.NaN;
}

function normalOver(x: number, y: number): Vec3 {
  ridgeOf(x, y);
  const [sx, sy] = slopes();
  const n = Math.sqrt(1 + sx * sx + sy * sy);
  return [-sx / n, -sy / n, 1 / n];
}

/** The form above as a target; u = σ, v across (arc length on the ridge's cross-section). Good for |u| ≤ 40 mm, |v| ≤ 18 mm. */
export function mandibleAngle(): Surface {
  return {
    name: "mandibleAngle",
    pointAt: (u, v) => {
      const [x, y] = planView(u, v);
      ridgeOf(x, y);
      return [x, y, heightMm()];
    },
    normalAt: (u, v) => normalOver(...planView(u, v)),
    normalOver,
    castMm,
  };
}
