"use client";
import { useRef, useState, type FormEvent, type PointerEvent } from "react";
import type { Camera } from "../../../../lib/model/job.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { FramePicture } from "../frames/FramePicture.tsx";
import { sendForm } from "../sendForm.ts";

type Rect = readonly [number, number, number, number];
const SIDES = ["left", "top", "right", "bottom"] as const;
/** A smaller rectangle holds too few pixels to learn from, px. */
const LEAST_PX = 3;

const ordered = ([a, b, c, d]: Rect): Rect => [Math.min(a, c), Math.min(b, d), Math.max(a, c), Math.max(b, d)];

/** Where a pointer is, in whole px of the picture, held inside it. */
function placeOf(event: PointerEvent<SVGRectElement>, { widthPx, heightPx }: Camera): readonly [number, number] {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(event.currentTarget.getScreenCTM()?.inverse());
  return [Math.max(0, Math.min(widthPx - 1, Math.round(at.x))), Math.max(0, Math.min(heightPx - 1, Math.round(at.y)))];
}

interface Props { readonly runId: string; readonly file: string; readonly src: string | null; readonly alt: string; readonly camera: Camera }

/** A person shows where a frame has nothing but paste: by a rectangle that is drawn with mouse or finger, or by its four sides. */
export function PasteMarking({ runId, file, src, alt, camera }: Props) {
  const { widthPx, heightPx } = camera, [rect, setRect] = useState<Rect>([Math.round(0.45 * widthPx), Math.round(0.45 * heightPx), Math.round(0.55 * widthPx), Math.round(0.55 * heightPx)]);
  const [said, setSaid] = useState(""), begun = useRef<readonly [number, number] | null>(null);
  const down = (event: PointerEvent<SVGRectElement>): void => {
    event.currentTarget.setPointerCapture(event.pointerId);
    begun.current = placeOf(event, camera);
  };
  const move = (event: PointerEvent<SVGRectElement>): void => {
    if (begun.current !== null) setRect(ordered([...begun.current, ...placeOf(event, camera)]));
  };
  const [left, top, right, bottom] = rect, isLarge = right - left >= LEAST_PX && bottom - top >= LEAST_PX;
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm(`/api/live/${runId}/paste`, { device: camera.id, file, u0Px: left, v0Px: top, u1Px: right, v1Px: bottom });
    setSaid("problem" in sent ? `Not written: ${sent.problem}.` : "It stands in the log. Frames are measured with it from now on.");
  };
  return (
    <div className="paste-marking">
      <FramePicture src={src} alt={alt} widthPx={widthPx} heightPx={heightPx} drawing={null} zoom={1} focus={null} over={(
        <>
          <rect className="frame-casing" strokeWidth={4} x={left} y={top} width={right - left} height={bottom - top} />
          <rect className="frame-line" strokeWidth={1.6} x={left} y={top} width={right - left} height={bottom - top} />
          <rect className="paste-ground" x={-0.5} y={-0.5} width={widthPx} height={heightPx} onPointerDown={down} onPointerMove={move} onPointerUp={() => { begun.current = null; }} onPointerCancel={() => { begun.current = null; }} />
        </>
      )} />
      <div>
        <p className="paste-words">Nobody knows yet how this paste looks. Draw a rectangle in which there is nothing but paste, with mouse or finger, or set its sides.</p>
        <MayDo deed="pasteMark"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Mark paste">
          {SIDES.map((side, i) => (
            <label key={side}>{side}, px<input type="number" min={0} max={(i % 2 === 0 ? widthPx : heightPx) - 1} value={rect[i]} onChange={(event) => { if (Number.isInteger(event.target.valueAsNumber)) setRect(rect.with(i, event.target.valueAsNumber) as unknown as Rect); }} /></label>
          ))}
          <button type="submit" disabled={!isLarge}>All of this is paste</button>
          <p role="status">{said === "" && !isLarge ? `The rectangle has to be ${LEAST_PX} px wide and high.` : said}</p>
        </form></MayDo>
      </div>
    </div>
  );
}
