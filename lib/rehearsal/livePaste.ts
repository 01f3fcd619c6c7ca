/**
 * Paste that grows under the nozzle. A strand's sweep begins empty; its nodes are written one ahead of the nozzle and never again, so that what
 * goes wrong later leaves alone what lies there. Only what takes hold of laid paste (a strand dragged off, a stretch taken off) changes it.
 */
import { boundChunks, SECTION, sectionOf, type Body, type Life, type Sweep } from "./body.ts";
import { makeCaster } from "./caster.ts";
import { faultShare, type Fault } from "./fault.ts";
import { baseFrames, beadAlong, cutOut, makeBlob, roomBeside, type Shape } from "./lay.ts";
import type { PlannedStrand } from "./planned.ts";
import { bedOf, makeElevation, type Bed } from "./rest.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Surface } from "./surface.ts";

/** More than this much over the planned area does not stay under the nozzle. */
const MOST_AREA_RATIO = 4;

type GrowingSweep = Omit<Sweep, "toMm"> & { toMm: number };
/** A strand being laid. */
export interface Growing {
  readonly strand: PlannedStrand;
  readonly body: GrowingSweep;
  readonly shape: readonly Shape[];
  readonly bed: Bed;
}

/** All paste of a print, as bodies that profiles see. */
export class LivePaste {
  readonly bodies: Body[] = [];
  private readonly settings: RehearsalSettings;
  private readonly strands: readonly PlannedStrand[];
  private readonly elevation: ReturnType<typeof makeElevation>;

  constructor(settings: RehearsalSettings, surface: Surface, strands: readonly PlannedStrand[]) {
    this.settings = settings;
    this.strands = strands;
    this.elevation = makeElevation(makeCaster(surface), this.bodies);
  }

  /** Opens a strand at `fromMm`; it rests on what lies there now. */
  begin(strand: PlannedStrand, attempt: number, fromMm: number, tS: number): Growing {
    const { settings } = this, frames = baseFrames(strand, settings.heightMm), nodes = strand.arcMm.length;
    const carries = this.elevation((body) => body.layer < strand.layer || body.stray, tS);
    const bed = bedOf(settings, frames, strand.arcMm, 0, carries, this.elevation(() => false, tS));
    const faults = attempt === 1 ? settings.faults.filter((one) => one.layer === strand.layer && one.strand === strand.strand) : [];
    const shape = beadAlong(settings, strand, attempt, faults.filter((one) => one.kind !== "drag"));
    const life: Life = { layer: strand.layer, strand: strand.strand, attempt, stray: false, bornS: tS, goneS: Infinity };
    const sections = new Float64Array(SECTION * nodes), largest = new Float64Array(SECTION * nodes);
    for (let k = 0; k < nodes; k++) largest.set(sectionAt(settings, shape[k] as Shape, bed, k, MOST_AREA_RATIO), SECTION * k);
    const body: GrowingSweep = {
      ...life, kind: "sweep", chord: settings.shape === "segment", nodes, frames, sections, arcMm: strand.arcMm, fromMm, toMm: fromMm, speedMmS: Infinity,
      chunks: boundChunks(nodes, frames, largest),
    };
    this.bodies.push(body);
    return { strand, body, shape, bed };
  }

  /** Writes nodes `first` to `last` of a growing strand: the planned bead with its own variation, times an area ratio. */
  write({ body, shape, bed }: Growing, first: number, last: number, areaRatio: number): void {
    for (let k = first; k <= last; k++) body.sections.set(sectionAt(this.settings, shape[k] as Shape, bed, k, Math.min(MOST_AREA_RATIO, areaRatio)), SECTION * k);
  }

  putBlob(fault: Fault, strand: PlannedStrand, tS: number): void {
    this.bodies.push(makeBlob(this.settings, this.strands, strand, fault, tS, this.elevation));
  }

  /** Moves a piece of a strand aside: by `sideMm` (left positive), or where null, to where there is room. Gives whether anything lay there. */
  drag(strand: PlannedStrand, fromMm: number, toMm: number, sideMm: number | null, tS: number): boolean {
    const { settings } = this, side = sideMm ?? roomBeside(settings, this.strands, strand, { fromMm, toMm }, 2.5 * settings.widthMm, settings.widthMm);
    const all = this.bodies.filter((body): body is Sweep => body.kind === "sweep" && !body.stray && body.layer === strand.layer && body.strand === strand.strand && body.goneS > tS);
    const held = all.filter((body) => Math.min(body.toMm, toMm) - Math.max(body.fromMm, fromMm) > settings.rampMm);
    for (const old of held) {
      const bed = bedOf(settings, old.frames, old.arcMm, side, this.elevation(() => true, tS), this.elevation(() => false, tS));
      const sections = old.sections.slice();
      const range = { kind: "drag", layer: strand.layer, strand: strand.strand, fromMm, toMm, size: side } as const;
      for (let k = 0; k < old.nodes; k++) {
        const o = SECTION * k, left = Math.sqrt(1 - faultShare(range, old.arcMm[k] as number, strand.lengthMm, settings.rampMm));
        sections.set([(sections[o + 3] as number) + side, bed.restMm[k] as number, bed.tilt[k] as number, bed.curve[k] as number], o + 3);
        for (let j = 0; j < 3; j++) old.sections[o + j] = (old.sections[o + j] as number) * left;
      }
      this.bodies.push({
        ...old, sections, stray: true, bornS: tS, goneS: Infinity, fromMm: Math.max(old.fromMm, fromMm), toMm: Math.min(old.toMm, toMm), speedMmS: Infinity,
        chunks: boundChunks(old.nodes, old.frames, sections),
      });
    }
    return held.length > 0;
  }

  /** Takes a stretch off, with what was dragged off that strand beside it. */
  takeOff(strand: PlannedStrand, fromMm: number, toMm: number, tS: number): void {
    cutOut(this.bodies, strand.layer, strand.strand, fromMm, toMm, tS);
    for (const body of this.bodies) {
      if (body.kind === "sweep" && body.stray && body.layer === strand.layer && body.strand === strand.strand && body.fromMm < toMm && body.toMm > fromMm) body.goneS = tS;
    }
  }
}

function sectionAt(settings: RehearsalSettings, [w, h, offset, lift]: Shape, bed: Bed, k: number, areaRatio: number): number[] {
  const share = Math.sqrt(areaRatio);
  return [...sectionOf(settings.shape, w * share, h * share), offset, (bed.restMm[k] as number) + lift, bed.tilt[k] as number, bed.curve[k] as number];
}
