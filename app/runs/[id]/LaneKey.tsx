import { NO_CAMERA, type SheetLayer } from "../../../lib/model/sheet.ts";

const LINES = [["planned-line", "planned"], ["measured-line", "measured"], ["hidden-line", "flank not seen"]] as const;
const BY_CAMERA = ["camera-line", "seen by the camera alone"] as const;

/** Whether a camera saw a station that no profile measured. */
const hasCameraAlone = ({ strands }: SheetLayer): boolean => strands.some(({ camera, areaRatio }) => camera.some((state, i) => state !== NO_CAMERA && Number.isNaN(areaRatio[i])));

/** What the line types mean (ISO 128). */
export function LaneKey({ layer }: { readonly layer: SheetLayer }) {
  return (
    <span className="line-key">
      {[...LINES, ...(hasCameraAlone(layer) ? [BY_CAMERA] : [])].map(([line, words]) => <span key={line}><svg viewBox="0 0 28 8" aria-hidden="true"><path className={line} d="M1 4H27" /></svg>{words}</span>)}
    </span>
  );
}
