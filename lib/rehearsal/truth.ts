/**
 * The true answer at every station, integrated from the bodies themselves: rays along the station's normal, fine lateral steps, jumps located
 * by halving. Contract, "Stations", "Areas", "The lateral window", "The reading". State: as last seen before the next layer covers it; of an
 * attempt that was taken off, as last seen before that.
 */
import { add, cross, poseOfAxes, scale, type Vec3 } from "../kernel/vec.ts";
import type { Body } from "./body.ts";
import { ON_TARGET, type Caster } from "./caster.ts";
import { planCrossings, stationArcs, stationStance, windowOf, type Window } from "./planSection.ts";
import type { PlannedStrand } from "./planned.ts";
import type { Schedule } from "./schedule.ts";
import { summarise, type Section, type SectionLimits } from "./section.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Stance } from "./track.ts";

export interface TrueBead {
  /** null: a flank is hidden by a neighbour, or there is no bead. */
  readonly widthMm: number | null;
  /** Highest over the support in the middle 60 %; 0 where nothing lies. */
  readonly heightMm: number;
  readonly areaMm2: number;
  readonly offsetMm: number | null;
  /** "spanned": over most of the bead's planned width the support is a hollow. */
  readonly support: "measured" | "spanned";
}
export interface TrueStation {
  readonly layer: number; readonly strand: number; readonly sMm: number; readonly attempt: number;
  readonly position: Vec3;
  readonly planned: { readonly widthMm: number; readonly heightMm: number; readonly areaMm2: number };
  readonly true: TrueBead;
}

/** Height of the section's rays' origin over the plan point, mm. */
export const ABOVE_MM = 20;
/** Bodies are lengthened by this at flat ends: the section at an end is the limit from inside. */
const END_SLACK_MM = 0.05;

/** Every station of every strand, newest attempts and earlier ones, ordered by layer, strand, attempt, arc length. */
export function trueStations(settings: RehearsalSettings, strands: readonly PlannedStrand[], schedule: Schedule, bodies: readonly Body[], top: Caster, ground: Caster): TrueStation[] {
  const stations: TrueStation[] = [];
  for (const strand of strands) {
    const times = schedule.layers[strand.layer - 1] as Schedule["layers"][number];
    const beneath = bodies.filter((body) => body.layer < strand.layer);
    const reworks = schedule.removals.filter(({ rework }) => rework.layer === strand.layer && rework.strand === strand.strand);
    const early: TrueStation[] = [], newest: TrueStation[] = [];
    for (const sMm of stationArcs(strand.lengthMm, settings.stationSpacingMm)) {
      const stance = stationStance(strand, sMm, settings.widthMm);
      const window = windowOf(planCrossings(strands, strand, sMm, stance, settings.widthMm), settings);
      const at = (attempt: number, tS: number): TrueStation => ({
        layer: strand.layer, strand: strand.strand, sMm: round(sMm), attempt, position: stance.point.map(round) as unknown as Vec3,
        planned: { widthMm: settings.widthMm, heightMm: settings.heightMm, areaMm2: round(window.plannedAreaMm2) },
        true: beadAt({ settings, strand, stance, window, bodies, beneath, tS, beforeS: times.beforeS, top, ground, stepMm: Math.min(0.005, settings.widthMm / 200) }),
      });
      const removed = reworks.find(({ rework }) => sMm >= rework.fromMm - 1e-9 && sMm <= rework.toMm + 1e-9);
      if (removed !== undefined) early.push(at(1, removed.tS - 1e-6));
      newest.push(at(removed === undefined ? 1 : 2, times.afterS));
    }
    stations.push(...early, ...newest);
  }
  return stations;
}

/** Rounds to 1e-7: far below any meaning, and shorter files. */
function round(x: number): number {
  return Math.round(x * 1e7) / 1e7;
}

/** What a section is taken of: the station, the paste seen, what it lies on, when, and the casters to point. */
export interface SectionQuery {
  readonly settings: RehearsalSettings;
  readonly strand: PlannedStrand;
  readonly stance: Stance;
  readonly window: Window;
  readonly bodies: readonly Body[];
  /** What lay there before the layer was begun, at `beforeS`. */
  readonly beneath: readonly Body[];
  readonly tS: number;
  readonly beforeS: number;
  readonly top: Caster;
  readonly ground: Caster;
  /** Lateral step inside the window, mm; jumps are located whatever it is. */
  readonly stepMm: number;
}

