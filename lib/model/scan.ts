/** A scan of a finished run once its material had set, compared with what lay there wet. Its files lie in RECORD_FOLDERS.scans under its number. */

/** Why a laid station was not compared: covered by the layer above; not measured wet; not seen well enough in the scan; gone; at the edge of what is gone; pushed off its place. */
export const NOT_COMPARED = ["buried", "notSeenWet", "notSeenHard", "lost", "besideLoss", "moved"] as const;
export type NotCompared = (typeof NOT_COMPARED)[number];

/** A value with its standard uncertainty; null where nothing was compared. */
export interface WithU { readonly value: number; readonly u: number }

/** A stretch whose bead is gone: less than the job's `gapRatio` of what lay there wet. Half-way to the stations that still have one. */
export interface LostStretch { readonly fromMm: number; readonly toMm: number }

/** One strand, over the stations that were compared; hard is what the scan shows. */
export interface ScanStrand {
  readonly layer: number;
  readonly strand: number;
  readonly laidCount: number;
  readonly comparedCount: number;
  readonly notCompared: Readonly<Record<NotCompared, number>>;
  /** Length that the compared stations stand for. */
  readonly comparedMm: number;
  /** Visible volume over that length, mm³. */
  readonly wetMm3: number;
  readonly hardMm3: number;
  /** It lies on paste, which has shrunk as well: what sank beneath counts in its ratio and its changes. */
  readonly isOverPaste: boolean;
  /** Hard over wet area, both over what the strand was laid on as it was wet; on the target shrinkage of the section is 1 − ratio. */
  readonly areaRatio: WithU | null;
  readonly volumeChangeMm3: WithU | null;
  /** Mean of hard − wet. */
  readonly heightChangeMm: WithU | null;
  readonly offsetChangeMm: WithU | null;
  readonly lost: readonly LostStretch[];
  /** Visible volume that lay there wet, mm³. */
  readonly lostMm3: number;
}

/** How far the beads lie sideways from where they lay wet, as one shift of the whole scan across the strands, in `plan`. */
export interface ScanShift {
  readonly vectorMm: readonly [number, number, number];
  readonly sizeMm: number;
  /** Standard uncertainty of a station's part in it, mm. */
  readonly uMm: number;
  readonly stationCount: number;
}

/** scans/N/comparison.json */
export interface ScanComparison {
  readonly contract: "aslaid/1";
  readonly device: string;
  readonly profileCount: number;
  readonly strands: readonly ScanStrand[];
  /** Over the strands that lie on the target itself; null where none of them was compared. */
  readonly areaRatio: WithU | null;
  /** Over all strands. */
  readonly volumeChangeMm3: WithU | null;
  readonly lostMm3: number;
  /** As it was found; null: no offset was seen both times. */
  readonly shift: ScanShift | null;
  /** What was left of it after it was taken out and the scan was measured again, mm; null: it was under SHIFT_LEAST_MM, or not found, and stayed. */
  readonly shiftLeftMm: number | null;
}

/** A shift from here on is taken out, mm: what a curved target makes of less is far below the uncertainty of a ratio (measured: 0.5 % of area a hundredth of a mm on an angle of a mandible). */
export const SHIFT_LEAST_MM = 0.005;

/** A scan as it is kept. */
export interface KeptScan {
  /** From 1. */
  readonly n: number;
  /** When the material had set, and when the scan was added: ISO 8601. */
  readonly setAt: string;
  readonly addedAt: string;
  readonly addedBy: string;
  /** "": none. */
  readonly note: string;
  /** null: its file is not kept any more. */
  readonly comparison: ScanComparison | null;
}

/** A scan's file of profiles is at most so large, bytes: one look at one specimen, a quarter of what a whole run may have (common practice, no source). */
export const SCAN_MOST_BYTES = 4e9;
/** What a file of profiles may be called. */
export const SCAN_FILE = /\.(ndjson|arrow)$/;

/** A scan as the run's page lists it. */
export interface ScanLine { readonly n: number; readonly setAt: string; readonly addedBy: string; readonly note: string; readonly sentence: string }
