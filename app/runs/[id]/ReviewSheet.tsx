"use client";
import Link from "next/link";
import { useCallback, useEffect, useMemo, useState } from "react";
import type { Sheet, SheetStrand } from "../../../lib/model/sheet.ts";
import { SafetyNote } from "../../components/SafetyNote.tsx";
import { TitleBlock, dateWords, shortHash, stampOf } from "../../components/TitleBlock.tsx";
import { FindingList, findingId } from "./FindingList.tsx";
import type { StationPick } from "./Lanes.tsx";
import { Lanes } from "./Lanes.tsx";
import { StationReadout } from "./StationReadout.tsx";
import { Strips } from "./Strips.tsx";
import { nearestStation } from "./laneGeometry.ts";
import { stationAt } from "./stationAt.ts";

interface Chosen { readonly pick: StationPick; readonly rank: number | null }

function strandOf(sheet: Sheet, pick: StationPick): SheetStrand | undefined {
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

function isTyping(target: EventTarget | null): boolean {
  return target instanceof HTMLElement && (target.isContentEditable || ["INPUT", "TEXTAREA", "SELECT"].includes(target.tagName));
}

/** Chooses a finding by `#finding-N` in the address and by the keys n and p, and keeps the keyboard's focus on it. */
function useFindingKeys(count: number, rank: number | null, choose: (rank: number, focus: boolean) => void): void {
  useEffect(() => {
    const fromAddress = (): void => {
      const asked = /^#finding-(\d+)$/.exec(window.location.hash)?.[1];
      if (asked !== undefined && Number(asked) >= 1 && Number(asked) <= count) choose(Number(asked) - 1, false);
    };
    fromAddress();
    window.addEventListener("hashchange", fromAddress);
    return () => window.removeEventListener("hashchange", fromAddress);
  }, [count, choose]);
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      const step = event.key === "n" ? 1 : event.key === "p" ? -1 : 0;
      if (step === 0 || count === 0 || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
      event.preventDefault();
      choose(rank === null ? (step > 0 ? 0 : count - 1) : (rank + step + count) % count, true);
    };
    window.addEventListener("keydown", onKey);
    return () => window.removeEventListener("keydown", onKey);
  }, [count, rank, choose]);
}

/** Up to this many layers have a button each; more are stepped through. */
const MOST_LAYER_BUTTONS = 6;

interface LayerProps { readonly sheet: Sheet; readonly layer: number; readonly onLayer: (layer: number) => void }

function LayerChoice({ sheet, layer, onLayer }: LayerProps) {
  const layers = sheet.layers.map((each) => each.layer);
  const here = layers.indexOf(layer);
  if (layers.length < 2) return <>{layers.length === 0 ? "none" : "1 of 1"}</>;
  if (layers.length > MOST_LAYER_BUTTONS) {
    const to = (index: number): void => { if (layers[index] !== undefined) onLayer(layers[index]); };
    return (
      <span className="layer-choice" role="group" aria-label="Layer shown">
        <button type="button" disabled={here <= 0} onClick={() => to(here - 1)} aria-label="Layer below">−</button>
        <span className="layer-now">{layer} of {layers.length}</span>
        <button type="button" disabled={here >= layers.length - 1} onClick={() => to(here + 1)} aria-label="Layer above">+</button>
      </span>
    );
  }
  return (
    <span className="layer-choice" role="group" aria-label="Layer shown">
      {layers.map((each) => <button key={each} type="button" aria-pressed={each === layer} onClick={() => onLayer(each)}>{each}</button>)}
    </span>
  );
}

