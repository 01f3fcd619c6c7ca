import { noiseFromDifferences, rejectSpikes } from "../kernel/spikes.ts";
import { axesOfPose } from "../kernel/vec.ts";
import type { Profiler } from "../model/job.ts";
import type { ProfileMessage } from "../model/messages.ts";

/** One profile made ready: cleaned samples in the sensor's frame, the sensor's axes in plan, and thinned blocks for the maps. */
export interface Line {
  count: number;
  x: Float64Array; // Float64Array[sample], ascending, sensor mm
  z: Float64Array; // Float64Array[sample], NaN = no return or taken out
  /** Lateral distance of samples, mm. */
  pitchMm: number;
  /** Standard deviation of one height, mm: the job's or, where that is larger, what the data show. */
  sigmaMm: number;
  o: Float64Array; ex: Float64Array; ey: Float64Array; ez: Float64Array; // Float64Array[3], plan
  minX: number; maxX: number; minZ: number; maxZ: number;
  /** Blocks one map cell wide: mean x and z of the samples in them, NaN where none returned. */
  blockCount: number;
  blockX: Float64Array; // Float64Array[block]
  blockZ: Float64Array; // Float64Array[block]
  /** Mean number of samples a block. */
  blockSize: number;
}

/** The pitch that the measuring is made for, as a share of the bead. */
const SAMPLES_A_BEAD = 33;

/** Prepares the profiles of one device; buffers are reused from profile to profile. */
export class LinePreparer {
  private readonly device: Profiler;
  private readonly cellMm: number;
  private readonly jumpMm: number;
  private readonly narrowestMm: number;
  private readonly scratch = new Float64Array(512);
  private noise = Number.NaN;
  private readonly line: Line = {
    count: 0, x: new Float64Array(0), z: new Float64Array(0), pitchMm: Number.NaN, sigmaMm: Number.NaN,
    o: new Float64Array(3), ex: new Float64Array(3), ey: new Float64Array(3), ez: new Float64Array(3),
    minX: 0, maxX: 0, minZ: 0, maxZ: 0, blockCount: 0, blockX: new Float64Array(0), blockZ: new Float64Array(0), blockSize: 1,
  };

  /** `cellMm`: the map's cell; `jumpMm`: a step smaller than this is never a spike; `narrowestMm`: the narrowest planned bead. */
  constructor(device: Profiler, options: { cellMm: number; jumpMm: number; narrowestMm: number }) {
    this.device = device;
    this.cellMm = options.cellMm;
    this.jumpMm = options.jumpMm;
    this.narrowestMm = options.narrowestMm;
  }

  /** The prepared profile, valid until the next call. */
  prepare(message: ProfileMessage): Line {
    const line = this.line;
    this.reserve(message.zMm.length);
    this.load(message);
    const sigma = this.sigma();
    const longest = Math.max(1, Math.min(2, Math.floor(0.15 * this.narrowestMm / line.pitchMm)));
    rejectSpikes(line.z, line.count, { jump: Math.max(6 * sigma, this.jumpMm), longest, reach: 4 });
    this.thin(sigma);
    placeAxes(line, message);
    this.makeBlocks();
    return line;
  }

  private reserve(count: number): void {
    const line = this.line;
    if (line.x.length < count) {
      for (const key of ["x", "z"] as const) line[key] = new Float64Array(count);
    }
    line.count = count;
  }

  private load(message: ProfileMessage): void {
    const { line, device } = this;
    const { x: xs, z: zs, count: n } = line;
    const { zMm, xMm } = message;
    const { x0Mm, dxMm } = device;
    let minZ = Infinity, maxZ = -Infinity;
    for (let i = 0; i < n; i++) {
      const z = zMm[i] as number;
      zs[i] = z;
      if (z < minZ) minZ = z;
      if (z > maxZ) maxZ = z;
    }
    if (xMm !== null) {
      for (let i = 0; i < n; i++) xs[i] = xMm[i] as number;
      sortByX(line);
    } else for (let i = 0; i < n; i++) xs[i] = x0Mm + i * dxMm;
    line.minX = n > 0 ? (line.x[0] as number) : 0;
    line.maxX = n > 0 ? (line.x[n - 1] as number) : 0;
    line.minZ = minZ;
    line.maxZ = maxZ;
    line.pitchMm = xMm === null ? Math.abs(device.dxMm) : n > 1 ? Math.max(1e-6, (line.maxX - line.minX) / (n - 1)) : device.dxMm;
  }

