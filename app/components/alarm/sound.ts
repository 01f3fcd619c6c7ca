/** Alert bursts as sound. No file is loaded: tones are made, so that a page that has lost its server still has them. */
import { PARTIALS, pulsesOf, repeatOf } from "../../../lib/model/alertSound.ts";
import type { Pulse, SoundKind } from "../../../lib/model/alertSound.ts";

export interface ScheduledBurst {
  /** When its last pulse is over, by the context's clock. */
  readonly endS: number;
  /** Silence at once. */
  readonly stop: () => void;
}

/** Sine partials; the browser scales the wave to a peak of 1. */
function toneWave(context: BaseAudioContext): PeriodicWave {
  const sines = new Float32Array([0, ...PARTIALS]);
  return context.createPeriodicWave(new Float32Array(sines.length), sines);
}

function schedulePulse(tone: OscillatorNode, shape: GainNode, pulse: Pulse, at: { readonly startS: number; readonly level: number }): number {
  const fullS = at.startS + pulse.rampS, fallS = fullS + pulse.holdS, endS = fallS + pulse.rampS;
  shape.gain.setValueAtTime(0, at.startS).linearRampToValueAtTime(at.level, fullS).setValueAtTime(at.level, fallS).linearRampToValueAtTime(0, endS);
  tone.frequency.setValueAtTime(pulse.toneHz, at.startS);
  tone.start(at.startS);
  tone.stop(endS);
  return endS;
}

/** Schedules one burst to start at `atS` of the context's clock, which must lie ahead. */
export function scheduleBurst(context: BaseAudioContext, kind: SoundKind, atS: number): ScheduledBurst {
  const wave = toneWave(context), { level } = repeatOf(kind);
  const gains: GainNode[] = [];
  const endsS = pulsesOf(kind).map((pulse) => {
    const tone = context.createOscillator(), shape = new GainNode(context, { gain: 0 });
    tone.setPeriodicWave(wave);
    tone.connect(shape).connect(context.destination);
    tone.addEventListener("ended", () => shape.disconnect());
    gains.push(shape);
    return schedulePulse(tone, shape, pulse, { startS: atS + pulse.startS, level });
  });
  return { endS: Math.max(...endsS), stop: () => { for (const shape of gains) shape.disconnect(); } };
}

/** How far ahead a burst is scheduled, s: its first ramp must not have begun when the context hears of it. */
const LEAD_S = 0.05;

/** Calls once the context's clock has come to `atS`. Not a timer of the page: browsers slow those down where nobody looks. Returns what calls it off. */
function onceAt(context: BaseAudioContext, atS: number, then: () => void): () => void {
  const silence = new ConstantSourceNode(context, { offset: 0 });
  silence.connect(context.destination);
  const ended = (): void => { silence.disconnect(); then(); };
  silence.addEventListener("ended", ended);
  silence.start();
  silence.stop(atS);
  return () => { silence.removeEventListener("ended", ended); silence.disconnect(); };
}

/** One burst now, then `then`. Returns what stops it at once, with nothing after it. */
export function soundOnce(context: BaseAudioContext, kind: SoundKind, then: () => void): () => void {
  const burst = scheduleBurst(context, kind, context.currentTime + LEAD_S);
  const callOff = onceAt(context, burst.endS, then);
  return () => { callOff(); burst.stop(); };
}

/** Bursts from now on, with the silence between them that their kind asks for. Returns what stops them at once. */
export function soundRepeatedly(context: BaseAudioContext, kind: SoundKind): () => void {
  let stop = (): void => undefined;
  const next = (): void => {
    const burst = scheduleBurst(context, kind, context.currentTime + LEAD_S);
    const callOff = onceAt(context, burst.endS + repeatOf(kind).intervalS, next);
    stop = () => { callOff(); burst.stop(); };
  };
  next();
  return () => stop();
}