/** Points both casters at the station's section and samples it. */
export function sectionAt({ settings, strand, stance, window, bodies, beneath, tS, beforeS, top, ground, stepMm }: SectionQuery): { section: Section; limits: SectionLimits } {
  const { widthMm: w, heightMm: h } = settings;
  const pose = poseOfAxes(stance.lateral, cross(stance.normal, stance.lateral), stance.normal, add(stance.point, scale(stance.normal, ABOVE_MM)));
  const reach = 2.5 * w + 1, lowMm = Math.max(-reach, Math.min(window.halfRightMm, window.rightMm)), highMm = Math.min(reach, Math.max(window.halfLeftMm, window.leftMm));
  top.aim(pose, bodies, tS, lowMm, highMm, END_SLACK_MM);
  ground.aim(pose, beneath, beforeS, lowMm, highMm, END_SLACK_MM);
  const kindOf = (index: number): Section["kind"][number] => {
    const body = index === ON_TARGET ? null : bodies[index] as Body;
    if (body === null || body.layer < strand.layer) return "ground";
    return !body.stray && body.strand === strand.strand ? "own" : "other";
  };
  const section = sampleSection(lowMm, highMm, window, stepMm, (b) => {
    const z = top.zAt(b) + ABOVE_MM + h, kind = kindOf(top.hit.index), under = ground.zAt(b) + ABOVE_MM + h;
    const hollow = !(under >= -0.25 * h), support = hollow ? 0 : under;
    // what counts as ground is the support itself: no thickness, whatever rounding says
    return { kind, thickMm: kind === "ground" ? 0 : hollow ? Math.max(0, z) : z - support, hollow };
  });
  return { section, limits: { rightMm: window.rightMm, leftMm: window.leftMm, lowMm, highMm, widthMm: w } };
}

/** The station's section, summed up. */
function beadAt(query: SectionQuery): TrueBead {
  const { section, limits } = sectionAt(query), bead = summarise(section, limits);
  return { ...bead, widthMm: bead.widthMm === null ? null : round(bead.widthMm), offsetMm: bead.offsetMm === null ? null : round(bead.offsetMm), heightMm: round(bead.heightMm), areaMm2: round(bead.areaMm2) };
}

/** Graded steps behind a jump. */
const GRADES = 6;

type Sample = { kind: Section["kind"][number]; thickMm: number; hollow: boolean };

/** Samples from low to high: `stepMm` inside the window, four times that beyond; every jump is bracketed to 1e-7 mm. */
function sampleSection(lowMm: number, highMm: number, window: Window, stepMm: number, at: (b: number) => Sample): Section {
  const section: Section = { bMm: [], thickMm: [], kind: [], hollow: [] };
  const put = (b: number, known: Sample | null): void => {
    const sample = known ?? at(b);
    section.bMm.push(b);
    section.thickMm.push(sample.thickMm);
    section.kind.push(sample.kind);
    section.hollow.push(sample.hollow);
  };
  const spots = [lowMm];
  for (const [from, to, step] of [[lowMm, window.rightMm, 4 * stepMm], [window.rightMm, window.leftMm, stepMm], [window.leftMm, highMm, 4 * stepMm]] as const) {
    const count = Math.ceil((to - from) / step - 1e-9);
    for (let i = 1; i <= count; i++) spots.push(from + (to - from) * i / count);
  }
  let before = at(lowMm), beforeB = lowMm;
  put(lowMm, before);
  for (const b of spots.slice(1)) {
    const here = at(b);
    if (here.kind !== before.kind || here.hollow !== before.hollow || Math.abs(here.thickMm - before.thickMm) > 5 * (b - beforeB)) {
      let low = beforeB, high = b, lowSample = before, highSample = here;
      while (high - low > 1e-7) {
        const mid = (low + high) / 2, sample = at(mid);
        if (sample.kind === lowSample.kind && sample.hollow === lowSample.hollow && Math.abs(sample.thickMm - lowSample.thickMm) <= Math.abs(sample.thickMm - highSample.thickMm)) { low = mid; lowSample = sample; } else { high = mid; highSample = sample; }
      }
      // an outline rises like a square root behind its flank: graded steps on both sides of a jump
      for (let j = GRADES - 1; j >= 1; j--) put(low - (low - beforeB) * (j / GRADES) ** 2, null);
      put(low, lowSample);
      put(high, highSample);
      for (let j = 1; j < GRADES; j++) put(high + (b - high) * (j / GRADES) ** 2, null);
    }
    put(b, here);
    before = here;
    beforeB = b;
  }
  return section;
}
