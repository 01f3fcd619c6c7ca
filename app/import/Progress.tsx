import { sizeWords } from "../../lib/base/sizeWords.ts";
import type { ImportState } from "../../lib/model/importState.ts";

const WIDTH = 600;
const ENDS = 12;

/** What was to come as a thin line, what is there as a thick one on it (ISO 128), with a dimension under it. */
export function Progress({ state: { offer, receivedByteCount } }: { readonly state: ImportState }) {
  const fraction = offer.byteCount === 0 ? 1 : Math.min(1, receivedByteCount / offer.byteCount);
  const from = ENDS;
  const to = from + fraction * (WIDTH - 2 * ENDS);
  const percent = Math.floor(100 * fraction);
  return (
    <div className="track" role="progressbar" aria-label="sent" aria-valuemin={0} aria-valuemax={100} aria-valuenow={percent} aria-valuetext={`${sizeWords(receivedByteCount)} of ${sizeWords(offer.byteCount)} sent`}>
      <svg viewBox={`0 0 ${WIDTH} 62`} aria-hidden="true">
        <line className="planned-line" x1={from} x2={WIDTH - ENDS} y1={14} y2={14} />
        <path className="planned-line" d={`M${from} 6V22M${WIDTH - ENDS} 6V22`} />
        <line className="track-laid" x1={from} x2={to} y1={14} y2={14} />
        <path className="extension" d={`M${from} 24V50M${to} 18V50`} />
        <path className="track-dimension" d={`M${from} 44H${to}`} />
        {to - from < 40 ? null : <path className="track-arrows" d={`M${from} 44l9 -3v6zM${to} 44l-9 -3v6z`} />}
      </svg>
      <p aria-hidden="true">{sizeWords(receivedByteCount)} of {sizeWords(offer.byteCount)} sent ({percent} %)</p>
    </div>
  );
}
