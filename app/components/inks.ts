"use client";
/** The sheet's inks as a canvas needs them. They are the ones that CSS has: one table of colours. */
import { useSyncExternalStore } from "react";
import type { Inks } from "../../lib/model/drawingLooks.ts";
import { PAPER_INKS } from "../../lib/model/drawingLooks.ts";

export type { Inks };
export { PAPER_INKS };

const DARK = "(prefers-color-scheme: dark)";

/** The colours in force on the page now. */
function readInks(): Inks {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return { ink: of("ink"), quiet: of("quiet"), hair: of("hair"), faint: of("faint"), paste: of("paste"), sheet: of("sheet") };
}

function onSchemeChange(changed: () => void): () => void {
  const query = window.matchMedia(DARK);
  query.addEventListener("change", changed);
  return () => query.removeEventListener("change", changed);
}

const known = new Map<boolean, Inks>();

function inksNow(): Inks {
  const dark = window.matchMedia(DARK).matches;
  const inks = known.get(dark) ?? readInks();
  known.set(dark, inks);
  return inks;
}

/** The colours of the sheet that is shown, light or dark; what draws on a canvas draws again when they change. */
export function useInks(): Inks {
  return useSyncExternalStore(onSchemeChange, inksNow, () => PAPER_INKS);
}
