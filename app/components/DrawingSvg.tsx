import type { CSSProperties } from "react";
import { BLANK_OUTLINES, LINE_STYLES, TAG_BOX, TAG_LETTER, TILE_SCALE } from "../../lib/model/drawingLooks.ts";
import { VERDICT_MARKS } from "../../lib/model/marks.ts";
import type { Mark } from "../../lib/model/marks.ts";
import type { Drawing, DrawingMark, Fill } from "../../lib/model/report.ts";
import { noPictureWords, scaleOnScreen } from "../../lib/model/reportTitle.ts";
import { picturePath } from "../../lib/model/frameView.ts";
import type { Verdict } from "../../lib/model/result.ts";
import "./drawing.css";
import { MarkPatterns } from "./MarkPatterns.tsx";

type Path = Extract<DrawingMark, { kind: "path" }>;

/** The verdict whose pattern fills it; null: bone, a band or nothing. */
function verdictOf(fill: Fill): Verdict | null {
  return fill === "none" || fill === "bone" || fill === "band" ? null : fill;
}

/** Points to a hundredth of a unit, which no eye tells apart. */
function pathText({ points, closed }: Path): string {
  const pairs = Array.from({ length: points.length >> 1 }, (_, i) => `${Number((points[2 * i] as number).toFixed(2))} ${Number((points[2 * i + 1] as number).toFixed(2))}`);
  return pairs.length === 0 ? "" : `M${pairs.join("L")}${closed ? "Z" : ""}`;
}

function PathMark({ mark, prefix }: { readonly mark: Path; readonly prefix: string }) {
  const d = pathText(mark), verdict = verdictOf(mark.fill), line = LINE_STYLES[mark.look];
  const outline = verdict === null ? null : BLANK_OUTLINES[verdict];
  const isPatterned = verdict !== null && VERDICT_MARKS[verdict].pattern !== "none";
  return (
    <>
      {isPatterned ? <path d={d} fill={`url(#${prefix}-${verdict})`} /> : null}
      {mark.fill === "bone" || mark.fill === "band" ? <path d={d} className={`fill-${mark.fill}`} /> : null}
      {outline === null ? null : <path d={d} className="blank-outline" style={{ "--mark": `var(--mark-${verdict})` } as CSSProperties} strokeWidth={outline.width} strokeDasharray={outline.dash.join(" ")} />}
      {line === null ? null : <path d={d} className={`line-${line.ink}`} strokeWidth={line.width} strokeDasharray={line.dash.length === 0 ? undefined : line.dash.join(" ")} />}
    </>
  );
}

/** Pixels of a kept picture, over words that are seen where it is kept no more. */
function ImageMark({ mark: { x, y, width, height, file, sha256, picturePx, cropPx: [left, top, wide, high] }, runId }: { readonly mark: Extract<DrawingMark, { kind: "image" }>; readonly runId: string }) {
  return (
    <>
      <rect className="fill-band" x={x} y={y} width={width} height={height} />
      <text x={x + width / 2} y={y + height / 2} fontSize={9} textAnchor="middle">{noPictureWords(file)}</text>
      <svg x={x} y={y} width={width} height={height} viewBox={`${left - 0.5} ${top - 0.5} ${wide} ${high}`} preserveAspectRatio="none">
        <image href={picturePath(runId, sha256)} x={-0.5} y={-0.5} width={picturePx[0]} height={picturePx[1]} preserveAspectRatio="none" />
      </svg>
    </>
  );
}

function MarkShape({ mark, prefix, runId }: { readonly mark: DrawingMark; readonly prefix: string; readonly runId: string }) {
  switch (mark.kind) {
    case "image": return <ImageMark mark={mark} runId={runId} />;
    case "path": return <PathMark mark={mark} prefix={prefix} />;
    case "text": return (
      <text x={mark.x} y={mark.y} fontSize={mark.size} textAnchor={mark.anchor} className={mark.quiet ? "quiet" : undefined} fontWeight={mark.bold ? 700 : undefined}>{mark.text}</text>
    );
    case "tag": return (
      <g className="drawing-tag" style={{ "--mark": `var(--mark-${mark.verdict})` } as CSSProperties}>
        <rect x={mark.x - TAG_BOX / 2} y={mark.y - TAG_BOX / 2} width={TAG_BOX} height={TAG_BOX} />
        <text x={mark.x} y={mark.y + TAG_LETTER * 0.35} fontSize={TAG_LETTER}>{mark.letter}</text>
      </g>
    );
  }
}

/** Marks of the verdicts whose patterns the drawing needs. */
function patternsOf(drawing: Drawing): Partial<Record<Verdict, Mark>> {
  const verdicts = new Set(drawing.marks.map((mark) => (mark.kind === "path" ? verdictOf(mark.fill) : null)).filter((verdict) => verdict !== null));
  return Object.fromEntries([...verdicts].filter((verdict) => VERDICT_MARKS[verdict].pattern !== "none").map((verdict) => [verdict, VERDICT_MARKS[verdict]]));
}

/** On a narrow screen a wider drawing scrolls within itself, so that its words can still be read; the keyboard reaches it there. */
const NARROW = 340;

/** A report's drawing: its title and its scale (on paper) over it, one picture with its alternative text, never wider than its column. */
export function DrawingSvg({ drawing, runId = "" }: { readonly drawing: Drawing; /** Whose pictures it may hold; "": it has none. */ readonly runId?: string }) {
  const { id, title, alt, width, height, scaleWords, marks } = drawing, prefix = `drawing-${id}`, isWide = width > NARROW;
  return (
    <figure className="report-drawing" id={prefix}>
      <figcaption><span>{title}</span><span>{scaleOnScreen(scaleWords)}</span></figcaption>
      <div className="drawing-room" {...(isWide ? { tabIndex: 0, role: "group", "aria-label": title } : {})}>
        <svg viewBox={`-1 -1 ${width + 2} ${height + 2}`} role="img" aria-label={alt} style={{ "--wide": width } as CSSProperties}>
          <MarkPatterns prefix={prefix} marks={patternsOf(drawing)} scale={TILE_SCALE} />
          {marks.map((mark, i) => <MarkShape key={i} mark={mark} prefix={prefix} runId={runId} />)}
        </svg>
      </div>
    </figure>
  );
}
