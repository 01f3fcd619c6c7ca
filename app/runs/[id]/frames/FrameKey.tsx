import { FRAME_STYLES } from "../../../../lib/model/drawingLooks.ts";
import type { FrameLook } from "../../../../lib/model/frameView.ts";

const WORDS = [["present", "present"], ["absent", "absent"], ["hidden", "hidden"], ["planned", "planned"], ["body", "off the path"]] as const satisfies readonly (readonly [FrameLook, string])[];
/** A gap is an outline, a body a ring; the rest are lines. */
const SHAPES: Readonly<Partial<Record<FrameLook, string>>> = { absent: "M1 2.5H27M1 9.5H27", body: "M9 6a5 4 0 1 0 10 0a5 4 0 1 0 -10 0" };

/** What the lines over a frame mean (ISO 128). */
export function FrameKey() {
  return (
    <span className="line-key frame-key">
      {WORDS.map(([look, words]) => (
        <span key={look}><svg viewBox="0 0 28 12" aria-hidden="true"><path className="key-line" strokeWidth={FRAME_STYLES[look].width} strokeDasharray={FRAME_STYLES[look].dash.join(" ") || undefined} d={SHAPES[look] ?? "M1 6H27"} /></svg>{words}</span>
      ))}
    </span>
  );
}
