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
  /** Its range; z by blocks, least over most where nothing returned. */
  minX: number; maxX: number; minZ: number; maxZ: number;
  /** Blocks one map cell wide: mean x and z of the samples in them, NaN where none returned. */
  blockCount: number;
  blockX: Float64Array; // Float64Array[block]
  blockZ: Float64Array; // Float64Array[block]
  /** Mean number of samples a block. */
  blockSize: number;
}

/** The pitch that the measuring is made for, as a share of the bead. */
const SAMPLES_A_BEAD = 27;

/** Places of a profile that its noise is estimated from; the estimate runs over many profiles. */
const NOISE_PLACES = 150;

/** Prepares the profiles of one device; buffers are reused from profile to profile. */
export class LinePreparer {
  private readonly device: Profiler;
  private readonly cellMm: number;
  private readonly jumpMm: number;
  private readonly narrowestMm: number;
  private readonly scratch = new Float64Array(512);
  private noise = Number.NaN;
  private rawX = new Float64Array(0);
  private rawZ = new Float64Array(0);
  private rawCount = -1;
  /** rawX holds the device's own even places. */
  private evenX = false;
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
    const { line } = this;
    this.load(message);
    const sigma = this.sigma();
    const longest = Math.max(1, Math.min(2, Math.floor(0.15 * this.narrowestMm / line.pitchMm)));
    rejectSpikes(this.rawZ, this.rawCount, { jump: Math.max(6 * sigma, this.jumpMm), longest, reach: 4 });
    this.thin(sigma);
    placeAxes(line, message);
    this.makeBlocks();
    return line;
  }

  /** All samples of the newest profile by ascending x, z as it came or NaN where it was taken out; valid until the next `prepare`. */
  get cleaned(): { readonly x: Float64Array; readonly z: Float64Array; readonly count: number } {
    return { x: this.rawX, z: this.rawZ, count: this.rawCount };
  }

  private load(message: ProfileMessage): void {
    const { line, device } = this;
    const { zMm, xMm } = message;
    const count = zMm.length;
    if (this.rawCount !== count) {
      this.rawCount = count;
      this.rawX = new Float64Array(count);
      this.rawZ = new Float64Array(count);
      line.x = new Float64Array(count);
      line.z = new Float64Array(count);
      this.evenX = false;
    }
    this.rawZ.set(zMm);
    if (xMm !== null) {
      this.rawX.set(xMm);
      this.evenX = false;
      sortByX(this.rawX, this.rawZ);
    } else if (!this.evenX) {
      this.evenX = true;
      for (let i = 0; i < count; i++) this.rawX[i] = device.x0Mm + i * device.dxMm;
    }
    line.minX = count > 0 ? (this.rawX[0] as number) : 0;
    line.maxX = count > 0 ? (this.rawX[count - 1] as number) : 0;
    line.pitchMm = xMm === null ? Math.abs(device.dxMm) : count > 1 ? Math.max(1e-6, (line.maxX - line.minX) / (count - 1)) : device.dxMm;
  }

  /** Running noise estimate; the job's statement is the floor. */
  private sigma(): number {
    const stride = Math.max(1, Math.floor(this.rawCount / NOISE_PLACES));
    const now = noiseFromDifferences(this.rawZ, this.rawCount, stride, this.scratch);
    if (now === now) this.noise = this.noise === this.noise ? this.noise + 0.05 * (now - this.noise) : now;
    return this.noise > 1.15 * this.device.sigmaZMm ? this.noise : this.device.sigmaZMm;
  }

  /**
   * Samples closer than a twenty-seventh of the narrowest bead are averaged to about that distance: more of them only cost time.
   * A group with a step in it (a flank) is not averaged.
   */
  private thin(sigmaMm: number): void {
    const { line, jumpMm, rawX, rawZ, rawCount: count } = this;
    const { x, z } = line;
    const group = Math.max(1, Math.floor(this.narrowestMm / SAMPLES_A_BEAD / line.pitchMm));
    line.sigmaMm = sigmaMm / Math.sqrt(group);
    let m = 0;
    for (let first = 0; first < count; first += group) {
      const last = first + group < count ? first + group : count;
      let n = 0, sx = 0, sz = 0, start = 0;
      let stepped = false;
      for (let j = first; j < last; j++) {
        const at = rawZ[j] as number;
        if (at !== at) continue;
        if (n === 0) start = at;
        n++; sx += rawX[j] as number; sz += at;
        if (at - start > jumpMm || start - at > jumpMm) stepped = true;
      }
      if (stepped) {
        for (let j = first; j < last; j++) { x[m] = rawX[j] as number; z[m++] = rawZ[j] as number; }
      } else {
        x[m] = n > 0 ? sx / n : (rawX[first] as number);
        z[m++] = n > 0 ? sz / n : Number.NaN;
      }
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
    let minZ = Infinity, maxZ = -Infinity;
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
      const mean = n > 0 ? sz / n : Number.NaN;
      blockZ[b] = mean;
      if (mean < minZ) minZ = mean;
      if (mean > maxZ) maxZ = mean;
    }
    line.minZ = minZ;
    line.maxZ = maxZ;
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
function sortByX(x: Float64Array, z: Float64Array): void {
  let sorted = true;
  for (let i = 1; i < x.length && sorted; i++) sorted = (x[i] as number) >= (x[i - 1] as number);
  if (sorted) return;
  const order = Array.from(x.keys()).sort((p, q) => (x[p] as number) - (x[q] as number));
  const xs = order.map((i) => x[i] as number), zs = order.map((i) => z[i] as number);
  x.set(xs);
  z.set(zs);
}
