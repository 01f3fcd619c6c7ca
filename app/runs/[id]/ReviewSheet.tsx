"use client";
import Link from "next/link";
import type { ReactNode } from "react";
import { useMemo, useState } from "react";
import type { FindingDisposition, PinnedNote } from "../../../lib/model/disposition.ts";
import type { RecordWords, Sheet } from "../../../lib/model/sheet.ts";
import type { Signed } from "../../../lib/model/signature.ts";
import { SafetyNote } from "../../components/SafetyNote.tsx";
import { stampOf } from "../../components/TitleBlock.tsx";
import { WhoLine } from "../../components/WhoLine.tsx";
import { TargetView } from "../../components/target/TargetView.tsx";
import { usePrinting } from "../../components/usePrinting.ts";
import { BandsAsUsed, JobAsUsed, RecordNow, WarningsAsUsed } from "./AsUsed.tsx";
import { Course } from "./Course.tsx";
import { FindingList } from "./FindingList.tsx";
import { KeyList } from "./KeyList.tsx";
import { Lanes } from "./Lanes.tsx";
import { LanesPaper } from "./LanesPaper.tsx";
import { LayerMap } from "./LayerMap.tsx";
import { Notes } from "./Notes.tsx";
import { SheetTitleBlock } from "./SheetTitleBlock.tsx";
import { StationHistory } from "./StationHistory.tsx";
import { StationReadout } from "./StationReadout.tsx";
import { nearestStation } from "./laneGeometry.ts";
import { stationAt } from "./stationAt.ts";
import { strandOf } from "./picks.ts";
import { FrameSheet } from "./frames/FrameSheet.tsx";
import { askedFrames, useFrameChoice } from "./frames/chooseFrame.ts";
import { useFrame } from "./frames/useFrame.ts";
import { useChosen } from "./useChosen.ts";
import { useSheetKeys } from "./useSheetKeys.ts";
import { useStationDetail } from "./useStationDetail.ts";

interface Props {
  readonly sheet: Sheet;
  readonly record: RecordWords;
  readonly dispositions: readonly FindingDisposition[];
  readonly notes: readonly PinnedNote[];
  readonly signed: Signed;
  /** What is said of the plan and of the support before anything was laid. */
  readonly before: ReactNode;
  /** What an administrator can do about the record, below it. */
  readonly after: ReactNode;
  /** What is said above everything where it is no result of the run's own. */
  readonly note: ReactNode;
  /** All results of the run. */
  readonly results: ReactNode;
  /** The as-laid surface to take along, and what scans after setting showed. */
  readonly later: ReactNode;
}

/** Adds what a person has just written to what was there when the page was asked for. */
function useAdded<T>(first: readonly T[]): readonly [readonly T[], (kept: T) => void] {
  const [added, setAdded] = useState<readonly T[]>([]);
  return [useMemo(() => [...first, ...added], [first, added]), (kept) => setAdded((before) => [...before, kept])];
}

function SheetHeader({ sheet, note, keysOn, onKeys }: { readonly sheet: Sheet; readonly note: ReactNode; readonly keysOn: boolean; readonly onKeys: (on: boolean) => void }) {
  const stamp = stampOf(sheet.head);
  const { words } = sheet;
  return (
    <header>
      <div className="above"><KeyList on={keysOn} onChange={onKeys} /><Link href={`/runs/${sheet.head.runId}/report?result=${sheet.resultId}`}>Report</Link><Link href="/">All runs</Link><WhoLine />{stamp === null ? null : <p className="stamp">{stamp}</p>}</div>
      {note}
      <h1>{words.headline}</h1>
      <p className="detail">{words.detail}</p>
      {words.advice === null ? null : <p className="advice">{words.advice}</p>}
    </header>
  );
}

