"use client";
import { useEffect, useEffectEvent } from "react";
import { useStored } from "../../../components/useStored.ts";
import { isTyping } from "../useSheetKeys.ts";

/** Every single key of the live page and what it does; the page lists this table. Keys that pause stand beside their button. */
export const WATCH_KEYS = [
  { key: "a", does: "acknowledge", words: "acknowledge the topmost alert" },
  { key: "0", does: "follow", words: "follow the newest reading" },
  { key: ".", does: "nextStation", words: "next station" }, { key: ",", does: "previousStation", words: "previous station" },
  { key: "j", does: "nextStrand", words: "next strand" }, { key: "k", does: "previousStrand", words: "previous strand" },
  { key: "m", does: "mark", words: "mark a stretch taken off: start, then end" },
] as const;
export type WatchDeed = (typeof WATCH_KEYS)[number]["does"];

/** Single keys, but never out of a form field, and not where a person has turned them off (WCAG 2.1.4). */
export function useWatchKeys(onDeed: (deed: WatchDeed) => void): readonly [boolean, (on: boolean) => void] {
  const [stored, store] = useStored("aslaid.keys");
  const on = stored !== "off";
  const onKey = useEffectEvent((event: KeyboardEvent) => {
    if (!on || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
    const known = WATCH_KEYS.find(({ key }) => key === event.key);
    if (known === undefined) return;
    event.preventDefault();
    onDeed(known.does);
  });
  useEffect(() => {
    const listen = (event: KeyboardEvent): void => onKey(event);
    window.addEventListener("keydown", listen);
    return () => window.removeEventListener("keydown", listen);
  }, []);
  return [on, (next) => store(next ? "on" : "off")];
}
