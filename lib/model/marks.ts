/**
 * How a verdict and a finding are marked, everywhere in the program, in this order of importance: a letter, a pattern, a colour.
 * The records are total: a new verdict or kind does not compile until it has its mark. Alarm colours (IEC 60601-1-8: red, yellow, cyan)
 * belong to alerts and appear in none of them. Each colour holds at least 7 : 1 against the sheet it is drawn on.
 */
import type { FindingKind, Verdict } from "./result.ts";

/** Fills that can be told apart without colour; `none`: the stretch stays blank inside its outline. */
export const PATTERNS = ["none", "hatch", "crosshatch", "dots", "rings", "uprights", "waves", "squares", "zigzag"] as const;
export type Pattern = (typeof PATTERNS)[number];

export interface Mark {
  readonly letter: string;
  readonly pattern: Pattern;
  /** Ink on the light and on the dark sheet, #rrggbb. */
  readonly light: string;
  readonly dark: string;
  /** Sentence case, for lists and keys. */
  readonly label: string;
}

/** Grounds that the colours are chosen for; app/ draws its sheets in them. */
export const SHEET = { light: "#fbfaf5", dark: "#14181b" } as const;

const MAGENTA = { light: "#8f0f6b", dark: "#f49ad6" };
const BLUE = { light: "#144a9c", dark: "#9dbdfa" };
const BROWN = { light: "#7d3a00", dark: "#f0ac72" };
const GREEN = { light: "#0b5837", dark: "#7fd3a3" };
const VIOLET = { light: "#51349c", dark: "#c3b0fb" };
const INK = { light: "#45474a", dark: "#b9b9b1" };

export const FINDING_MARKS: Readonly<Record<FindingKind, Mark>> = {
  gap: { letter: "G", pattern: "none", ...MAGENTA, label: "Gap" },
  underExtrusion: { letter: "U", pattern: "hatch", ...BLUE, label: "Under-extrusion" },
  overExtrusion: { letter: "O", pattern: "dots", ...BROWN, label: "Over-extrusion" },
  liftedStrand: { letter: "L", pattern: "uprights", ...VIOLET, label: "Lifted strand" },
  displacedStrand: { letter: "D", pattern: "waves", ...GREEN, label: "Displaced strand" },
  unmeasured: { letter: "N", pattern: "none", ...INK, label: "Not seen" },
  detachedStrand: { letter: "T", pattern: "crosshatch", ...MAGENTA, label: "Detached strand" },
  strayMaterial: { letter: "S", pattern: "rings", ...BROWN, label: "Stray material" },
  closedPore: { letter: "P", pattern: "squares", ...BROWN, label: "Closed pore" },
  nozzleHang: { letter: "H", pattern: "none", ...BROWN, label: "Paste at the nozzle" },
  sensorsDisagree: { letter: "X", pattern: "zigzag", ...VIOLET, label: "Sensors disagree" },
  cameraPose: { letter: "C", pattern: "none", ...INK, label: "Camera off its place" },
};

export const VERDICT_MARKS: Readonly<Record<Verdict, Mark>> = {
  inBand: { letter: "B", pattern: "none", ...INK, label: "In band" },
  watch: { letter: "W", pattern: "none", ...INK, label: "Watch" },
  under: { ...FINDING_MARKS.underExtrusion, label: "Under" },
  over: { ...FINDING_MARKS.overExtrusion, label: "Over" },
  gap: FINDING_MARKS.gap,
  lifted: { ...FINDING_MARKS.liftedStrand, label: "Lifted" },
  displaced: { ...FINDING_MARKS.displacedStrand, label: "Displaced" },
  unmeasured: FINDING_MARKS.unmeasured,
  pending: { letter: "–", pattern: "none", ...INK, label: "Not laid yet" },
  removed: { letter: "R", pattern: "none", ...INK, label: "Taken off" },
};