/** A run on its sheets: at one glance; what the camera saw, where there was one; as it lies and along its length; what it rests on. Words, then pictures, then numbers, then the title block. */
export function ReviewSheet({ sheet, record, dispositions: dispositionsBefore, notes: notesBefore, signed, before, after, note, results, later }: Props) {
  const { pick, rank, choose, chooseFinding, chooseLayer, step } = useChosen(sheet);
  const [keysOn, onKeys] = useSheetKeys(step);
  const printing = usePrinting();
  const [dispositions, onDisposed] = useAdded(dispositionsBefore);
  const [notes, onNote] = useAdded(notesBefore);
  const strand = strandOf(sheet.layers, pick);
  const station = useMemo(() => (strand === undefined ? null : stationAt(sheet, strand, pick.station)), [sheet, strand, pick.station]);
  const detail = useStationDetail(sheet.head.runId, sheet.resultId, station);
  const layer = sheet.layers.find((each) => each.layer === pick.layer);
  const findingsOf = useMemo(() => new Map(sheet.layers.map((each) => [each.layer, sheet.findings.filter((finding) => finding.layer === each.layer)])), [sheet]);
  const places = { pick, selectedRank: rank, onStation: choose, onFinding: chooseFinding };
  const lastActor = [...dispositions, ...notes, ...(signed.last === null ? [] : [signed.last])].reduce<{ seq: number; actor: string }>((last, each) => (each.seq > last.seq ? each : last), { seq: 0, actor: "nobody yet" }).actor;
  const [frame, onFrame] = useFrameChoice(sheet, { pick, rank, station }), seenFrame = useFrame(...askedFrames(sheet, frame));
  const count = sheet.frames.length > 0 ? 4 : 3, number = (at: number): string => `${at} of ${count}`;
  const block = { sheet, layer: pick.layer, onLayer: chooseLayer, record, who: lastActor, signed: signed.words };
  const goTo = (note: PinnedNote): void => {
    const there = strandOf(sheet.layers, note);
    if (there !== undefined) choose({ layer: note.layer, strand: note.strand, station: Math.max(0, nearestStation(there, note.sMm)) });
  };
  return (
    <main className="sheets">
      <div className="sheet review">
        <SheetHeader sheet={sheet} note={note} keysOn={keysOn} onKeys={onKeys} />
        <div className="drawing">
          {printing ? sheet.layers.map((each) => <LanesPaper key={each.layer} layer={each} findings={findingsOf.get(each.layer) ?? []} pick={pick} selectedRank={rank} />) : null}
          {printing || layer === undefined ? null : <Lanes key={layer.layer} layer={layer} findings={findingsOf.get(layer.layer) ?? []} {...places} />}
        </div>
        <div className="readings">
          <FindingList sheet={sheet} selectedRank={rank} dispositions={dispositions} onFinding={chooseFinding} onDisposed={onDisposed} />
          <StationReadout station={station} shape={sheet.beadShape} detail={detail} />
        </div>
        <SheetTitleBlock {...block} scale="not to scale" number={number(1)} />
      </div>
      {sheet.frames.length === 0 ? null : <FrameSheet sheet={sheet} index={frame} onIndex={onFrame} asked={seenFrame} pick={pick} station={station} shape={sheet.beadShape} detail={detail} titleBlock={<SheetTitleBlock {...block} scale="not to scale" number={number(2)} />} />}
      <div className="sheet overview">
        <div className="target-of-run">
          <TargetView runId={sheet.head.runId} layers={sheet.layers} layer={pick.layer} pick={pick} findings={sheet.findings} nozzle={null} newest={null} newestAgeWords={null} isOld={false} onStation={choose} {...(sheet.frames.length === 0 ? {} : { frame: seenFrame.state === "here" ? seenFrame.view : null })} />
        </div>
        <div className="map-of-layer">
          {(printing ? sheet.layers : layer === undefined ? [] : [layer]).map((each) => <LayerMap key={each.layer} layer={each} findings={findingsOf.get(each.layer) ?? []} {...places} />)}
        </div>
        <Course sheet={sheet} pick={pick} printing={printing} onStation={choose} />
        <SheetTitleBlock {...block} scale="see bar" number={number(count - 1)} />
      </div>
      <div className="sheet basis">
        {station === null ? null : <StationHistory station={station} detail={detail} />}
        {station === null ? null : <Notes runId={sheet.head.runId} station={station} notes={notes} onKept={onNote} onPlace={goTo} />}
        {results}
        {before}
        {later}
        <JobAsUsed job={sheet.job} />
        <BandsAsUsed bands={sheet.bands} />
        <WarningsAsUsed warnings={sheet.warnings} />
        <RecordNow record={record} />
        {after}
        <SheetTitleBlock {...block} scale="none" number={number(count)} />
        <SafetyNote />
      </div>
    </main>
  );
}
