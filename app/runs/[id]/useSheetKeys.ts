"use client";
import { useEffect, useEffectEvent } from "react";
import { useStored } from "../../components/useStored.ts";
import type { Step } from "./useChosen.ts";

/** Every key of the sheet and what it does; the page lists this table. */
export const SHEET_KEYS = [
  { key: "n", what: "finding", by: 1, words: "next finding" }, { key: "p", what: "finding", by: -1, words: "previous finding" },
  { key: "]", what: "layer", by: 1, words: "layer above" }, { key: "[", what: "layer", by: -1, words: "layer below" },
  { key: "j", what: "strand", by: 1, words: "next strand" }, { key: "k", what: "strand", by: -1, words: "previous strand" },
  { key: ".", what: "station", by: 1, words: "next station" }, { key: ",", what: "station", by: -1, words: "previous station" },
] as const satisfies readonly { readonly key: string; readonly what: Step; readonly by: 1 | -1; readonly words: string }[];
export const DECIDE_KEY = "d";

/** Keys are for the form field that has the focus. */
export function isTyping(target: EventTarget | null): boolean {
  return target instanceof HTMLElement && (target.isContentEditable || ["INPUT", "TEXTAREA", "SELECT"].includes(target.tagName));
}

/** Opens the form that decides about the chosen finding and goes into it, or to the way to sign in. */
function decide(): boolean {
  const details = document.getElementById("decide");
  if (!(details instanceof HTMLDetailsElement)) return false;
  details.open = true;
  details.querySelector<HTMLElement>("select, a")?.focus();
  return true;
}

/** Single keys walk through the sheet, but never out of a form field, and not where a person has turned them off (WCAG 2.1.4). */
export function useSheetKeys(step: (what: Step, by: 1 | -1) => void): readonly [boolean, (on: boolean) => void] {
  const [stored, store] = useStored("aslaid.keys");
  const on = stored !== "off";
  const onKey = useEffectEvent((event: KeyboardEvent) => {
    if (!on || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
    const known = SHEET_KEYS.find(({ key }) => key === event.key);
    if (known !== undefined) step(known.what, known.by);
    if (known !== undefined || (event.key === DECIDE_KEY && decide())) event.preventDefault();
  });
  useEffect(() => {
    const listen = (event: KeyboardEvent): void => onKey(event);
    window.addEventListener("keydown", listen);
    return () => window.removeEventListener("keydown", listen);
  }, []);
  return [on, (next) => store(next ? "on" : "off")];
}
