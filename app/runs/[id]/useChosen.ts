"use client";
/** The chosen place of a sheet: a station, and the finding that led to it. */
import { useCallback, useEffect, useMemo, useState } from "react";
import type { Sheet } from "../../../lib/model/sheet.ts";
import { pickAt, pickOfLayer, stepped, type StationPick } from "./picks.ts";

interface Chosen { readonly pick: StationPick; readonly rank: number | null }

export const findingId = (rank: number): string => `finding-${rank + 1}`;

/** The worst finding, or else the middle of the first strand: the sheet opens on what matters. */
function opening(sheet: Sheet): Chosen {
  if (sheet.findings.length > 0) return atFinding(sheet, 0);
  const strand = sheet.layers[0]?.strands[0];
  return { pick: { layer: strand?.layer ?? 1, strand: strand?.strand ?? 1, station: Math.floor((strand?.sMm.length ?? 0) / 2) }, rank: null };
}

function atFinding(sheet: Sheet, rank: number): Chosen {
  const finding = sheet.findings[rank];
  if (finding === undefined) return opening({ ...sheet, findings: [] });
  return { pick: pickAt(sheet.layers, finding) ?? { layer: finding.layer, strand: finding.strand, station: 0 }, rank };
}

/** What a key can ask for. */
export type Step = "finding" | "layer" | "strand" | "station";

/** The next finding on (+1) or back (−1), around the end. null: there is none. */
function nextFinding(sheet: Sheet, rank: number | null, by: 1 | -1): Chosen | null {
  const count = sheet.findings.length;
  return count === 0 ? null : atFinding(sheet, rank === null ? (by > 0 ? 0 : count - 1) : (rank + by + count) % count);
}

export interface Choosing {
  readonly pick: StationPick;
  readonly rank: number | null;
  readonly choose: (pick: StationPick) => void;
  /** `focus`: the keyboard's focus goes along. */
  readonly chooseFinding: (rank: number, focus?: boolean) => void;
  readonly chooseLayer: (layer: number) => void;
  readonly step: (what: Step, by: 1 | -1) => void;
}

/** The station at `#place-LAYER-STRAND-SMM`. null: the address names none, or no such strand. */
function placeIn(sheet: Sheet, hash: string): StationPick | null {
  const [, layer, strand, sMm] = (/^#place-(\d+)-(\d+)-(\d+(?:\.\d+)?)$/.exec(hash) ?? []).map(Number);
  if (layer === undefined || strand === undefined || sMm === undefined) return null;
  return pickAt(sheet.layers, { layer, strand, sMm });
}

/** Chooses by call, and by the address: a finding by `#finding-N`, a station by `#place-LAYER-STRAND-SMM`. */
export function useChosen(sheet: Sheet): Choosing {
  const [chosen, setChosen] = useState<Chosen>(() => opening(sheet));
  const chooseFinding = useCallback((rank: number, focus = false) => {
    setChosen(atFinding(sheet, rank));
    window.history.replaceState(window.history.state, "", `#${findingId(rank)}`);
    if (focus) document.getElementById(findingId(rank))?.focus();
  }, [sheet]);
  useEffect(() => {
    const fromAddress = (): void => {
      const asked = Number(/^#finding-(\d+)$/.exec(window.location.hash)?.[1] ?? 0);
      if (asked >= 1 && asked <= sheet.findings.length) chooseFinding(asked - 1);
      const place = placeIn(sheet, window.location.hash);
      if (place !== null) setChosen({ pick: place, rank: null });
    };
    fromAddress();
    window.addEventListener("hashchange", fromAddress);
    return () => window.removeEventListener("hashchange", fromAddress);
  }, [sheet, chooseFinding]);
  const choose = useCallback((pick: StationPick) => setChosen({ pick, rank: null }), []);
  const chooseLayer = useCallback((layer: number) => {
    const pick = pickOfLayer(sheet.layers, layer);
    if (pick !== null) setChosen({ pick, rank: null });
  }, [sheet]);
  const step = useCallback((what: Step, by: 1 | -1) => {
    if (what === "finding") {
      const next = nextFinding(sheet, chosen.rank, by);
      if (next !== null) chooseFinding(next.rank as number, true);
      return;
    }
    const pick = stepped(sheet.layers, chosen.pick, what, by);
    if (pick !== null) setChosen({ pick, rank: null });
  }, [sheet, chosen, chooseFinding]);
  return useMemo(() => ({ ...chosen, choose, chooseFinding, chooseLayer, step }), [chosen, choose, chooseFinding, chooseLayer, step]);
}
