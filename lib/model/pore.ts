/** One place of a planned pore: a station of its strand and the one abreast of it. */
export interface PorePlace {
  readonly station: number;
  /** +1: the pore lies to the left of the strand, −1: to its right. */
  readonly side: 1 | -1;
  /** The nearest station of the neighbour and the neighbour's side that faces the pore. */
  readonly otherStation: number;
  readonly otherSide: 1 | -1;
  /** Lateral distance of the two centre lines, mm. */
  readonly betweenMm: number;
  /** The neighbour's lateral lengths are this much longer in the strand's section: 1 where both run alike. */
  readonly stretch: number;
  /** Planned clear width, flank to flank, mm. */
  readonly gapMm: number;
  /** Length along the strand that the station stands for, mm. */
  readonly lengthMm: number;
}

/** The pore between two neighbouring strands of a layer, or two legs of one strand. Indices into `StationPlan.strands`, the lower first. */
export interface PlannedPore {
  readonly strandIndex: number;
  readonly otherIndex: number;
  /** In order along the strand; where its neighbour ends or comes too close, places are missing. */
  readonly places: readonly PorePlace[];
}
