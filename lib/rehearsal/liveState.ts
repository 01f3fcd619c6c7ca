/** What the cell is doing, in a sentence, and which causes are in force. */
import type { LiveCell } from "./liveCell.ts";
import type { CauseKind, Wrong } from "./liveCauses.ts";

/** A sentence or two for the desk. */
export function doingWords(cell: LiveCell, isCut: boolean): string {
  return `${placeWords(cell)}${isCut ? " The network is cut." : ""}`;
}

function placeWords({ phase, stopped, work, nowS }: LiveCell): string {
  if (phase !== "printing") return phase === "aborted" ? "The print was aborted." : "The print is finished; what is left is being sent.";
  if (stopped.has("self")) return "Paused by itself: the server did not answer. It waits for a resume.";
  if (stopped.has("command")) return "Paused by command. It waits for a resume.";
  if (stopped.has("queue")) return "Waiting until what was seen has been sent.";
  if (work.laying === null) return work.layer === 0 ? "Looking at the bare target." : "Between two strands.";
  const { strand } = work.laying.stretch;
  return `Laying strand ${strand.strand} of layer ${strand.layer}: ${Math.max(0, work.laying.sAt(nowS)).toFixed(1)} of ${strand.lengthMm.toFixed(1)} mm.`;
}

/** In the order of the desk. */
export function causesOn(wrong: Wrong, isCut: boolean): CauseKind[] {
  const on: Readonly<Partial<Record<CauseKind, boolean>>> = {
    clog: wrong.clogged, airBubble: wrong.bubble, overFlow: wrong.overFlowing, jolt: wrong.joltMm !== null, cover: wrong.covered, networkCut: isCut,
  };
  return (Object.keys(on) as CauseKind[]).filter((kind) => on[kind] === true);
}
