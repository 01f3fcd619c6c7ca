"use client";
import { useRouter } from "next/navigation";
import { useEffect, useState } from "react";
import { LIVE_EVENT_KINDS, type LiveReading } from "../../../../lib/model/liveEvent.ts";
import type { LiveSheet, LiveWords } from "../../../../lib/model/liveSheet.ts";
import { began, follows, withNewReadings, type LiveState } from "./liveState.ts";

/** Readings are drawn at most so often, ms. */
const DRAW_EVERY_MS = 60;
/** So many that wait are drawn at once: a hidden page has no timers for a while, and must not pile them up. */
const MOST_WAITING = 5000;
/** Words come every second; this long without any means that nobody is there, ms. */
const LOST_MS = 3500;
/** A stream that was refused is asked for again after this, ms. */
const AGAIN_MS = 3000;

export interface Live extends LiveState {
  /** Seconds since the server was last heard, where it has been silent for too long; null: it is there. */
  readonly silentS: number | null;
}

/** Follows a run's events. Where some were missed, the page is made anew by the server; once the run is over, that is its finished sheet. */
export function useLive(sheet: LiveSheet): Live {
  const router = useRouter();
  const [known, setKnown] = useState<LiveState>(() => began(sheet));
  const state = known.sheet === sheet ? known : began(sheet);
  const [silentS, setSilentS] = useState<number | null>(null);
  const { eventId, head: { runId } } = sheet;

  useEffect(() => {
    if (eventId === null) return undefined;
    const change = (how: (state: LiveState) => LiveState): void => setKnown((before) => how(before.sheet === sheet ? before : began(sheet)));
    let last = eventId, readings: LiveReading[] = [], drawing: ReturnType<typeof setTimeout> | undefined, again: ReturnType<typeof setTimeout> | undefined, heardMs = performance.now(), drawnMs = -Infinity;
    const source = new EventSource(`/api/live/${runId}/events?after=${eventId}`);
    const anew = (): void => {
      source.close();
      router.refresh();
    };
    const draw = (): void => {
      const those = readings;
      clearTimeout(drawing);
      [readings, drawing, drawnMs] = [[], undefined, performance.now()];
      change((before) => withNewReadings(before, those));
    };
    const numbered = (event: MessageEvent<string>): void => {
      if (source.readyState === EventSource.CLOSED) return;
      if (!follows(last, event.lastEventId)) {
        anew();
        return;
      }
      last = event.lastEventId;
      if (event.type !== "reading") return;
      readings.push(...JSON.parse(event.data) as LiveReading[]);
      if (readings.length > MOST_WAITING) draw();
      else drawing ??= setTimeout(draw, Math.max(0, drawnMs + DRAW_EVERY_MS - performance.now()));
    };
    for (const kind of LIVE_EVENT_KINDS) source.addEventListener(kind, numbered);
    source.addEventListener("words", (event: MessageEvent<string>) => {
      const words = JSON.parse(event.data) as LiveWords;
      heardMs = performance.now();
      setSilentS(null);
      change((before) => ({ ...before, words }));
      if (words.isOver) anew();
    });
    source.addEventListener("error", () => {
      if (source.readyState === EventSource.CLOSED) again ??= setTimeout(() => router.refresh(), AGAIN_MS);
    });
    const silence = setInterval(() => {
      const ms = performance.now() - heardMs;
      setSilentS(ms > LOST_MS ? Math.round(ms / 1000) : null);
    }, 1000);
    return () => {
      source.close();
      clearInterval(silence);
      clearTimeout(drawing);
      clearTimeout(again);
    };
  }, [sheet, eventId, runId, router]);
  return { ...state, silentS: eventId === null ? null : silentS };
}
