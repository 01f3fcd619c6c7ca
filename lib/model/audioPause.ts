/** The audio pause: a person silences what sounds for two minutes, and anything new ends it. */
import { SOUND_KINDS, type SoundKind } from "./alertSound.ts";

export const AUDIO_PAUSE_S = 120;

export interface AudioPause {
  /** The most urgent that may stay silent; null: nothing sounds, so whatever begins is new. */
  readonly kind: SoundKind | null;
  /** The newest alert's number that may stay silent; 0: there was none. */
  readonly newest: number;
  /** By the clock of whoever paused, s. */
  readonly endsAtS: number;
}

/** 0: the most urgent. */
const urgency = (kind: SoundKind | null): number => (kind === null ? SOUND_KINDS.length : SOUND_KINDS.indexOf(kind));

/**
 * The pause after a look at what would sound, the newest alert's number and the clock, s. null: it is over, because its time is, because an alert is newer, or
 * because what would sound is more urgent than what has stayed silent last. The same object where nothing changed.
 */
export function keepPause(pause: AudioPause, now: { readonly kind: SoundKind | null; readonly newest: number; readonly atS: number }): AudioPause | null {
  if (now.atS >= pause.endsAtS || now.newest > pause.newest || urgency(now.kind) < urgency(pause.kind)) return null;
  return now.kind === pause.kind ? pause : { ...pause, kind: now.kind };
}
