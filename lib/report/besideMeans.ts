/** What each strand came to on both sides, drawn and in a table. Pure; only for results of one plan. */
import type { BesideMeans } from "../model/beside.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark, type ReportTable } from "../model/report.ts";
import type { StrandMean } from "../model/strandMean.ts";
import { difference } from "./valueWords.ts";

interface Pair { readonly layer: number; readonly strand: number; readonly a: StrandMean | null; readonly b: StrandMean | null }

function pairsOf(a: readonly StrandMean[], b: readonly StrandMean[]): Pair[] {
  const keyOf = ({ layer, strand }: StrandMean): string => `${layer}/${strand}`;
  const ofA = new Map(a.map((each) => [keyOf(each), each])), ofB = new Map(b.map((each) => [keyOf(each), each]));
  const all = [...new Map([...a, ...b].map((each) => [keyOf(each), each])).values()].sort((p, q) => p.layer - q.layer || p.strand - q.strand);
  return all.map((each) => ({ layer: each.layer, strand: each.strand, a: ofA.get(keyOf(each)) ?? null, b: ofB.get(keyOf(each)) ?? null }));
}

const HEIGHT = 150;
const FRAME = { left: 34, right: DRAWING_WIDTH - 8, top: 10, bottom: HEIGHT - 24 } as const;
const TEXT_SIZE = 7.5;
/** So much above and below what is shown, and at least so much around the plan. */
const LEAST_SPAN = 0.02;

/** Lines through neighbouring strands of one layer; a strand that was not measured parts them. */
function lineMarks(pairs: readonly Pair[], of: (pair: Pair) => number | null, at: { readonly x: (i: number) => number; readonly y: (ratio: number) => number }, look: "thin" | "thick"): DrawingMark[] {
  const lines: number[][] = [];
  let layer = 0;
  pairs.forEach((pair, i) => {
    const ratio = of(pair);
    if (ratio === null || pair.layer !== layer || lines.length === 0) lines.push([]);
    layer = ratio === null ? 0 : pair.layer;
    if (ratio !== null) lines.at(-1)?.push(at.x(i), at.y(ratio));
  });
  const strokes = lines.filter((points) => points.length > 2).map((points): DrawingMark => ({ kind: "path", points, look, fill: "none", closed: false }));
  const size = look === "thin" ? 2.6 : 1.4; // A hollow and larger, B small and heavy: both are seen where they coincide
  const dots = lines.flatMap((points) => Array.from({ length: points.length >> 1 }, (_, i): DrawingMark => {
    const [x, y] = [points[2 * i] as number, points[2 * i + 1] as number];
    return { kind: "path", points: [x - size, y, x, y - size, x + size, y, x, y + size], look, fill: "none", closed: true };
  }));
  return [...strokes, ...dots];
}

