/** What is known of a live print beside its readings and findings: where the nozzle is, what must have been seen by now, whether paste is coming at all. */

/** The nozzle by its newest progress. */
export interface NozzleFacts {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly tS: number;
  /** Between the start and the end of the strand. */
  readonly isLaying: boolean;
  readonly lengthMm: number;
  /** Paste lies from the nozzle's place on without a gap up to here, mm: where a stretch is laid again, it goes on behind it. */
  readonly laidToMm: number;
  /** No strand of its layer that comes after it is still to be laid. */
  readonly isLastOfLayer: boolean;
  /** The first strand after it that is still to be laid, and how far it is laid, mm; null: there is none. */
  readonly next: { readonly layer: number; readonly strand: number; readonly sMm: number } | null;
  /** Laying what is not laid up to the strand's, the layer's and the plan's end at the planned speed, moves between strands not counted, s. */
  readonly toStrandEndS: number;
  readonly toLayerEndS: number;
  readonly toPlanEndS: number;
  /** How far the furthest station of this strand that was seen lies behind it, mm; null: none was. */
  readonly behindMm: number | null;
}

/** Stations of one layer: laid; of those such that must have been seen by now; and of those the ones that were. */
export interface LayerSeen { readonly layer: number; readonly laidCount: number; readonly dueCount: number; readonly seenCount: number }

/** A strand that is being laid and is not seen though it must be by now, and how far beyond that place the nozzle is, mm along the path laid. */
export interface UnseenStrand { readonly layer: number; readonly strand: number; readonly overdueMm: number }

/** Where no paste lies though it was laid, at the newest end of what was seen of a strand. */
export interface EarlyWord { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }

export interface LiveFacts {
  /** null: no progress yet. */
  readonly nozzle: NozzleFacts | null;
  /** Layers that were begun. */
  readonly layers: readonly LayerSeen[];
  readonly unseen: UnseenStrand | null;
  readonly early: EarlyWord | null;
}
export const NO_FACTS: LiveFacts = { nozzle: null, layers: [], unseen: null, early: null };
