/** A stretch that a person marks as taken off, by two places on one strand. */
import type { StrandPlace } from "../../../../lib/model/liveSheet.ts";

export interface Stretch { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }

/** `begun`: the first place is awaited. `open`: the second one is. */
export type Marking =
  | { readonly state: "off" } | { readonly state: "begun" }
  | { readonly state: "open"; readonly start: StrandPlace }
  | { readonly state: "whole"; readonly stretch: Stretch };

export const NO_MARKING: Marking = { state: "off" };

/** Between two places of a strand, whichever came first. */
export function stretchOf(start: StrandPlace, sMm: number): Stretch {
  return { layer: start.layer, strand: start.strand, fromMm: Math.min(start.sMm, sMm), toMm: Math.max(start.sMm, sMm) };
}

/** A place was given: the start, then the end. A place on another strand begins there anew, the same place again changes nothing; after a whole stretch another one begins. */
export function marked(marking: Marking, place: StrandPlace): Marking {
  if (marking.state !== "open" || marking.start.layer !== place.layer || marking.start.strand !== place.strand) return { state: "open", start: { layer: place.layer, strand: place.strand, sMm: place.sMm } };
  return marking.start.sMm === place.sMm ? marking : { state: "whole", stretch: stretchOf(marking.start, place.sMm) };
}

/** What stands on the lane while it is marked; null: nothing yet. `here`: the chosen place. */
export function shownStretch(marking: Marking, here: StrandPlace | null): Stretch | null {
  if (marking.state === "whole") return marking.stretch;
  if (marking.state !== "open") return null;
  const { start } = marking;
  return stretchOf(start, here !== null && here.layer === start.layer && here.strand === start.strand ? here.sMm : start.sMm);
}
