"use client";
/** The chosen place of a sheet: a station, and the finding that led to it. */
import { useCallback, useEffect, useMemo, useState } from "react";
import type { Sheet, SheetStrand } from "../../../lib/model/sheet.ts";
import { nearestStation } from "./laneGeometry.ts";

/** A station of a strand of a layer, by its index. */
export interface StationPick { readonly layer: number; readonly strand: number; readonly station: number }

interface Chosen { readonly pick: StationPick; readonly rank: number | null }

export const findingId = (rank: number): string => `finding-${rank + 1}`;

export function strandOf(sheet: Sheet, pick: Pick<StationPick, "layer" | "strand">): SheetStrand | undefined {
  return sheet.layers.find((layer) => layer.layer === pick.layer)?.strands.find((strand) => strand.strand === pick.strand);
}

/** The worst finding, or else the middle of the first strand: the sheet opens on what matters. */
function opening(sheet: Sheet): Chosen {
  if (sheet.findings.length > 0) return atFinding(sheet, 0);
  const strand = sheet.layers[0]?.strands[0];
  return { pick: { layer: strand?.layer ?? 1, strand: strand?.strand ?? 1, station: Math.floor((strand?.sMm.length ?? 0) / 2) }, rank: null };
}

function atFinding(sheet: Sheet, rank: number): Chosen {
  const finding = sheet.findings[rank];
  if (finding === undefined) return opening({ ...sheet, findings: [] });
  const pick = { layer: finding.layer, strand: finding.strand, station: 0 };
  const strand = strandOf(sheet, pick);
  return { pick: { ...pick, station: strand === undefined ? 0 : nearestStation(strand, finding.sMm) }, rank };
}

/** What a key can ask for. */
export type Step = "finding" | "layer" | "strand" | "station";

/** One step on (+1) or back (−1): findings go around; layers, strands and stations end at the ends. null: nowhere to go. */
export function stepped(sheet: Sheet, { pick, rank }: Chosen, what: Step, by: 1 | -1): Chosen | null {
  const count = sheet.findings.length;
  if (what === "finding") return count === 0 ? null : atFinding(sheet, rank === null ? (by > 0 ? 0 : count - 1) : (rank + by + count) % count);
  const layerAt = sheet.layers.findIndex((layer) => layer.layer === pick.layer);
  const strands = sheet.layers[layerAt]?.strands ?? [];
  const strandAt = strands.findIndex((strand) => strand.strand === pick.strand);
  const sMm = strands[strandAt]?.sMm[pick.station] ?? 0;
  const at = (strand: SheetStrand | undefined): Chosen | null => (strand === undefined ? null : { pick: { layer: strand.layer, strand: strand.strand, station: Math.max(0, nearestStation(strand, sMm)) }, rank: null });
  if (what === "layer") return at(sheet.layers[layerAt + by]?.strands[0]);
  if (what === "strand") return at(strands[strandAt + by]);
  const station = pick.station + by;
  return station < 0 || station >= (strands[strandAt]?.sMm.length ?? 0) ? null : { pick: { ...pick, station }, rank: null };
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
  const found = strandOf(sheet, { layer, strand });
  return found === undefined ? null : { layer, strand, station: Math.max(0, nearestStation(found, sMm)) };
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
    const strand = sheet.layers.find((each) => each.layer === layer)?.strands[0];
    if (strand !== undefined) setChosen({ pick: { layer, strand: strand.strand, station: 0 }, rank: null });
  }, [sheet]);
  const step = useCallback((what: Step, by: 1 | -1) => {
    const next = stepped(sheet, chosen, what, by);
    if (next === null) return;
    if (what === "finding") chooseFinding(next.rank as number, true);
    else setChosen(next);
  }, [sheet, chosen, chooseFinding]);
  return useMemo(() => ({ ...chosen, choose, chooseFinding, chooseLayer, step }), [chosen, choose, chooseFinding, chooseLayer, step]);
}
