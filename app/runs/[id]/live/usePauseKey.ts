"use client";
import { useEffect, useEffectEvent, useState } from "react";
import { useStored } from "../../../components/useStored.ts";
import { isTyping } from "../useSheetKeys.ts";
import { asksPause, learn, type KeyPress } from "./pauseKeys.ts";
import { WATCH_KEYS } from "./useWatchKeys.ts";

export interface PauseKey {
  /** "": Space and the Pause key alone. */
  readonly learned: string;
  readonly isLearning: boolean;
  /** Why the last key was not taken; "": it was. */
  readonly problem: string;
  readonly setLearning: (is: boolean) => void;
}

function whereOf(target: EventTarget | null): KeyPress["where"] {
  if (isTyping(target)) return "field";
  return target instanceof Element && target.closest("button, a, summary, label") !== null ? "button" : "page";
}

/** Asks by key while the page is open; `isOn` false: no key asks. The chosen key is kept by this browser. */
export function usePauseKey(isOn: boolean, onPause: () => void): PauseKey {
  const [learned, store] = useStored("aslaid.pauseKey");
  const [isLearning, setIsLearning] = useState(false);
  const [problem, setProblem] = useState("");
  const setLearning = (is: boolean): void => {
    setProblem("");
    setIsLearning(is);
  };
  const onLearn = (event: KeyboardEvent): void => {
    if (event.key === "Escape") setLearning(false);
    const learnt = event.repeat || event.ctrlKey || event.metaKey || event.altKey ? null : learn(event.key, WATCH_KEYS.map(({ key }) => key));
    if (event.key === "Tab" || (learnt === null && event.key !== "Escape")) return;
    event.preventDefault();
    event.stopPropagation();
    if (learnt === null) return;
    if ("problem" in learnt) {
      setProblem(learnt.problem);
      return;
    }
    store(learnt.key);
    setLearning(false);
  };
  const onKey = useEffectEvent((event: KeyboardEvent) => {
    if (isLearning) {
      onLearn(event);
      return;
    }
    const press: KeyPress = { key: event.key, repeat: event.repeat, hasModifier: event.ctrlKey || event.metaKey || event.altKey, where: whereOf(event.target) };
    if (!isOn || !asksPause({ ...press, repeat: false }, learned)) return;
    event.preventDefault();
    if (asksPause(press, learned)) onPause();
  });
  useEffect(() => {
    const listen = (event: KeyboardEvent): void => onKey(event);
    window.addEventListener("keydown", listen, { capture: true });
    return () => window.removeEventListener("keydown", listen, { capture: true });
  }, []);
  return { learned, isLearning, problem, setLearning };
}
