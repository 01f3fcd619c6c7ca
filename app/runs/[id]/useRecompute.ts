"use client";
import { useEffect, useEffectEvent, useState } from "react";
import type { RecomputeAsk, RecomputeState } from "../../../lib/model/recompute.ts";
import { sendForm } from "./sendForm.ts";

/** Between two questions how far it is, ms. */
const ASK_EVERY_MS = 1000;

const isGoingOn = (state: RecomputeState | null): boolean => state?.step === "waiting" || state?.step === "measuring";

function wordsOf(state: RecomputeState | null): string {
  switch (state?.step) {
    case undefined: case "done": return "";
    case "waiting": return "Waits for its turn.";
    case "measuring": return state.untilS === null ? "Reads the kept data." : `Measuring: ${state.messageCount} messages, up to ${state.untilS.toFixed(1)} s.`;
    case "failed": return `Not measured: ${state.problem?.message ?? "the server could not do it; its own output says why"}.`;
  }
}

/** undefined: no answer this time; it is asked again in a moment. */
async function readState(path: string): Promise<RecomputeState | null | undefined> {
  try {
    const response = await fetch(path, { cache: "no-store" });
    return response.ok ? ((await response.json()) as { readonly recompute: RecomputeState | null }).recompute : undefined;
  } catch {
    return undefined;
  }
}

export interface Recomputing {
  readonly isGoingOn: boolean;
  readonly said: string;
  readonly ask: (asked: RecomputeAsk) => Promise<void>;
}

/** Asks for a recompute and follows it; `onDone` is told the new result's id. */
export function useRecompute(runId: string, onDone: (resultId: string) => void): Recomputing {
  const [state, setState] = useState<RecomputeState | null>(null);
  const [refused, setRefused] = useState("");
  const path = `/api/runs/${runId}/results`, goesOn = isGoingOn(state);
  const heard = useEffectEvent((now: RecomputeState | null): void => {
    setState(now);
    if (now?.step === "done" && now.resultId !== null) onDone(now.resultId);
  });
  useEffect(() => {
    if (!goesOn) return undefined;
    const timer = setInterval(() => {
      void readState(path).then((now) => { if (now !== undefined) heard(now); return now; });
    }, ASK_EVERY_MS);
    return () => clearInterval(timer);
  }, [path, goesOn]);
  return {
    isGoingOn: goesOn, said: refused === "" ? wordsOf(state) : refused,
    ask: async (asked) => {
      setRefused("");
      const sent = await sendForm<RecomputeState>(path, asked);
      if ("problem" in sent) setRefused(`Not measured: ${sent.problem}.`);
      else setState(sent.kept);
    },
  };
}
