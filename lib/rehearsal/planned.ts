/** The plan of a rehearsal: waypoints of every strand on its offset of the target, and the dense nodes that bodies are swept along. */
import { dot, tripleAt, type Vec3 } from "../kernel/vec.ts";
import { flowMm3S, laidAreaMm2 } from "../formula/bead.ts";
import { layerPaths, type ChartPath } from "./path.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Surface } from "./surface.ts";
import { makeTrack, type Track } from "./track.ts";

export interface PlannedStrand {
  readonly layer: number;
  readonly strand: number;
  readonly path: ChartPath;
  /** Dense nodes at plan height (top of bead). Arc length along the strand is `arcMm`, not the track's own. */
  readonly track: Track;
  readonly arcMm: Float64Array; // Float64Array[node], arc length along the waypoints
  readonly waypoints: Int32Array; // Int32Array[waypoint], node index
  readonly lengthMm: number;
}

/** Step between nodes: fine against the bead and against the tightest turn. */
export function nodeStepMm(settings: RehearsalSettings, path: ChartPath): number {
  return Math.min(Math.max(0.1 * settings.widthMm, 0.025), 0.1, path.turnRadiusMm / 15, path.lengthMm / 8);
}

/** Every strand of every layer, in the order of laying. A layer's planned base is the planned top of the one before. */
export function planStrands(settings: RehearsalSettings, surface: Surface): PlannedStrand[] {
  const strands: PlannedStrand[] = [];
  for (let layer = 1; layer <= settings.layers; layer++) {
    layerPaths(settings, layer).forEach((path, index) => {
      const track = makeTrack(surface, path, layer * settings.heightMm, 0, path.lengthMm, nodeStepMm(settings, path));
      const waypoints = chooseWaypoints(track, Math.min(0.5, settings.widthMm / 2));
      const arcMm = arcOfNodes(track, waypoints);
      strands.push({ layer, strand: index + 1, path, track, arcMm, waypoints, lengthMm: arcMm[track.count - 1] as number });
    });
  }
  return strands;
}

/** A node becomes a waypoint at the latest after `spacingMm` or a turn of 0.06 rad. */
function chooseWaypoints(track: Track, spacingMm: number): Int32Array {
  const chosen = [0];
  let last = 0;
  for (let k = 1; k < track.count; k++) {
    const next = Math.min(k + 1, track.count - 1);
    const far = (track.alongMm[next] as number) - (track.alongMm[last] as number) > spacingMm + 1e-9;
    const turned = dot(tripleAt(track.tangents, next), tripleAt(track.tangents, last)) < Math.cos(0.06);
    if (far || turned || k === track.count - 1) {
      chosen.push(k);
      last = k;
    }
  }
  return Int32Array.from(chosen);
}

/** Arc length along the chords between waypoints, shared out evenly to the nodes between. */
function arcOfNodes(track: Track, waypoints: Int32Array): Float64Array {
  const arc = new Float64Array(track.count);
  for (let i = 1; i < waypoints.length; i++) {
    const a = waypoints[i - 1] as number, b = waypoints[i] as number;
    const chord = Math.hypot(...([0, 1, 2].map((j) => (track.pointsMm[3 * b + j] as number) - (track.pointsMm[3 * a + j] as number)) as [number, number, number]));
    for (let k = a + 1; k <= b; k++) arc[k] = (arc[a] as number) + chord * (k - a) / (b - a);
  }
  return arc;
}

/** plan.csv with widths and flows that conserve volume for the planned bead. */
export function planCsv(settings: RehearsalSettings, strands: readonly PlannedStrand[]): string {
  const { widthMm, heightMm, shape, speedMmS } = settings;
  const flow = flowMm3S(laidAreaMm2(shape, widthMm, heightMm), speedMmS);
  const tail = `${widthMm},${heightMm},${speedMmS},${flow.toFixed(6)}`;
  const lines = ["layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s"];
  const text = (v: Vec3): string => v.map((x) => (Math.round(x * 1e7) / 1e7 + 0).toString()).join(",");
  for (const one of strands) {
    for (const k of one.waypoints) lines.push(`${one.layer},${one.strand},${text(tripleAt(one.track.pointsMm, k))},${text(tripleAt(one.track.normals, k))},${tail}`);
  }
  return `${lines.join("\n")}\n`;
}
