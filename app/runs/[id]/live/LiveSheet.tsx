"use client";
import { useMemo, useState } from "react";
import type { AlertDeed, LiveSheet as LiveSheetData } from "../../../../lib/model/liveSheet.ts";
import { SafetyNote } from "../../../components/SafetyNote.tsx";
import { SoundBar } from "../../../components/alarm/SoundBar.tsx";
import { TargetView } from "../../../components/target/TargetView.tsx";
import { stampOf } from "../../../components/TitleBlock.tsx";
import { usePrinting } from "../../../components/usePrinting.ts";
import type { LaneRoom } from "../laneGeometry.ts";
import { Lanes } from "../Lanes.tsx";
import type { Window } from "../LaneMarks.tsx";
import { LanesPaper } from "../LanesPaper.tsx";
import { sendForm } from "../sendForm.ts";
import { Alerts } from "./Alerts.tsx";
import { soundOf, topmost } from "./alertWords.ts";
import { Heard } from "./Heard.tsx";
import { LaneOver } from "./LaneOver.tsx";
import { LiveFrame } from "./LiveFrame.tsx";
import { LiveSection } from "./LiveSection.tsx";
import { LiveTitleBlock } from "./LiveTitleBlock.tsx";
import { NO_MARKING } from "./marking.ts";
import { PasteClock } from "./PasteClock.tsx";
import { PauseBar } from "./PauseBar.tsx";
import { Picture } from "./Picture.tsx";
import { ResumeForm, type ResumeProposal } from "./ResumeForm.tsx";
import { TakenOffForm } from "./TakenOffForm.tsx";
import { useLive } from "./useLive.ts";
import { usePlace } from "./usePlace.ts";
import { useWatchKeys, type WatchDeed } from "./useWatchKeys.ts";
import { WatchBasis } from "./WatchBasis.tsx";
import { WatchHeader } from "./WatchHeader.tsx";
import "./watch.css";
import "./live.css";

/** The lanes share the first screen with a picture. */
const LIVE_ROOM: LaneRoom = { aimPx: 282, leastPitchPx: 26, mostPx: 300, hasSide: false };

