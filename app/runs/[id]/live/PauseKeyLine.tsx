"use client";
import type { PauseKey } from "./usePauseKey.ts";

/** Which keys pause, and a way to choose another: a foot switch sends any. */
export function PauseKeyLine({ pauseKey: { learned, isLearning, problem, setLearning } }: { readonly pauseKey: PauseKey }) {
  return (
    <p className="pause-keys">
      <span role="status">{problem !== "" ? `${problem}. Press another.` : isLearning ? "Press the key or foot switch. Space: none of its own." : <>Keys: <kbd>Space</kbd> <kbd>Pause</kbd>{learned === "" ? null : <> <kbd>{learned}</kbd></>}</>}</span>
      <button type="button" onClick={() => setLearning(!isLearning)}>{isLearning ? "Leave it" : "Use another key"}</button>
    </p>
  );
}
