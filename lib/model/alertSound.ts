/**
 * What alerts sound like: bursts of pulses after IEC 60601-1-8, Tables 3 and 4. The values of the standard are written from memory and want a look into
 * a copy of it: 10, 3, and 1 or 2 pulses; effective pulse duration 75 to 200 ms (high), 125 to 250 ms (medium, low); rise time 10 to 20 % of it; spacing
 * x = 50 to 125 ms (high), y = 125 to 250 ms (medium, low), 2x and a pulse between the 3rd and 4th and the 8th and 9th, 350 to 1300 ms between the 5th
 * and 6th; fundamental 150 to 1000 Hz; from one burst to the next 2.5 to 15 s (high), 2.5 to 30 s (medium), over 15 s (low). The effective duration is
 * read from 90 % of the amplitude on its way up to 90 % on its way down, the rise from 10 % to 90 %. The values chosen also keep to the limits where
 * duration and spacing are read at 10 %.
 */
import { ALERT_PRIORITIES, type AlertPriority } from "./alert.ts";

/** Most urgent first. `lost`: the screen hears nothing from its server, and what it shows may be over; not of the standard, which has no such burst. */
export const SOUND_KINDS = ["lost", ...ALERT_PRIORITIES] as const;
export type SoundKind = "lost" | AlertPriority;

/** One pulse: silence, a straight ramp up, full, an equal ramp down. Times in s from the burst's start. */
export interface Pulse { readonly startS: number; readonly rampS: number; readonly holdS: number; readonly toneHz: number }

interface Burst {
  /** Of each pulse: tone and effective duration. */
  readonly pulses: readonly { readonly toneHz: number; readonly durationS: number }[];
  /** Between each effective duration and the next: one fewer than pulses. */
  readonly spacingsS: readonly number[];
  /** Full amplitude, 0..1. */
  readonly level: number;
  /** From the end of the last pulse to the start of the next burst, s. */
  readonly intervalS: number;
}

const HIGH = { toneHz: 523.25, durationS: 0.15 };
const MEDIUM = { toneHz: 392, durationS: 0.18 };
const [X_S, Y_S] = [0.1, 0.2];
/** Three pulses, and two after the pause of one that is left out. */
const THREE_TWO_S = [X_S, X_S, 2 * X_S + HIGH.durationS, X_S];
const [LONG_S, SHORT_S] = [0.5, 0.1];
/** Straight ramps: from 10 % to 90 % is 0.8 of one. */
const RISE_FRACTION = 0.15, RISE_OF_RAMP = 0.8, REACH = 0.9;

const BURSTS: Readonly<Record<SoundKind, Burst>> = {
  // Long, short, long, short, and falling: no alert has unequal pulses.
  lost: {
    pulses: [{ toneHz: 494, durationS: LONG_S }, { toneHz: 494, durationS: SHORT_S }, { toneHz: 330, durationS: LONG_S }, { toneHz: 330, durationS: SHORT_S }],
    spacingsS: [0.12, 0.3, 0.12], level: 0.9, intervalS: 6,
  },
  high: { pulses: Array.from({ length: 10 }, () => HIGH), spacingsS: [...THREE_TWO_S, 0.7, ...THREE_TWO_S], level: 0.9, intervalS: 4 },
  medium: { pulses: [MEDIUM, MEDIUM, MEDIUM], spacingsS: [Y_S, Y_S], level: 0.8, intervalS: 10 },
  low: { pulses: [{ toneHz: 329.63, durationS: 0.18 }, { toneHz: 261.63, durationS: 0.18 }], spacingsS: [Y_S], level: 0.65, intervalS: 16 },
};

/** Amplitudes of a tone's partials, the fundamental first: 2 dB less each, so that all six lie within 15 dB of it. */
export const PARTIALS: readonly number[] = [0, 2, 4, 6, 8, 10].map((downDb) => 10 ** (-downDb / 20));

/** The pulses of a burst, in their order. */
export function pulsesOf(kind: SoundKind): readonly Pulse[] {
  const { pulses, spacingsS } = BURSTS[kind];
  let nextFromS: number | null = null;
  return pulses.map(({ toneHz, durationS }, i) => {
    const rampS = RISE_FRACTION * durationS / RISE_OF_RAMP;
    const reachedS = nextFromS ?? REACH * rampS;
    nextFromS = reachedS + durationS + (spacingsS[i] ?? 0);
    return { startS: reachedS - REACH * rampS, rampS, holdS: durationS - 2 * (1 - REACH) * rampS, toneHz };
  });
}

/** How loud a burst is, full amplitude 0..1, and the silence from its end to the start of the next, s. */
export function repeatOf(kind: SoundKind): { readonly level: number; readonly intervalS: number } {
  const { level, intervalS } = BURSTS[kind];
  return { level, intervalS };
}
