/** Hard over wet section by strand, with its U: one thick dot a strand on a thin line at 1. */
import { DRAWING_WIDTH, type Drawing, type DrawingMark, type LineLook } from "../model/report.ts";
import type { ScanStrand, WithU } from "../model/scan.ts";

const HEIGHT_PT = 190, LEFT_PT = 44, RIGHT_PT = 12, TOP_PT = 16, BOTTOM_PT = 40;
const TEXT_PT = 8;
/** U = k u. */
const K = 2;
/** Strands that are named along the axis at most. */
const MOST_NAMES = 24;
/** Steps that a scale may have. */
const STEPS = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1];

type Compared = ScanStrand & { readonly areaRatio: WithU };

/** One drawing; none where no strand was compared. Strands are evenly spaced in their order, those that were not compared left blank. */
export function ratioDrawing(n: number, strands: readonly ScanStrand[]): Drawing[] {
  const compared = strands.flatMap((strand, i) => (strand.areaRatio === null ? [] : [{ i, strand: strand as Compared }]));
  if (compared.length === 0) return [];
  const ends = compared.flatMap(({ strand: { areaRatio: { value, u } } }) => [value - K * u, value + K * u]), low = Math.min(1, ...ends), high = Math.max(1, ...ends);
  const step = STEPS.find((one) => (high - low) / one <= 6) ?? 1, from = Math.floor(low / step) * step, to = Math.ceil(high / step + 1e-9) * step;
  const x = (i: number): number => LEFT_PT + (i + 0.5) / strands.length * (DRAWING_WIDTH - LEFT_PT - RIGHT_PT);
  const y = (ratio: number): number => TOP_PT + (to - ratio) / (to - from) * (HEIGHT_PT - TOP_PT - BOTTOM_PT);
  const count = Math.round((to - from) / step);
  const scale = Array.from({ length: count + 1 }, (_, k) => from + k * step).flatMap((ratio): DrawingMark[] => [
    line([LEFT_PT, y(ratio), DRAWING_WIDTH - RIGHT_PT, y(ratio)], Math.abs(ratio - 1) < 1e-9 ? "thin" : "grid"), words(LEFT_PT - 6, y(ratio) + TEXT_PT / 3, ratio.toFixed(2), "end"),
  ]);
  const least = compared.reduce((p, q) => (q.strand.areaRatio.value < p.strand.areaRatio.value ? q : p)).strand, most = compared.reduce((p, q) => (q.strand.areaRatio.value > p.strand.areaRatio.value ? q : p)).strand;
  const told = ({ layer, strand, areaRatio }: Compared): string => `${areaRatio.value.toFixed(3)} (strand ${strand} of layer ${layer})`;
  return [{
    id: `later-${n}-ratio`, title: "Hard over wet section, strand by strand", width: DRAWING_WIDTH, height: HEIGHT_PT, scaleWords: "not to scale",
    alt: `Ratio of hard to wet visible section for ${compared.length} of ${strands.length} strands, with U. From ${told(least)} to ${told(most)}; the line at 1 means unchanged.`,
    marks: [
      ...scale, ...compared.flatMap(({ i, strand }) => strandMarks(x(i), y, strand.areaRatio)), ...names(strands, x),
      words(LEFT_PT, TOP_PT - 6, "hard : wet; bars: U (k = 2); thin line at 1: unchanged", "start"),
    ],
  }];
}

function strandMarks(x: number, y: (ratio: number) => number, { value, u }: WithU): DrawingMark[] {
  const [low, high, here] = [y(value - K * u), y(value + K * u), y(value)];
  return [line([x, low, x, high], "thin"), line([x - 3, low, x + 3, low], "thin"), line([x - 3, high, x + 3, high], "thin"), line([x - 3.5, here, x + 3.5, here], "thick")];
}

/** Layer and strand below the axis; where there are many, every so manieth. */
function names(strands: readonly ScanStrand[], x: (i: number) => number): DrawingMark[] {
  const every = Math.ceil(strands.length / MOST_NAMES), y = HEIGHT_PT - BOTTOM_PT + 14;
  return [
    ...strands.flatMap(({ layer, strand }, i) => (i % every === 0 ? [words(x(i), y, `${layer}/${strand}`, "middle")] : [])),
    words(LEFT_PT, y + 16, "layer/strand; blank: not compared", "start"),
  ];
}

const hundredth = (value: number): number => Math.round(100 * value) / 100;

function line(points: readonly number[], look: LineLook): DrawingMark {
  return { kind: "path", points: points.map(hundredth), look, fill: "none", closed: false };
}

function words(x: number, y: number, text: string, anchor: "start" | "middle" | "end"): DrawingMark {
  return { kind: "text", x: hundredth(x), y: hundredth(y), text, size: TEXT_PT, anchor, bold: false, quiet: false };
}
