/** Lays the paste: turns the schedule into bodies, each resting on what lies there at its time, with natural variation and the faults asked for. */
import { add, scale, tripleAt, type Vec3 } from "../kernel/vec.ts";
import { boundChunks, FRAME, SECTION, sectionOf, type Blob, type Body, type Life, type Sweep } from "./body.ts";
import type { Caster } from "./caster.ts";
import { faultShare, sizeOf, type Fault } from "./fault.ts";
import { planCrossings, stationStance } from "./planSection.ts";
import type { PlannedStrand } from "./planned.ts";
import { makeRandom, smoothNoise } from "./random.ts";
import { bedOf, makeElevation, type Bed } from "./rest.ts";
import type { Lay, Schedule } from "./schedule.ts";
import type { RehearsalSettings } from "./settings.ts";

/** A fault as it was committed: sizes filled in. */
export interface Committed extends Omit<Fault, "size"> { readonly size: number }

/** All bodies of the run with their times, and the faults as committed. `caster` must be on the target. */
export function layBodies(settings: RehearsalSettings, strands: readonly PlannedStrand[], schedule: Schedule, caster: Caster): { bodies: Body[]; committed: Committed[] } {
  const bodies: Body[] = [];
  const committed = new Map<Fault, Committed>();
  const elevation = makeElevation(caster, bodies);
  const events: { tS: number; run: () => void }[] = [];
  for (const lay of schedule.lays) events.push({ tS: lay.startS, run: () => layStrand(lay) });
  for (const [fault, tS] of schedule.takenS) events.push({ tS, run: () => (fault.kind === "tear" ? takeAway(fault, tS) : dragStretch(fault, tS)) });
  for (const { rework, tS } of schedule.removals) events.push({ tS, run: () => cutOut(bodies, rework.layer, rework.strand, rework.fromMm, rework.toMm, tS) });
  events.sort((a, b) => a.tS - b.tS);

  function layStrand(lay: Lay): void {
    const { strand, attempt, startS } = lay, frames = baseFrames(strand, settings.heightMm);
    // neighbours of the same layer carry nothing; layers beneath and strays do
    const bed = bedOf(settings, frames, strand.arcMm, 0, elevation((body) => body.layer < strand.layer || body.stray, startS), elevation(() => false, startS));
    const faults = attempt === 1 ? settings.faults.filter((fault) => fault.layer === strand.layer && fault.strand === strand.strand) : [];
    const life: Life = { layer: strand.layer, strand: strand.strand, attempt, stray: false, bornS: startS, goneS: Infinity };
    const shape = beadAlong(settings, strand, attempt, faults.filter((fault) => fault.kind !== "drag"));
    bodies.push(makeSweep(settings, life, frames, strand.arcMm, bed, shape, [lay.fromMm, lay.toMm], settings.speedMmS));
    for (const fault of faults) {
      if (fault.kind === "blob") putBlob(fault, strand, startS);
      else if (fault.kind !== "drag") committed.set(fault, { ...fault, size: sizeOf(fault, settings) });
    }
  }

  const strandOf = (fault: Fault): PlannedStrand => strands.find((one) => one.layer === fault.layer && one.strand === fault.strand) as PlannedStrand;

  /** The stretch is no longer where it was; gives the body as it had been. */
  function takeAway(fault: Fault, tS: number): Sweep {
    const strand = strandOf(fault);
    const old = bodies.find((body): body is Sweep => body.kind === "sweep" && body.layer === fault.layer && body.strand === fault.strand && !body.stray && body.goneS === Infinity) as Sweep;
    old.goneS = tS;
    const sections = old.sections.slice();
    for (let k = 0; k < old.nodes; k++) {
      const left = Math.sqrt(1 - faultShare(fault, old.arcMm[k] as number, strand.lengthMm, settings.rampMm));
      for (let j = 0; j < 3; j++) sections[SECTION * k + j] = (sections[SECTION * k + j] as number) * left;
    }
    bodies.push({ ...old, sections, chunks: boundChunks(old.nodes, old.frames, sections), bornS: tS, goneS: Infinity, speedMmS: Infinity });
    return old;
  }

  function dragStretch(fault: Fault, tS: number): void {
    const strand = strandOf(fault), old = takeAway(fault, tS);
    const sideMm = fault.size ?? roomBeside(settings, strands, strand, fault, sizeOf(fault, settings), settings.widthMm);
    committed.set(fault, { ...fault, size: sideMm });
    const life: Life = { layer: fault.layer, strand: fault.strand, attempt: 1, stray: true, bornS: tS, goneS: Infinity };
    const bed = bedOf(settings, old.frames, old.arcMm, sideMm, elevation(() => true, tS), elevation(() => false, tS));
    const shape = beadAlong(settings, strand, 1, []).map(([w, h, b, up]): Shape => [w, h, b + sideMm, up]);
    bodies.push(makeSweep(settings, life, old.frames, old.arcMm, bed, shape, [fault.fromMm, Math.min(fault.toMm, strand.lengthMm)], Infinity));
  }

  function putBlob(fault: Fault, strand: PlannedStrand, startS: number): void {
    committed.set(fault, { ...fault, size: sizeOf(fault, settings) });
    bodies.push(makeBlob(settings, strands, strand, fault, startS + blobArcMm(fault, strand) / settings.speedMmS, elevation));
  }

  for (const event of events) event.run();
  for (const fault of settings.faults) if (!committed.has(fault)) committed.set(fault, { ...fault, size: sizeOf(fault, settings) });
  return { bodies, committed: settings.faults.map((fault) => committed.get(fault) as Committed) };
}