function drawingOf(pairs: readonly Pair[]): Drawing {
  const ratios = pairs.flatMap(({ a, b }) => [a?.areaRatio ?? null, b?.areaRatio ?? null]).filter((ratio) => ratio !== null);
  const low = Math.min(1 - LEAST_SPAN, ...ratios) - LEAST_SPAN / 2, high = Math.max(1 + LEAST_SPAN, ...ratios) + LEAST_SPAN / 2;
  const x = (i: number): number => FRAME.left + (i + 0.5) / Math.max(1, pairs.length) * (FRAME.right - FRAME.left);
  const y = (ratio: number): number => FRAME.bottom - (ratio - low) / (high - low) * (FRAME.bottom - FRAME.top);
  const text = (words: string, atX: number, atY: number, anchor: "start" | "middle" | "end"): DrawingMark => ({ kind: "text", x: atX, y: atY, text: words, size: TEXT_SIZE, anchor, bold: false, quiet: true });
  const level = (ratio: number, look: "grid" | "centre"): DrawingMark[] => [
    { kind: "path", points: [FRAME.left, y(ratio), FRAME.right, y(ratio)], look, fill: "none", closed: false }, text(ratio.toFixed(2), FRAME.left - 4, y(ratio) + TEXT_SIZE / 3, "end"),
  ];
  const layers = [...new Set(pairs.map(({ layer }) => layer))].map((layer) => ({ layer, from: pairs.findIndex((pair) => pair.layer === layer), to: pairs.findLastIndex((pair) => pair.layer === layer) }));
  return {
    id: "beside-means", title: "Mean area ratio, strand by strand · A thin and hollow, B thick", scaleWords: "not to scale", width: DRAWING_WIDTH, height: HEIGHT,
    alt: `Mean measured over planned area of ${pairs.length} strands on both sides, from ${low.toFixed(2)} to ${high.toFixed(2)}; the numbers stand in the table below.`,
    marks: [
      ...level(low, "grid"), ...level(1, "centre"), ...level(high, "grid"),
      ...layers.slice(1).map(({ from }): DrawingMark => ({ kind: "path", points: [x(from - 0.5), FRAME.top, x(from - 0.5), FRAME.bottom], look: "grid", fill: "none", closed: false })),
      ...layers.map(({ layer, from, to }) => text(`layer ${layer}, strands 1 to ${to - from + 1}`, x((from + to) / 2), HEIGHT - 8, "middle")),
      ...lineMarks(pairs, ({ a }) => a?.areaRatio ?? null, { x, y }, "thin"), ...lineMarks(pairs, ({ b }) => b?.areaRatio ?? null, { x, y }, "thick"),
    ],
  };
}

/** Rows that are spelled out; of more, those that differ most. */
const MOST_ROWS = 60;

type Quantity = "areaRatio" | "widthDevMm" | "heightDevMm" | "offsetMm";
const QUANTITIES: readonly { readonly key: Quantity; readonly title: string; readonly digits: number; readonly isSigned: boolean }[] = [
  { key: "areaRatio", title: "area ratio", digits: 3, isSigned: false }, { key: "widthDevMm", title: "width against plan, mm", digits: 3, isSigned: true },
  { key: "heightDevMm", title: "height against plan, mm", digits: 3, isSigned: true }, { key: "offsetMm", title: "offset, mm", digits: 3, isSigned: true },
];

const differenceOf = ({ a, b }: Pair, key: Quantity): number | null => {
  const [ofA, ofB] = [a?.[key] ?? null, b?.[key] ?? null];
  return ofA === null || ofB === null ? null : ofB - ofA;
};

function cells(pair: Pair): string[] {
  return QUANTITIES.flatMap(({ key, digits, isSigned }) => {
    const shown = (value: number | null, withSign: boolean): string => (value === null ? "–" : withSign ? difference(value, digits) : value.toFixed(digits));
    return [shown(pair.a?.[key] ?? null, isSigned), shown(pair.b?.[key] ?? null, isSigned), shown(differenceOf(pair, key), true)];
  });
}

function tableOf(pairs: readonly Pair[]): ReportTable {
  const sizeOf = (pair: Pair): number => Math.abs(differenceOf(pair, "areaRatio") ?? 0);
  const isAll = pairs.length <= MOST_ROWS, shown = isAll ? pairs : pairs.toSorted((p, q) => sizeOf(q) - sizeOf(p)).slice(0, MOST_ROWS);
  return {
    caption: isAll ? "Means of each strand over its measured stations, and B − A" : `The ${MOST_ROWS} of ${pairs.length} strands whose mean area ratios differ most; means over measured stations, and B − A`,
    columns: [{ title: "layer", isNumber: true }, { title: "strand", isNumber: true }, ...QUANTITIES.flatMap(({ title }) => ["A", "B", "B − A"].map((side) => ({ title: `${title} · ${side}`, isNumber: true })))],
    rows: shown.map((pair) => [String(pair.layer), String(pair.strand), ...cells(pair)]),
  };
}

/** null: nothing is kept of one of the two. */
export function besideMeans(a: readonly StrandMean[], b: readonly StrandMean[]): BesideMeans | null {
  if (a.length === 0 || b.length === 0) return null;
  const pairs = pairsOf(a, b);
  return { drawing: drawingOf(pairs), table: tableOf(pairs) };
}
