/** What can be heard in samples: pulses, their edges, their tone and its partials. It knows nothing of how they were made. */
import type { HeardPulse } from "./alarmLimits.ts";

/** Longer than the longest period of a tone that may sound (150 Hz), shorter than the shortest spacing. */
const QUIET_S = 0.02;
const [LEAST_HZ, MOST_HZ] = [150, 1000];

export interface Sound { readonly samples: readonly number[]; readonly sampleHz: number }
const at = (samples: readonly number[], i: number): number => samples[i] ?? 0;

/** [first, last] sample of each stretch that is louder than 1 % of the loudest, with less than QUIET_S of silence within. */
function stretches({ samples, sampleHz }: Sound): [number, number][] {
  const threshold = 0.01 * samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const found: [number, number][] = [];
  for (const [i, value] of samples.entries()) {
    if (Math.abs(value) < threshold) continue;
    const last = found.at(-1);
    if (last !== undefined && i - last[1] < QUIET_S * sampleHz) last[1] = i;
    else found.push([i, i]);
  }
  return found;
}

/** Fundamental by autocorrelation, Hz: the shortest lag that is nearly as good as the best, between samples by a parabola. */
function toneOf({ samples, sampleHz }: Sound, fromI: number, toI: number): number {
  const mostLag = Math.floor(sampleHz / LEAST_HZ), leastLag = Math.ceil(sampleHz / MOST_HZ), lastI = toI - mostLag - 1;
  const alike = Array.from({ length: mostLag + 2 }, (_, lag) => {
    let sum = 0;
    for (let i = fromI; i < lastI; i++) sum += at(samples, i) * at(samples, i + lag);
    return sum;
  });
  const best = Math.max(...alike.slice(leastLag, mostLag + 1));
  const lag = alike.findIndex((value, i) => i >= leastLag && value > 0.9 * best && value >= at(alike, i - 1) && value >= at(alike, i + 1));
  const [before, here, after] = [at(alike, lag - 1), at(alike, lag), at(alike, lag + 1)];
  return sampleHz / (lag + (before - after) / (2 * (before - 2 * here + after)));
}

/** Effective value over one period around each sample: straight where the amplitude goes up in a straight line. */
function loudness({ samples, sampleHz }: Sound, toneHz: number, fromI: number, toI: number): number[] {
  const half = Math.round(sampleHz / toneHz / 2);
  return Array.from({ length: toI - fromI }, (_, k) => {
    let sum = 0;
    for (let i = fromI + k - half; i < fromI + k + half; i++) sum += at(samples, i) ** 2;
    return Math.sqrt(sum / (2 * half));
  });
}

/** Each pulse, in time order. */
export function hear(sound: Sound): HeardPulse[] {
  return stretches(sound).map(([first, last]) => {
    const third = Math.round((last - first) / 4);
    const toneHz = toneOf(sound, first + third, last - third);
    const fromI = first - Math.round(0.01 * sound.sampleHz), loud = loudness(sound, toneHz, fromI, last + Math.round(0.01 * sound.sampleHz));
    const full = loud.toSorted((a, b) => a - b)[Math.floor(loud.length * 0.75)] as number;
    const up = (share: number): number => (fromI + loud.findIndex((value) => value >= share * full)) / sound.sampleHz;
    const down = (share: number): number => (fromI + loud.findLastIndex((value) => value >= share * full)) / sound.sampleHz;
    return { startS: up(0.9), endS: down(0.9), riseS: up(0.9) - up(0.1), fallS: down(0.1) - down(0.9), toneHz };
  });
}

/** Levels of the tone's multiples up to 4000 Hz against the tone itself, dB, over whole periods in the middle of a pulse; the tone's own 0 dB is the first. */
export function partialsDb({ samples, sampleHz }: Sound, { startS, endS, toneHz }: HeardPulse): number[] {
  const middleI = Math.round((startS + endS) / 2 * sampleHz), count = Math.round(Math.floor((endS - startS) * 0.6 * toneHz) / toneHz * sampleHz);
  const amplitudes = Array.from({ length: Math.floor(4000 / toneHz) }, (_, k) => {
    let [re, im] = [0, 0];
    for (let i = 0; i < count; i++) {
      const phase = 2 * Math.PI * (k + 1) * toneHz * i / sampleHz, value = at(samples, middleI - (count >> 1) + i);
      re += value * Math.cos(phase);
      im += value * Math.sin(phase);
    }
    return Math.hypot(re, im);
  });
  return amplitudes.map((amplitude) => 20 * Math.log10(amplitude / (amplitudes[0] as number)));
}