/** Where along its strand a blob falls, mm. */
export function blobArcMm(fault: Fault, strand: PlannedStrand): number {
  return Math.min(strand.lengthMm, (fault.fromMm + fault.toMm) / 2);
}

/** The blob of a fault: half an ellipsoid beside its strand, on what carries there at time tS. */
export function makeBlob(settings: RehearsalSettings, strands: readonly PlannedStrand[], strand: PlannedStrand, fault: Fault, tS: number, elevation: ReturnType<typeof makeElevation>): Blob {
  const diameterMm = sizeOf(fault, settings);
  const sideMm = roomBeside(settings, strands, strand, fault, clearanceMm(settings, diameterMm), diameterMm);
  const stance = stationStance(strand, blobArcMm(fault, strand), settings.widthMm);
  const base = add(add(stance.point, scale(stance.normal, -settings.heightMm)), scale(stance.lateral, sideMm));
  const up = elevation((body) => body.layer < strand.layer || body.stray, tS)(base, stance.lateral, stance.normal, stance.tangent)(0);
  return {
    kind: "blob", layer: fault.layer, strand: fault.strand, attempt: 1, stray: true, bornS: tS, goneS: Infinity, centre: add(base, scale(stance.normal, up)),
    axes: [stance.tangent, stance.lateral, stance.normal], halfMm: [diameterMm / 2, diameterMm / 2, 0.4 * diameterMm],
  };
}

/** Width, height, lateral offset, lift; mm. */
export type Shape = [number, number, number, number];

/** The bead that leaves the nozzle at every node: natural variation times faults. Area faults scale width and height alike. */
export function beadAlong(settings: RehearsalSettings, strand: PlannedStrand, attempt: number, faults: readonly Fault[]): Shape[] {
  const random = makeRandom(settings.seed, `bead ${strand.layer}/${strand.strand}/${attempt}`), scaleMm = 4 * settings.widthMm;
  const ofWidth = smoothNoise(random, scaleMm), ofHeight = smoothNoise(random, scaleMm), ofPlace = smoothNoise(random, scaleMm);
  return Array.from(strand.arcMm, (s): Shape => {
    let area = 1, offset = settings.wanderMm * ofPlace(s), lift = 0;
    for (const fault of faults) {
      const size = sizeOf(fault, settings), ramp = fault.kind === "lift" ? settings.widthMm : settings.rampMm;
      const share = faultShare(fault, s, strand.lengthMm, ramp);
      if (fault.kind === "gap" || fault.kind === "under" || fault.kind === "over") area *= 1 + (size - 1) * share;
      if (fault.kind === "shift") offset += size * share;
      if (fault.kind === "lift") lift += size * share;
    }
    const k = Math.sqrt(Math.max(0, area)), v = settings.variationFraction;
    return [settings.widthMm * (1 + v * ofWidth(s)) * k, settings.heightMm * (1 + v * ofHeight(s)) * k, offset, lift];
  });
}

