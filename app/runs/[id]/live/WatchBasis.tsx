"use client";
import type { ReactNode } from "react";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import { AutoPause } from "./AutoPause.tsx";
import { Commands } from "./Commands.tsx";
import { EndForm } from "./EndForm.tsx";
import { Health } from "./Health.tsx";
import { LiveFindings } from "./LiveFindings.tsx";
import { WatchKeys } from "./WatchKeys.tsx";

interface Props {
  readonly runId: string;
  readonly words: LiveWords;
  readonly layerCount: number;
  /** null: it stands on the first sheet, or nothing can be asked. */
  readonly resume: ReactNode;
  readonly onFinding: (rank: number) => void;
  readonly keysOn: boolean;
  readonly onKeys: (on: boolean) => void;
}

/** What the watch rests on: findings, requests and their lives, keeping and measuring, keys, and the end of a run whose cell is gone. */
export function WatchBasis({ runId, words, layerCount, resume, onFinding, keysOn, onKeys }: Props) {
  return (
    <div className="basis-parts">
      <LiveFindings words={words} layerCount={layerCount} onFinding={onFinding} />
      <Commands commands={words.commands} />
      <Health facts={words.health} />
      {resume === null ? null : <section className="live-part" aria-labelledby="resume-title"><h2 id="resume-title">Resume at a place</h2>{resume}</section>}
      {words.isOver ? null : <AutoPause runId={runId} autoPause={words.autoPause} />}
      <WatchKeys on={keysOn} onChange={onKeys} />
      {words.mayAsk ? <div className="live-part"><EndForm runId={runId} /></div> : null}
    </div>
  );
}
