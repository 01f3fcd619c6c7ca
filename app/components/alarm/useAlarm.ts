"use client";
import { useCallback, useEffect, useState, useSyncExternalStore } from "react";
import type { AlertPriority } from "../../../lib/model/alert.ts";
import type { SoundKind } from "../../../lib/model/alertSound.ts";
import { AUDIO_PAUSE_S, keepPause, type AudioPause } from "../../../lib/model/audioPause.ts";
import { audioContext, audioState, onAudioChange, type AudioState } from "./audioOutput.ts";
import { soundOnce, soundRepeatedly } from "./sound.ts";

export interface AlarmCause {
  /** Of the most urgent alert that is to be heard; null: none is. */
  readonly priority: AlertPriority | null;
  /** The screen hears nothing from its server. */
  readonly isLost: boolean;
  /** Number of the newest alert; 0: there has been none. */
  readonly newest: number;
}

export interface Alarm {
  readonly audio: AudioState;
  /** What sounds now, again and again; null: nothing, or it may not. */
  readonly sounding: SoundKind | null;
  readonly isTesting: boolean;
  /** Whole seconds until the audio pause is over; null: there is none. */
  readonly pauseLeftS: number | null;
  readonly pause: () => void;
  readonly endPause: () => void;
  /** One burst of `TEST_KIND`, as soon as the page may sound and where nothing else does. */
  readonly test: () => void;
}

/** The loudest and longest. */
export const TEST_KIND: SoundKind = "high";

const clockS = (): number => performance.now() / 1000;

function usePause(kind: SoundKind | null, newest: number) {
  const [pause, setPause] = useState<AudioPause | null>(null);
  const [atS, setAtS] = useState(0);
  const kept = pause === null ? null : keepPause(pause, { kind, newest, atS });
  if (kept !== pause) setPause(kept);
  const isPaused = kept !== null;
  useEffect(() => {
    if (!isPaused) return undefined;
    const ticks = setInterval(() => setAtS(clockS()), 1000);
    return () => clearInterval(ticks);
  }, [isPaused]);
  const begin = useCallback(() => {
    const nowS = clockS();
    setAtS(nowS);
    setPause({ kind, newest, endsAtS: nowS + AUDIO_PAUSE_S });
  }, [kind, newest]);
  return { leftS: kept === null ? null : Math.ceil(kept.endsAtS - atS), begin, end: useCallback(() => setPause(null), []) };
}

/** Sounds what is wrong until it is not, once the page may sound at all. Use it once on a page. */
export function useAlarm({ priority, isLost, newest }: AlarmCause): Alarm {
  const audio = useSyncExternalStore<AudioState>(onAudioChange, audioState, () => "asleep");
  const kind = isLost ? "lost" : priority;
  const { leftS, begin, end } = usePause(kind, newest);
  const [isAsked, setAsked] = useState(false);
  const sounding = audio === "awake" && leftS === null ? kind : null;
  if (isAsked && sounding !== null) setAsked(false);
  const isTesting = isAsked && sounding === null && audio === "awake";
  useEffect(() => {
    const context = audioContext();
    return sounding === null || context === null ? undefined : soundRepeatedly(context, sounding);
  }, [sounding]);
  useEffect(() => {
    const context = audioContext();
    return isTesting && context !== null ? soundOnce(context, TEST_KIND, () => setAsked(false)) : undefined;
  }, [isTesting]);
  return { audio, sounding, isTesting, pauseLeftS: leftS, pause: begin, endPause: end, test: useCallback(() => setAsked(true), []) };
}
