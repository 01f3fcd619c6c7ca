import type { PlannedPore, PorePlace } from "../model/pore.ts";
import type { Reading } from "../model/reading.ts";
import type { Point, PoreFinding } from "../model/result.ts";
import type { StrandStations } from "../model/stations.ts";

/** A pore is closed where less than this share of its planned width is left open, as a gap is where less than that is left of a bead (common practice, no source). */
export const CLOSED_SHARE = 0.25;
/** Shortest closed stretch that is a finding, in bead widths. */
const LEAST_WIDTHS = 1;

interface Context {
  readonly strands: readonly StrandStations[];
  /** The reading that stands; null: none. */
  readonly readingAt: (strandIndex: number, station: number) => Reading | null;
  /** Guard factor of the decision rule. */
  readonly guard: number;
}

/** What is left open at one place: NaN where that was not seen. */
interface Open { readonly place: PorePlace; readonly openMm: number; readonly proven: boolean }

/** Closed pores, each stretch a finding, along the lower of its two strands. Nothing is closed that was not seen. */
export function judgePores(pores: readonly PlannedPore[], context: Context): PoreFinding[] {
  return pores.flatMap((pore) => {
    const strand = context.strands[pore.strandIndex] as StrandStations;
    const open = pore.places.map((place) => openAt(pore, place, context));
    return closedStretches(open, strand).map((stretch) => findingOf(stretch, strand));
  });
}

function openAt(pore: PlannedPore, place: PorePlace, { strands, readingAt, guard }: Context): Open {
  const own = sideOf(readingAt(pore.strandIndex, place.station), place.side);
  const other = sideOf(readingAt(pore.otherIndex, place.otherStation), place.otherSide);
  const half = place.betweenMm / 2;
  const mine = leftOpen(own, half, (strands[pore.strandIndex] as StrandStations).widthMm[place.station] as number);
  const theirs = leftOpen(other, half / place.stretch, (strands[pore.otherIndex] as StrandStations).widthMm[place.otherStation] as number) * place.stretch;
  const openMm = mine + theirs;
  const covered = own.pasteFraction === 1 && other.pasteFraction === 1;
  return { place, openMm, proven: covered || openMm + guard * Math.hypot(own.uFlankMm, other.uFlankMm) < CLOSED_SHARE * place.gapMm };
}

/** One side of a bead: its flank's distance from the planned centre line and that distance's uncertainty, or how much of the way to half-way paste covers; NaN: not seen. */
interface Side { readonly flankMm: number; readonly uFlankMm: number; readonly pasteFraction: number }

const UNSEEN: Side = { flankMm: Number.NaN, uFlankMm: Number.NaN, pasteFraction: Number.NaN };

function sideOf(reading: Reading | null, side: 1 | -1): Side {
  if (reading === null) return UNSEEN;
  const uFlankMm = reading.uWidthMm * Math.SQRT1_2; // a width is the distance of two flanks
  return side > 0 ? { flankMm: reading.leftFlankMm, uFlankMm, pasteFraction: reading.leftPasteFraction } : { flankMm: -reading.rightFlankMm, uFlankMm, pasteFraction: reading.rightPasteFraction };
}

/** Open width between a bead's flank and half-way to its neighbour; where the flank is hidden, what paste was seen not to cover. */
function leftOpen(side: Side, halfMm: number, widthMm: number): number {
  return side.flankMm === side.flankMm ? halfMm - side.flankMm : (1 - side.pasteFraction) * (halfMm - widthMm / 2);
}

/** Runs of closed places; a run goes on over up to one bead width of places that nobody saw, which count for nothing. */
function closedStretches(open: readonly Open[], strand: StrandStations): Open[][] {
  const stretches: Open[][] = [];
  let run: Open[] = [];
  const at = (one: Open): number => strand.sMm[one.place.station] as number;
  const end = (): void => {
    const [first] = run;
    const lengthMm = run.reduce((sum, one) => sum + one.place.lengthMm, 0);
    if (first !== undefined && lengthMm >= LEAST_WIDTHS * (strand.widthMm[first.place.station] as number) - 1e-9) stretches.push(run);
    run = [];
  };
  for (const one of open) {
    const last = run[run.length - 1];
    if (last !== undefined && at(one) - at(last) > Math.max(strand.widthMm[last.place.station] as number, one.place.lengthMm) + 1e-9) end();
    if (one.openMm < CLOSED_SHARE * one.place.gapMm) run.push(one);
    else if (one.openMm === one.openMm) end();
  }
  end();
  return stretches;
}

function findingOf(stretch: readonly Open[], strand: StrandStations): PoreFinding {
  const share = (one: Open): number => one.openMm / one.place.gapMm;
  const worst = stretch.reduce((a, b) => (share(b) < share(a) ? b : a));
  const { place } = stretch[Math.floor(stretch.length / 2)] as Open;
  return {
    kind: "closedPore", severity: "watch", proven: worst.proven, layer: strand.layer, strand: strand.strand, position: middleOf(place, strand),
    areaMm2: stretch.reduce((sum, one) => sum + one.place.gapMm * one.place.lengthMm, 0),
  };
}

/** The middle of the pore between the planned flanks, on the level of the plan points. */
function middleOf({ station, side, gapMm }: PorePlace, strand: StrandStations): Point {
  const aside = side * ((strand.widthMm[station] as number) + gapMm) / 2;
  const at = (k: number): number => (strand.frames[12 * station + k] as number) + aside * (strand.frames[12 * station + 9 + k] as number);
  return [at(0), at(1), at(2)];
}
