"use client";
import { useEffect, useRef, useState, type CSSProperties, type ReactNode } from "react";
import { FRAME_STYLES } from "../../../../lib/model/drawingLooks.ts";
import type { FrameDrawing, FrameLine, FrameTag } from "../../../../lib/model/frameView.ts";
import { useBox } from "../../../components/target/useBox.ts";

function pathText({ points, closed }: FrameLine): string {
  const pairs = Array.from({ length: points.length >> 1 }, (_, i) => `${points[2 * i]} ${points[2 * i + 1]}`);
  return pairs.length === 0 ? "" : `M${pairs.join("L")}${closed ? "Z" : ""}`;
}

/** A dark line on a light casing, which reads over any picture. */
function Line({ line }: { readonly line: FrameLine }) {
  const d = pathText(line), { width, dash } = FRAME_STYLES[line.look];
  return (
    <>
      <path d={d} className="frame-casing" strokeWidth={width + 2.4} />
      <path d={d} className="frame-line" strokeWidth={width} strokeDasharray={dash.length === 0 ? undefined : dash.join(" ")} />
    </>
  );
}

/** Letters have a box, words stand free; both beside their place. `perPx`: px of the picture in one of the screen. */
function Tag({ tag: { x, y, text }, perPx }: { readonly tag: FrameTag; readonly perPx: number }) {
  const isLetter = text.length === 1;
  return (
    <g transform={`translate(${x} ${y}) scale(${perPx})`}>
      {isLetter ? <><path className="frame-casing" strokeWidth={3} d="M0 0L9 -13" /><path className="frame-line" strokeWidth={1} d="M0 0L9 -13" /><rect className="frame-box" x={6} y={-34} width={20} height={20} /></> : null}
      <text className={isLetter ? "frame-letter" : "frame-words"} x={isLetter ? 16 : 6} y={isLetter ? -19 : 4}>{text}</text>
    </g>
  );
}

interface Props {
  /** null: kept no more. */
  readonly src: string | null;
  readonly alt: string;
  readonly widthPx: number;
  readonly heightPx: number;
  /** null: nothing is drawn over it. */
  readonly drawing: FrameDrawing | null;
  /** How much larger than its room, from 1. */
  readonly zoom: number;
  /** What is brought to the middle where the picture is larger than its room, px of the picture; null: nothing. */
  readonly focus: readonly [number, number] | null;
  /** Drawn over everything, in px of the picture. */
  readonly over?: ReactNode;
}

/** A camera frame with its lines. Its room scrolls where it is enlarged. */
export function FramePicture({ src, alt, widthPx, heightPx, drawing, zoom, focus, over }: Props) {
  const room = useRef<HTMLDivElement>(null), whole = useRef<HTMLDivElement>(null), box = useBox(whole), [gone, setGone] = useState<string | null>(null);
  const [x, y] = focus ?? [null, null], perPx = box === null ? 1 : widthPx / box.widthPx;
  useEffect(() => {
    const at = room.current;
    if (at === null || x === null || y === null) return;
    const [wide, high] = [zoom * at.clientWidth, zoom * at.clientWidth * heightPx / widthPx];
    at.scrollTo({ left: x / widthPx * wide - at.clientWidth / 2, top: y / heightPx * high - at.clientHeight / 2 });
  }, [x, y, zoom, widthPx, heightPx]);
  return (
    <div ref={room} className="frame-room" style={{ "--ratio": `${widthPx} / ${heightPx}` } as CSSProperties}>
      <div ref={whole} className="frame-whole" style={{ width: `${100 * zoom}%`, aspectRatio: `${widthPx} / ${heightPx}` }}>
        {/* a kept picture, sent as it came: nothing to optimise */}
        {/* oxlint-disable-next-line next/no-img-element */}
        {src === null || gone === src ? <p className="frame-none">The picture is not kept any more.</p> : <img src={src} alt={alt} width={widthPx} height={heightPx} onError={() => setGone(src)} />}
        <svg viewBox={`-0.5 -0.5 ${widthPx} ${heightPx}`} aria-hidden="true">
          {drawing?.lines.map((line, i) => <Line key={i} line={line} />)}
          {drawing?.tags.map((tag, i) => <Tag key={i} tag={tag} perPx={perPx} />)}
          {over}
        </svg>
      </div>
    </div>
  );
}