  /** Running noise estimate; the job's statement is the floor. */
  private sigma(): number {
    const line = this.line;
    const stride = Math.max(1, Math.floor(line.count / 300));
    const now = noiseFromDifferences(line.z, line.count, stride, this.scratch);
    if (now === now) this.noise = this.noise === this.noise ? this.noise + 0.05 * (now - this.noise) : now;
    return this.noise > 1.15 * this.device.sigmaZMm ? this.noise : this.device.sigmaZMm;
  }

  /**
   * Samples closer than a thirty-third of the narrowest bead are averaged to about that distance: more of them only cost time.
   * A group with a step in it (a flank) is not averaged.
   */
  private thin(sigmaMm: number): void {
    const { line, jumpMm } = this;
    const group = Math.floor(this.narrowestMm / SAMPLES_A_BEAD / line.pitchMm);
    line.sigmaMm = sigmaMm / Math.sqrt(Math.max(1, group));
    if (group < 2) return;
    const { x, z, count } = line;
    let m = 0;
    for (let first = 0; first < count; first += group) {
      const last = Math.min(count, first + group);
      let n = 0, sx = 0, sz = 0, low = Infinity, high = -Infinity;
      for (let j = first; j < last; j++) {
        const zAt = z[j] as number;
        if (zAt !== zAt) continue;
        n++; sx += x[j] as number; sz += zAt;
        if (zAt < low) low = zAt;
        if (zAt > high) high = zAt;
      }
      if (high - low > jumpMm) for (let j = first; j < last; j++) { x[m] = x[j] as number; z[m++] = z[j] as number; }
      else { x[m] = n > 0 ? sx / n : (x[first] as number); z[m++] = n > 0 ? sz / n : Number.NaN; }
    }
    line.count = m;
    line.pitchMm *= group;
  }

  private makeBlocks(): void {
    const line = this.line;
    const wide = Math.max(this.cellMm, line.pitchMm);
    const blocks = Math.max(1, Math.ceil((line.maxX - line.minX) / wide + 1e-9));
    if (line.blockX.length < blocks) {
      line.blockX = new Float64Array(blocks);
      line.blockZ = new Float64Array(blocks);
    }
    line.blockCount = blocks;
    line.blockSize = line.count / blocks;
    const { x, z, count, minX, blockX, blockZ } = line;
    let at = 0;
    for (let b = 0; b < blocks; b++) {
      const end = b === blocks - 1 ? Infinity : minX + (b + 1) * wide;
      let n = 0, sx = 0, sz = 0;
      for (; at < count; at++) {
        const xAt = x[at] as number, v = z[at] as number;
        if (xAt >= end) break;
        if (v !== v) continue;
        n++; sx += xAt; sz += v;
      }
      blockX[b] = n > 0 ? sx / n : minX + (b + 0.5) * wide;
      blockZ[b] = n > 0 ? sz / n : Number.NaN;
    }
  }
}

function placeAxes(line: Line, message: ProfileMessage): void {
  const axes = axesOfPose(message.pose);
  for (let k = 0; k < 3; k++) {
    line.o[k] = axes.t[k] as number;
    line.ex[k] = axes.x[k] as number;
    line.ey[k] = axes.y[k] as number;
    line.ez[k] = axes.z[k] as number;
  }
}

/** Brings samples with their own x into ascending order, where they are not. */
function sortByX(line: Line): void {
  const n = line.count;
  let sorted = true;
  for (let i = 1; i < n && sorted; i++) sorted = (line.x[i] as number) >= (line.x[i - 1] as number);
  if (sorted) return;
  const order = Array.from({ length: n }, (_, i) => i).sort((p, q) => (line.x[p] as number) - (line.x[q] as number));
  const x = order.map((i) => line.x[i] as number), z = order.map((i) => line.z[i] as number);
  line.x.set(x);
  line.z.set(z);
}
