/** Paths in a target's chart: what strands and scanning passes follow. Lengths mm in the chart. */
import { layerAngleOf, pitchOf, type RehearsalSettings } from "./settings.ts";

export interface ChartPath {
  readonly lengthMm: number;
  /** The path ends where it begins, and goes round again beyond its end. */
  readonly closed: boolean;
  /** Tightest turn, mm; Infinity for a straight path. */
  readonly turnRadiusMm: number;
  /** Chart point at length q; before 0 and beyond the length it goes straight on (a closed one round again). */
  at(q: number): readonly [number, number];
}

/** A rectangle in the chart, centred on (0, 0) and turned by `angleRad`: the field that all layers share. */
export interface Field { readonly lengthMm: number; readonly widthMm: number; readonly angleRad: number }

/** Straight from (u, v) in direction `angleRad`. */
export function straightPath(u: number, v: number, angleRad: number, lengthMm: number): ChartPath {
  const c = Math.cos(angleRad), s = Math.sin(angleRad);
  return { lengthMm, closed: false, turnRadiusMm: Infinity, at: (q) => [u + c * q, v + s * q] };
}

/** A circle round (0, 0), counter-clockwise. */
function ringPath(circumferenceMm: number): ChartPath {
  const r = circumferenceMm / (2 * Math.PI);
  return { lengthMm: circumferenceMm, closed: true, turnRadiusMm: r, at: (q) => [r * Math.cos(q / r), r * Math.sin(q / r)] };
}

/** Parallel legs joined by half circles. */
function serpentinePath(legs: number, legMm: number, pitchMm: number, angleRad: number): ChartPath {
  const r = pitchMm / 2, turnMm = Math.PI * r, unitMm = legMm + turnMm;
  const lengthMm = legs * legMm + (legs - 1) * turnMm;
  const c = Math.cos(angleRad), s = Math.sin(angleRad);
  const at = (q: number): readonly [number, number] => {
    const leg = Math.min(legs - 1, Math.max(0, Math.floor(q / unitMm)));
    const side = leg % 2 === 0 ? 1 : -1, within = q - leg * unitMm, y0 = (leg - (legs - 1) / 2) * pitchMm;
    let x: number, y: number;
    if (within <= legMm || leg === legs - 1) {
      x = side * (within - legMm / 2);
      y = y0;
    } else {
      const a = (within - legMm) / r;
      x = side * (legMm / 2 + r * Math.sin(a));
      y = y0 + r * (1 - Math.cos(a));
    }
    return [c * x - s * y, s * x + c * y];
  };
  return { lengthMm, closed: false, turnRadiusMm: legs > 1 ? r : Infinity, at };
}

/** The field of all layers. */
export function fieldOf(settings: RehearsalSettings): Field {
  const angleRad = settings.directionDeg * Math.PI / 180;
  if (settings.pattern === "ring") {
    const size = settings.lengthMm / Math.PI + settings.widthMm;
    return { lengthMm: size, widthMm: size, angleRad };
  }
  const turn = settings.pattern === "serpentine" ? pitchOf(settings) + settings.widthMm : 0;
  return { lengthMm: settings.lengthMm + turn, widthMm: (settings.strands - 1) * pitchOf(settings) + settings.widthMm, angleRad };
}

/** Direction of a layer's strands in the chart, rad. */
export function layerDirectionRad(settings: RehearsalSettings, layer: number): number {
  const turns = settings.pattern === "lattice" || settings.pattern === "raster" ? (layer - 1) % 2 : layer - 1;
  return (settings.directionDeg + turns * layerAngleOf(settings)) * Math.PI / 180;
}

/** Strands of a layer as chart paths, in the order of laying. */
export function layerPaths(settings: RehearsalSettings, layer: number): ChartPath[] {
  if (settings.pattern === "ring") return [ringPath(settings.lengthMm)];
  const angle = layerDirectionRad(settings, layer), pitch = pitchOf(settings), field = fieldOf(settings);
  if (settings.pattern === "serpentine") return [serpentinePath(settings.strands, settings.lengthMm, pitch, angle)];
  const turned = Math.abs(Math.sin(angle - field.angleRad)) > 1e-9;
  return turned ? hatch(settings, field, angle, pitch) : parallel(settings, angle, pitch);
}

function parallel(settings: RehearsalSettings, angle: number, pitch: number): ChartPath[] {
  const paths: ChartPath[] = [];
  for (let i = 0; i < settings.strands; i++) {
    paths.push(lineAt((i - (settings.strands - 1) / 2) * pitch, angle, -settings.lengthMm / 2, settings.lengthMm / 2, settings.alternate && i % 2 === 1));
  }
  return paths;
}

/** The line at lateral distance `off`, from `from` to `to` along the direction, or back. */
function lineAt(off: number, angle: number, from: number, to: number, backwards: boolean): ChartPath {
  const c = Math.cos(angle), s = Math.sin(angle), q = backwards ? to : from;
  return straightPath(c * q - s * off, s * q + c * off, backwards ? angle + Math.PI : angle, to - from);
}

/** Lines across the field at any angle, at least three widths long; they end where the outermost beads beneath are still flat. */
function hatch(settings: RehearsalSettings, field: Field, angle: number, pitch: number): ChartPath[] {
  const turn = angle - field.angleRad, c = Math.cos(turn), s = Math.sin(turn);
  const halfL = field.lengthMm / 2, halfW = field.widthMm / 2, inset = settings.widthMm / 2;
  const reach = Math.abs(s) * (halfL - inset) + Math.abs(c) * (halfW - inset);
  const count = Math.floor(2 * reach / pitch + 1e-9) + 1;
  const paths: ChartPath[] = [];
  for (let i = 0; i < count; i++) {
    const off = (i - (count - 1) / 2) * pitch;
    // points −s·off + c·q, c·off + s·q inside ±halfL, ±halfW
    const [a0, a1] = span(-s * off, c, halfL - settings.heightMm / 2), [b0, b1] = span(c * off, s, halfW - settings.heightMm / 2);
    const from = Math.max(a0, b0), to = Math.min(a1, b1);
    if (to - from >= 3 * settings.widthMm) paths.push(lineAt(off, angle, from, to, settings.alternate && paths.length % 2 === 1));
  }
  return paths;
}

/** Where |base + slope·q| ≤ half. */
function span(base: number, slope: number, half: number): [number, number] {
  if (Math.abs(slope) < 1e-9) return Math.abs(base) <= half ? [-Infinity, Infinity] : [1, 0];
  const a = (-half - base) / slope, b = (half - base) / slope;
  return a < b ? [a, b] : [b, a];
}