/** Frames of the planned base line: base point, tangent, normal, lateral of every node. */
export function baseFrames(strand: PlannedStrand, heightMm: number): Float64Array {
  const { track } = strand, frames = new Float64Array(FRAME * track.count);
  for (let k = 0; k < track.count; k++) {
    const n = tripleAt(track.normals, k), t = tripleAt(track.tangents, k), p = tripleAt(track.pointsMm, k);
    const lateral: Vec3 = [n[1] * t[2] - n[2] * t[1], n[2] * t[0] - n[0] * t[2], n[0] * t[1] - n[1] * t[0]];
    frames.set([...add(p, scale(n, -heightMm)), ...t, ...n, ...lateral], FRAME * k);
  }
  return frames;
}

function makeSweep(settings: RehearsalSettings, life: Life, frames: Float64Array, arcMm: Float64Array, bed: Bed, shape: readonly Shape[], range: [number, number], speedMmS: number): Sweep {
  const nodes = arcMm.length, sections = new Float64Array(SECTION * nodes);
  for (let k = 0; k < nodes; k++) {
    const [w, h, offset, lift] = shape[k] as Shape;
    sections.set([...sectionOf(settings.shape, w, h), offset, (bed.restMm[k] as number) + lift, bed.tilt[k] as number, bed.curve[k] as number], SECTION * k);
  }
  return { ...life, kind: "sweep", chord: settings.shape === "segment", nodes, frames, sections, arcMm, fromMm: range[0], toMm: range[1], speedMmS, chunks: boundChunks(nodes, frames, sections) };
}

/** Takes a stretch off: what is left are two pieces with flat ends. */
export function cutOut(bodies: Body[], layer: number, strand: number, fromMm: number, toMm: number, tS: number): void {
  const left: Body[] = [];
  for (const body of bodies) {
    if (body.kind !== "sweep" || body.stray || body.layer !== layer || body.strand !== strand || body.goneS <= tS) continue;
    body.goneS = tS;
    for (const [a, b] of [[body.fromMm, Math.min(body.toMm, fromMm)], [Math.max(body.fromMm, toMm), body.toMm]] as const) {
      if (b - a > 1e-6) left.push({ ...body, fromMm: a, toMm: b, bornS: tS, goneS: Infinity, speedMmS: Infinity });
    }
  }
  bodies.push(...left);
}

/** Lateral place for a body of `sizeMm` beside the stretch: the nearest from `leastMm` on, either side, that stays out of the lateral windows of all planned strands of the layer; else `leastMm` to the left. */
export function roomBeside(settings: RehearsalSettings, strands: readonly PlannedStrand[], strand: PlannedStrand, fault: Pick<Fault, "fromMm" | "toMm">, leastMm: number, sizeMm: number): number {
  const ends = [fault.fromMm, (fault.fromMm + fault.toMm) / 2, Math.min(fault.toMm, strand.lengthMm)];
  const taken = ends.flatMap((s) => planCrossings(strands, strand, s, stationStance(strand, s, settings.widthMm), settings.widthMm).map((one) => one.bMm));
  const needMm = clearanceMm(settings, sizeMm);
  for (let away = leastMm; away <= leastMm + 6; away += 0.1) {
    for (const b of [away, -away]) if (taken.every((other) => Math.abs(other - b) >= needMm)) return b;
  }
  return leastMm;
}

/** Centre distance at which a body of `sizeMm` lies outside a planned strand's lateral window. */
function clearanceMm(settings: RehearsalSettings, sizeMm: number): number {
  return settings.widthMm / 2 + Math.max(0.25 * settings.widthMm, 0.3) + sizeMm / 2 + 0.1;
}
