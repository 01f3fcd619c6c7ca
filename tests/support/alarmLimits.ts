/**
 * Limits of alarms, written apart from the program. Lights: IEC 60601-1-8, Table 2, cross-checked with the flashing rates of IEC 60073. Bursts:
 * IEC 60601-1-8, Tables 3 and 4, from memory.
 */
import type { AlertPriority } from "../../lib/model/alert.ts";

type Range = readonly [number, number];
const isIn = (value: number, [least, most]: Range): boolean => value >= least - 1e-9 && value <= most + 1e-9;

const LIGHTS: Readonly<Record<AlertPriority, { flashHz: Range; duty: Range; hues: readonly number[] }>> = {
  high: { flashHz: [1.4, 2.8], duty: [0.2, 0.6], hues: [0, 360] },
  medium: { flashHz: [0.4, 0.8], duty: [0.2, 0.6], hues: [60] },
  low: { flashHz: [0, 0], duty: [1, 1], hues: [60, 180] },
};
/** How far a hue may lie from the pure one, degrees: our own. */
const HUE_DEG = 12;

/** What is wrong with a light; null: nothing. */
export function lightComplaint(priority: AlertPriority, light: { flashHz: number; duty: number; hueDeg: number }): string | null {
  const { flashHz, duty, hues } = LIGHTS[priority];
  if (!isIn(light.flashHz, flashHz)) return `${priority} flashes at ${light.flashHz} Hz, not ${flashHz.join(" to ")} Hz`;
  if (!isIn(light.duty, duty)) return `${priority} is lit for ${light.duty}, not ${duty.join(" to ")}`;
  return hues.some((hue) => Math.abs(light.hueDeg - hue) <= HUE_DEG) ? null : `${priority} has the hue ${light.hueDeg}°, not ${hues.join("° or ")}°`;
}

/** A pulse as it is in the air. `startS`, `endS`: the effective ones, at 90 % of the amplitude. `riseS`, `fallS`: between 10 % and 90 %. */
export interface HeardPulse { readonly startS: number; readonly endS: number; readonly riseS: number; readonly fallS: number; readonly toneHz: number }

interface BurstLimits { pulses: Range; durationS: Range; spacingS: Range; intervalS: Range }
const BURSTS: Readonly<Record<AlertPriority, BurstLimits>> = {
  high: { pulses: [10, 10], durationS: [0.075, 0.2], spacingS: [0.05, 0.125], intervalS: [2.5, 15] },
  medium: { pulses: [3, 3], durationS: [0.125, 0.25], spacingS: [0.125, 0.25], intervalS: [2.5, 30] },
  low: { pulses: [1, 2], durationS: [0.125, 0.25], spacingS: [0.125, 0.25], intervalS: [15 + 1e-6, Infinity] },
};
const RISE: Range = [0.1, 0.2], TONE_HZ: Range = [150, 1000], MIDDLE_S: Range = [0.35, 1.3];
/** Of how far spacings of the same kind differ within a burst. */
const VARIATION = 0.05;

function pulseComplaints(pulse: HeardPulse, durationS: Range, toleranceS: number): string[] {
  const lastsS = pulse.endS - pulse.startS, rise = pulse.riseS / lastsS;
  return [
    isIn(lastsS, durationS) ? "" : `a pulse lasts ${lastsS} s`,
    isIn(rise, [RISE[0] - toleranceS / lastsS, RISE[1] + toleranceS / lastsS]) ? "" : `a pulse rises in ${rise} of its duration`,
    isIn(pulse.toneHz, TONE_HZ) ? "" : `a pulse sounds at ${pulse.toneHz} Hz`,
  ];
}

/** Spacings of a high burst: three and two pulses, twice; where one pulse is left out, 2x and its duration. */
function rhythmComplaints(spacings: readonly number[], lastsS: number, toleranceS: number): string[] {
  const x = spacings[0] as number, leftOut = 2 * x + lastsS;
  const wanted: (number | null)[] = [x, x, leftOut, x, null, x, x, leftOut, x];
  return spacings.map((is, i) => {
    const want = wanted[i] ?? null;
    if (want === null) return isIn(is, MIDDLE_S) ? "" : `the middle pause is ${is} s`;
    return Math.abs(is - want) <= VARIATION * want + toleranceS ? "" : `spacing ${i + 1} is ${is} s, not ${want} s`;
  });
}

/** What is wrong with a burst and the silence after it; `toleranceS`: what the times were read to. */
export function burstComplaints(priority: AlertPriority, pulses: readonly HeardPulse[], intervalS: number, toleranceS = 1e-9): string[] {
  const limits = BURSTS[priority];
  const spacings = pulses.slice(1).map((pulse, i) => pulse.startS - (pulses[i] as HeardPulse).endS);
  const falls = pulses.slice(0, -1).filter((pulse, i) => pulse.fallS > (spacings[i] as number) - pulse.riseS);
  const first = pulses[0] as HeardPulse;
  return [
    isIn(pulses.length, limits.pulses) ? "" : `${priority} has ${pulses.length} pulses`,
    ...pulses.flatMap((pulse) => pulseComplaints(pulse, limits.durationS, toleranceS)),
    falls.length === 0 ? "" : `${falls.length} pulses still fall when the next one rises`,
    ...spacings.slice(0, 1).map((is) => (isIn(is, limits.spacingS) ? "" : `the first spacing is ${is} s`)),
    ...(priority === "high" ? rhythmComplaints(spacings, first.endS - first.startS, toleranceS) : spacings.map((is) => (Math.abs(is - (spacings[0] as number)) <= VARIATION * is + toleranceS ? "" : `a spacing is ${is} s`))),
    isIn(intervalS, limits.intervalS) ? "" : `${intervalS} s between bursts`,
  ].filter((each) => each !== "");
}
