"use client";
import { useState } from "react";
import type { LiveWords, StrandPlace } from "../../../../lib/model/liveSheet.ts";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";
import { pickAt, pickOfLayer, stepped, strandOf, type StationPick } from "../picks.ts";
import { NO_MARKING, marked, shownStretch, type Marking, type Stretch } from "./marking.ts";

export interface Place {
  /** The station that is shown: the newest one until another is chosen. */
  readonly pick: StationPick;
  readonly isFollowed: boolean;
  /** null: the newest one is followed already, or there is none. */
  readonly follow: (() => void) | null;
  readonly choose: (pick: StationPick) => void;
  readonly chooseLayer: (layer: number) => void;
  readonly show: (place: StrandPlace) => void;
  readonly walk: (what: "station" | "strand", by: 1 | -1) => void;
  readonly marking: Marking;
  readonly setMarking: (marking: Marking) => void;
  /** The chosen station is the next place of what is marked. */
  readonly markHere: () => void;
  /** What is drawn of the marking. */
  readonly stretch: Stretch | null;
}

/** Where the page looks, and what is being marked there. */
export function usePlace(layers: readonly SheetLayer[], { newest }: LiveWords): Place {
  const [own, setOwn] = useState<StationPick | null>(null);
  const [marking, setMarking] = useState<Marking>(NO_MARKING);
  const first = layers[0]?.strands[0];
  const ofNewest: StationPick | null = newest === null ? null : { layer: newest.layer, strand: newest.strand, station: newest.stationIndex };
  const pick = own ?? ofNewest ?? { layer: first?.layer ?? 1, strand: first?.strand ?? 1, station: 0 };
  const placeOf = (at: StationPick): StrandPlace | null => {
    const sMm = strandOf(layers, at)?.sMm[at.station];
    return sMm === undefined ? null : { layer: at.layer, strand: at.strand, sMm };
  };
  const mark = (at: StationPick): void => {
    const place = placeOf(at);
    setOwn(at); // the newest one runs on: what is marked stays
    if (place !== null) setMarking(marked(marking, place));
  };
  return {
    pick, isFollowed: own === null && newest !== null, follow: own === null || newest === null ? null : () => setOwn(null),
    choose: (at) => { if (marking.state === "begun" || marking.state === "open") mark(at); else setOwn(at); },
    chooseLayer: (layer) => setOwn(pickOfLayer(layers, layer) ?? pick),
    show: (place) => { setOwn(pickAt(layers, place)); },
    walk: (what, by) => setOwn(stepped(layers, pick, what, by) ?? pick),
    marking, setMarking, markHere: () => mark(pick), stretch: shownStretch(marking, placeOf(pick)),
  };
}
