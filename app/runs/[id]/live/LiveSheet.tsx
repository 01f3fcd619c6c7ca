"use client";
import Link from "next/link";
import { useState } from "react";
import type { LiveSheet as LiveSheetData } from "../../../../lib/model/liveSheet.ts";
import { LayerChoice } from "../../../components/LayerChoice.tsx";
import { SafetyNote } from "../../../components/SafetyNote.tsx";
import { TitleBlock, dateWords, shortHash, stampOf } from "../../../components/TitleBlock.tsx";
import { WhoLine } from "../../../components/WhoLine.tsx";
import { TargetView } from "../../../components/target/TargetView.tsx";
import { usePrinting } from "../../../components/usePrinting.ts";
import { Lanes } from "../Lanes.tsx";
import { LanesPaper } from "../LanesPaper.tsx";
import type { StationPick } from "../useChosen.ts";
import { Asks } from "./Asks.tsx";
import { Commands } from "./Commands.tsx";
import { Health } from "./Health.tsx";
import { LiveFindings } from "./LiveFindings.tsx";
import { LiveStation } from "./LiveStation.tsx";
import { useLive } from "./useLive.ts";
import "./live.css";

const STATE_WORDS = { recorded: "brought in", prepared: "prepared", live: "being laid", paused: "paused", onHold: "on hold", finished: "finished", aborted: "aborted" } as const;

/** The page of a run that has no result yet: the sentence, the picture, what is found, how far keeping and measuring are, and what the cell can be asked for. */
export function LiveSheet({ sheet }: { readonly sheet: LiveSheetData }) {
  const { words, layers, silentS } = useLive(sheet);
  const [own, setOwn] = useState<StationPick | null>(null);
  const printing = usePrinting();
  const { head } = sheet, first = layers[0]?.strands[0], stamp = stampOf(head);
  const newest: StationPick | null = words.newest === null ? null : { layer: words.newest.layer, strand: words.newest.strand, station: words.newest.stationIndex };
  const pick = own ?? newest ?? { layer: first?.layer ?? 1, strand: first?.strand ?? 1, station: 0 };
  const layer = layers.find((each) => each.layer === pick.layer);
  const findingsOf = (number: number) => words.findings.filter((finding) => finding.layer === number);
  const toFinding = (rank: number): void => {
    const finding = words.findings[rank], strand = layers.flatMap((each) => each.strands).find((each) => each.layer === finding?.layer && each.strand === finding.strand);
    if (finding !== undefined && strand !== undefined) setOwn({ layer: finding.layer, strand: finding.strand, station: Math.max(0, strand.sMm.findLastIndex((sMm) => sMm <= finding.sMm)) });
  };
  const toLayer = (number: number): void => {
    const strand = layers.find((each) => each.layer === number)?.strands[0];
    if (strand !== undefined) setOwn({ layer: number, strand: strand.strand, station: 0 });
  };
  return (
    <main className={`sheet review live${words.isOld || silentS !== null ? " old" : ""}`}>
      <header>
        <div className="above"><Link href="/">All runs</Link><WhoLine />{stamp === null ? null : <p className="stamp">{stamp}</p>}</div>
        <h1>{words.headline}</h1>
        <p className="detail">{words.detail}</p>
        {words.advice === null ? null : <p className="advice">{words.advice}</p>}
        <div role="status">
          {silentS === null ? null : <p className="lost">No word from the server for {silentS} s: what stands here is as old. The cell decides by itself.</p>}
          {words.alerts.map(({ n, title }) => <p key={n} className="lost">{title}</p>)}
        </div>
      </header>
      {words.isOver ? null : <Asks runId={head.runId} words={words} overlapMm={sheet.overlapMm} />}
      <div className="drawing">
        <div>
          <TargetView runId={head.runId} layers={layers} layer={pick.layer} pick={pick} findings={words.findings} nozzle={words.nozzle} newest={newest} newestAgeWords={words.ageWords} isOld={words.isOld || silentS !== null} onStation={setOwn} />
          {printing ? layers.map((each) => <LanesPaper key={each.layer} layer={each} findings={findingsOf(each.layer)} pick={pick} selectedRank={null} />) : null}
          {printing || layer === undefined ? null : <Lanes key={layer.layer} layer={layer} findings={findingsOf(layer.layer)} pick={pick} selectedRank={null} onStation={setOwn} onFinding={toFinding} />}
          <LiveStation layers={layers} pick={pick} ageWords={words.ageWords} isFollowed={own === null && newest !== null} onFollow={newest === null || own === null ? null : () => setOwn(null)} />
        </div>
      </div>
      <div className="readings">
        <LiveFindings words={words} layerCount={layers.length} onFinding={toFinding} />
        <Commands commands={words.commands} />
        <Health facts={words.health} />
      </div>
      <TitleBlock cells={[
        { label: "run", value: [head.name, head.specimen].filter((part) => part !== null).join(" · "), twelfths: 6 },
        { label: "layer", value: <LayerChoice layers={layers.map((each) => each.layer)} layer={pick.layer} onLayer={toLayer} />, twelfths: 6 },
        { label: "material", value: [head.materialName, head.lot === null ? null : `lot ${head.lot}`].filter((part) => part !== null).join(" · "), twelfths: 6 },
        { label: "state", value: STATE_WORDS[words.state], twelfths: 3 },
        { label: "made", value: dateWords(head.createdAt), twelfths: 3 },
        { label: "plan", value: <span title={head.planSha256}>{shortHash(head.planSha256)}</span>, twelfths: 3 },
        { label: "scale", value: "not to scale", twelfths: 3 },
        { label: "since", value: dateWords(sheet.since), twelfths: 3 },
        { label: "verdict", value: "none yet", twelfths: 3 },
        { label: "number", value: head.runId, twelfths: 6 },
        { label: "kind", value: stamp ?? "run", twelfths: 3 },
        { label: "sheet", value: "1 of 1, provisional", twelfths: 3 },
      ]} />
      <SafetyNote />
    </main>
  );
}
