"use client";
/** The picture's own colours on the light sheet, the dark one and on paper: paste as bone, everything else in the sheet's inks. Marks have theirs from the one table. */
import { useSyncExternalStore } from "react";
import { SHEET, VERDICT_MARKS } from "../../../lib/model/marks.ts";
import { LOOKS, SEEN } from "./looks.ts";

export interface TargetInks {
  readonly sheet: string;
  readonly bone: string;
  readonly boneShade: string;
  /** Of a bead that has a mark: the pattern stands on it. */
  readonly markGround: string;
  /** Outlines of beads. */
  readonly edge: string;
  readonly planned: string;
  readonly grid: string;
  readonly gap: string;
  /** Of LOOKS after "seen". */
  readonly marks: readonly string[];
}

const marksOf = (side: "light" | "dark"): Pick<TargetInks, "gap" | "marks"> => ({
  gap: VERDICT_MARKS.gap[side], marks: LOOKS.slice(SEEN + 1).map((look) => VERDICT_MARKS[look as keyof typeof VERDICT_MARKS][side]),
});

const LIGHT: TargetInks = { sheet: SHEET.light, bone: "#e9dfc6", boneShade: "#b9ad8f", markGround: "#fdf8ea", edge: "#3d3930", planned: "#6d6d66", grid: "#d3cfc1", ...marksOf("light") };
const DARK: TargetInks = { sheet: SHEET.dark, bone: "#dcd1ba", boneShade: "#8a8170", markGround: "#2c2f2e", edge: "#14181b", planned: "#989a94", grid: "#2e3539", ...marksOf("dark") };
export const TARGET_PAPER: TargetInks = { ...LIGHT, sheet: "#ffffff", bone: "#efe9d9", edge: "#222222", planned: "#444444", grid: "#d0d0d0" };

const QUERY = "(prefers-color-scheme: dark)";
function onSchemeChange(changed: () => void): () => void {
  const query = window.matchMedia(QUERY);
  query.addEventListener("change", changed);
  return () => query.removeEventListener("change", changed);
}

export function useTargetInks(): TargetInks {
  return useSyncExternalStore(onSchemeChange, () => window.matchMedia(QUERY).matches, () => false) ? DARK : LIGHT;
}