function ReviewTitleBlock({ sheet, layer, onLayer }: LayerProps) {
  const { head, words } = sheet;
  const joined = (parts: readonly (string | null)[]): string => parts.filter((part) => part !== null).join(" · ");
  return (
    <TitleBlock cells={[
      { label: "run", value: joined([head.name, head.specimen]), twelfths: 6 },
      { label: "layer", value: <LayerChoice sheet={sheet} layer={layer} onLayer={onLayer} />, twelfths: 6 },
      { label: "material", value: joined([head.materialName, head.lot === null ? null : `lot ${head.lot}`]), twelfths: 6 },
      { label: "verdict", value: words.acceptable === null ? "none" : words.acceptable ? "acceptable" : "not acceptable", twelfths: 3 },
      { label: "scale", value: "not to scale", twelfths: 3 },
      { label: "plan", value: <span title={head.planSha256}>{shortHash(head.planSha256)}</span>, twelfths: 3 },
      { label: "brought in", value: dateWords(head.createdAt), twelfths: 3 },
      { label: "who", value: "operator not named", twelfths: 3 },
      { label: "record", value: "no log yet", twelfths: 3 },
      { label: "number", value: head.runId, twelfths: 9 },
      { label: "kind", value: stampOf(head) ?? "run", twelfths: 3 },
    ]} />
  );
}

/** A finished run on one sheet: words, then pictures, then numbers, then the title block. */
export function ReviewSheet({ sheet }: { readonly sheet: Sheet }) {
  const [chosen, setChosen] = useState<Chosen>(() => opening(sheet));
  const { pick, rank } = chosen;
  const choose = useCallback((next: number, focus: boolean) => {
    setChosen(atFinding(sheet, next));
    window.history.replaceState(window.history.state, "", `#${findingId(next)}`);
    if (focus) document.getElementById(findingId(next))?.focus();
  }, [sheet]);
  useFindingKeys(sheet.findings.length, rank, choose);
  const onStation = useCallback((next: StationPick) => setChosen({ pick: next, rank: null }), []);
  const onFinding = useCallback((next: number) => choose(next, false), [choose]);
  const onLayer = useCallback((layer: number) => {
    const strand = sheet.layers.find((each) => each.layer === layer)?.strands[0];
    if (strand !== undefined) setChosen({ pick: { layer, strand: strand.strand, station: 0 }, rank: null });
  }, [sheet]);
  const strand = strandOf(sheet, pick);
  const station = useMemo(() => (strand === undefined ? null : stationAt(sheet, strand, pick.station)), [sheet, strand, pick.station]);
  const stamp = stampOf(sheet.head);
  const { words } = sheet;
  return (
    <main className="sheet review">
      <header>
        <div className="above"><Link href="/">All runs</Link>{stamp === null ? null : <p className="stamp">{stamp}</p>}</div>
        <h1>{words.headline}</h1>
        <p className="detail">{words.detail}</p>
        {words.advice === null ? null : <p className="advice">{words.advice}</p>}
      </header>
      <div className="drawing">
        {sheet.layers.map((layer) => (
          <div key={layer.layer} className={layer.layer === pick.layer ? "layer-shown" : "layer-on-paper"}>
            <Lanes layer={layer} findings={sheet.findings.filter((finding) => finding.layer === layer.layer)} pick={pick} selectedRank={rank} onStation={onStation} onFinding={onFinding} />
            {strand === undefined || layer.layer !== pick.layer ? null : <Strips sheet={sheet} layer={layer} strand={strand} station={pick.station} />}
          </div>
        ))}
      </div>
      <div className="readings">
        <FindingList findings={sheet.findings} layerCount={sheet.layers.length} selectedRank={rank} onFinding={onFinding} />
        <StationReadout station={station} shape={sheet.beadShape} />
        {sheet.warnings.length === 0 ? null : (
          <section className="warnings" aria-labelledby="warnings-title">
            <h2 id="warnings-title">Noted while reading</h2>
            <ul>{sheet.warnings.map((warning) => <li key={`${warning.code} ${warning.message}`}>{warning.message}</li>)}</ul>
          </section>
        )}
        {sheet.earlierAttemptCount === 0 ? null : <p className="none">Strands laid again after a removal: earlier attempts are kept.</p>}
      </div>
      <ReviewTitleBlock sheet={sheet} layer={pick.layer} onLayer={onLayer} />
      <SafetyNote />
    </main>
  );
}
