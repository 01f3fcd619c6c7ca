/** What the measuring side of a report is made of. */
import type { FrameScene } from "../../formula/frameDrawing.ts";
import type { FrameResult } from "../../model/frame.ts";
import type { FrameDrawing } from "../../model/frameView.ts";
import type { Job } from "../../model/job.ts";
import type { Plan } from "../../model/plan.ts";
import type { ReportSection } from "../../model/report.ts";
import type { Finding, StationResult, Summary } from "../../model/result.ts";
import type { SectionCut } from "../../model/sectionCut.ts";
import type { Sheet } from "../../model/sheet.ts";
import type { StrandMean } from "../../model/strandMean.ts";

/** A frame with its lines over it, and what names its kept picture. */
export interface FramedPicture { readonly drawing: FrameDrawing; readonly sha256: string }

export interface BodyInput {
  /** Strands unrolled and findings in words, as screens show them. */
  readonly sheet: Sheet;
  /** As used; null: what is kept of it cannot be read any more. */
  readonly job: Job | null;
  readonly plan: Pick<Plan, "strands"> | null;
  /** Newest attempts, in order of layer, strand and s. */
  readonly stations: readonly StationResult[];
  readonly earlierAttempts: readonly StationResult[];
  readonly findings: readonly Finding[];
  readonly summary: Summary;
  /** In order of time. */
  readonly frames: readonly FrameResult[];
  /** A frame's lines and its kept picture; null: the camera's place or the picture is not known. */
  readonly framed: (frame: FrameResult, over: Pick<FrameScene, "letters" | "chosen">) => FramedPicture | null;
  /** Empty: a result from before they were kept. */
  readonly means: readonly StrandMean[];
  /** What was said of the plan before the print; null: not kept. */
  readonly preflightSentence: string | null;
  /** `station`: place in the strand, from 0; null: no section is kept. */
  readonly cutAt: (layer: number, strand: number, attempt: number, station: number) => SectionCut | null;
  /** Made elsewhere: the whole top surface. */
  readonly more: readonly ReportSection[];
}

/** Stations of each strand, in order. */
export function byStrand(stations: readonly StationResult[]): StationResult[][] {
  const groups: StationResult[][] = [];
  for (const station of stations) {
    const group = groups.at(-1), last = group?.[0];
    if (group !== undefined && last?.layer === station.layer && last.strand === station.strand) group.push(station);
    else groups.push([station]);
  }
  return groups;
}

/** Length that each station of one strand stands for: half the way to its neighbours, mm. */
export function shares(strand: readonly StationResult[]): number[] {
  return strand.map((at, i) => ((strand[i + 1] ?? at).sMm - (strand[i - 1] ?? at).sMm) / 2);
}

export const layersOf = (stations: readonly StationResult[]): number[] => [...new Set(stations.map(({ layer }) => layer))];