/** The page of a run that has no result yet, to be watched from two metres: the sentence, what the sensors see, how long the paste works, and one touch that pauses. */
export function LiveSheet({ sheet }: { readonly sheet: LiveSheetData }) {
  const { words, layers, byS, silentS } = useLive(sheet);
  const place = usePlace(layers, words), { pick, choose } = place;
  const [said, setSaid] = useState("");
  const [answered, setAnswered] = useState<ResumeProposal | null>(null);
  const printing = usePrinting();
  const { runId } = sheet.head, layer = layers.find((each) => each.layer === pick.layer), isOld = words.isOld || silentS !== null;
  const { findings } = words;
  const findingsHere = useMemo(() => findings.filter((finding) => finding.layer === pick.layer), [findings, pick.layer]);
  const toFinding = (rank: number): void => {
    const finding = findings[rank];
    if (finding !== undefined) place.show(finding);
  };
  const onDeed = async (deed: AlertDeed): Promise<boolean> => {
    const sent = await sendForm(`/api/live/${runId}/alerts`, deed);
    setSaid("problem" in sent ? `Not written: ${sent.problem}.` : "");
    return !("problem" in sent);
  };
  const [keysOn, onKeys] = useWatchKeys((deed: WatchDeed) => {
    const top = topmost(words.alerts);
    switch (deed) {
      case "acknowledge": if (top !== null) void onDeed({ do: "acknowledge", n: top.n }); return;
      case "follow": place.follow?.(); return;
      case "mark": place.markHere(); return;
      case "nextStation": case "previousStation": place.walk("station", deed === "nextStation" ? 1 : -1); return;
      case "nextStrand": case "previousStrand": place.walk("strand", deed === "nextStrand" ? 1 : -1); return;
    }
  });
  // what is drawn is told to whoever measures it, and kept nowhere
  const onDrawn = (): void => {
    if (byS === null) return;
    performance.mark("aslaid:drawn", { detail: { byS } });
    performance.clearMarks("aslaid:drawn");
  };
  const isPaused = words.state === "paused" || words.state === "onHold", ofNewest = words.newest === null ? null : { ...words.newest, words: "Nothing is proven yet. The newest reading lies here." };
  const proven = words.resumeAt ?? ofNewest, proposal = answered ?? (proven === null ? null : { ...proven, overlapMm: sheet.overlapMm });
  const resume = proposal === null || !words.mayAsk ? null : <ResumeForm key={answered === null ? "" : `${answered.strand}-${answered.sMm}`} runId={runId} proposal={proposal} onAsked={() => setAnswered(null)} />;
  const isResumeFirst = isPaused || answered !== null;
  const picture = { findings: findingsHere, pick, selectedRank: null, onStation: choose, onFinding: toFinding };
  const newest = words.newest === null ? null : { layer: words.newest.layer, strand: words.newest.strand, station: words.newest.stationIndex };
  const target = <TargetView runId={runId} layers={layers} layer={pick.layer} pick={pick} findings={findings} nozzle={words.nozzle} newest={newest} newestAgeWords={words.ageWords} isOld={isOld} onStation={choose} />;
  const overLanes = (view: Window) => (layer === undefined ? null : <LaneOver layer={layer} view={view} nozzle={words.nozzle} newest={words.newest} stretch={place.stretch} />);
  const block = { sheet, state: words.state, layer: pick.layer, onLayer: place.chooseLayer };
  return (
    <main className={isOld ? "sheets live old" : "sheets live"}>
      <div className="sheet watch">
        <WatchHeader words={words} stamp={stampOf(sheet.head)} silentS={silentS} />
        <div className="watch-left">
          {layer === undefined ? null : <Picture layer={layer} layers={layers} target={target} frame={words.frames === null ? null : <LiveFrame runId={runId} frames={words.frames} layers={layers} pick={pick} />} {...picture} />}
          {printing ? layers.map((each) => <LanesPaper key={each.layer} layer={each} findings={findings.filter((finding) => finding.layer === each.layer)} pick={pick} selectedRank={null} />) : null}
          {printing || layer === undefined ? null : (
            <Lanes key={layer.layer} layer={layer} {...picture} room={LIVE_ROOM} onDrawn={onDrawn}
              over={overLanes}
              beside={<button type="button" className="mark" aria-pressed={place.marking.state !== "off"} onClick={() => place.setMarking(place.marking.state === "off" ? { state: "begun" } : NO_MARKING)}>Mark taken off</button>} />
          )}
        </div>
        <div className="watch-right">
          <LiveSection runId={runId} layers={layers} shape={sheet.beadShape} pick={pick} ageWords={words.ageWords} isFollowed={place.isFollowed} onFollow={place.follow} onPin={() => choose(pick)} />
          <PasteClock paste={words.paste} sinceS={silentS ?? 0} />
          <Heard runId={runId} words={words} />
          <SoundBar priority={soundOf(words.alerts)} isLost={silentS !== null} newest={words.alerts.reduce((most, { n }) => Math.max(most, n), 0)} />
          <div className="watch-tasks">
            <TakenOffForm runId={runId} marking={place.marking} onLeave={() => place.setMarking(NO_MARKING)} onKept={(kept) => { setAnswered(kept); place.setMarking(NO_MARKING); }} />
            {isResumeFirst ? resume : null}
            <Alerts alerts={words.alerts} more={words.moreAlerts} said={said} onDeed={onDeed} onShow={place.show} />
          </div>
          {words.isOver ? null : <PauseBar runId={runId} pauseAt={words.pauseAt} mayAsk={words.mayAsk} />}
          <LiveTitleBlock {...block} number={1} />
        </div>
      </div>
      <div className="sheet watch-basis">
        <WatchBasis runId={runId} words={words} layerCount={layers.length} resume={isResumeFirst ? null : resume} onFinding={toFinding} keysOn={keysOn} onKeys={onKeys} />
        <LiveTitleBlock {...block} number={2} />
        <SafetyNote />
      </div>
    </main>
  );
}
