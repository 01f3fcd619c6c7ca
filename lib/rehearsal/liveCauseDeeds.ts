/** How each cause takes hold of the printing cell. */
import type { ReworkMessage } from "../model/messages.ts";
import { CAUSES, DRAG_BEHIND_MM, DRAG_MM, type CauseKind, type CauseRequest, type Place } from "./liveCauses.ts";
import type { LiveCell } from "./liveCell.ts";
import type { Work } from "./liveWork.ts";

/** Why a cause cannot be had now. */
export class NotNow extends Error {
  override readonly name = "NotNow";
}

/** What was done, in a sentence, and the row that tells of it where one does. */
export interface Deed { readonly text: string; readonly row: ReworkMessage | null }

/** Carries it out; NotNow where there is nothing to take hold of. What the network does is not the cell's. */
export function carryOutCause(cell: LiveCell, { kind, undo, place }: CauseRequest): Deed {
  if (cell.phase !== "printing") throw new NotNow("the print is over");
  const { wrong } = cell;
  switch (kind) {
    case "clog": wrong.clogged = !undo; break;
    case "overFlow": wrong.overFlowing = !undo; break;
    case "cover": wrong.covered = !undo; break;
    case "airBubble":
      if (undo) wrong.dropBubble();
      else wrong.putBubble();
      break;
    case "jolt":
      if (undo) wrong.joltMm = null;
      else wrong.jolt(cell.work.toolAt(cell.nowS).nozzle.lateral);
      break;
    case "drag": return dragNewest(cell.work, cell.nowS);
    case "takeOff": return takeOff(cell.work, place as Place, cell.nowS);
    case "networkCut": break;
  }
  return { text: wordsOf(kind, undo), row: null };
}

/** The sentence of a cause that was carried out. */
export function wordsOf(kind: CauseKind, undo: boolean): string {
  const { label, undo: back, about } = CAUSES[kind];
  return undo ? `${back ?? label}: done` : `${label}: ${about}`;
}

function dragNewest(work: Work, tS: number): Deed {
  const { laying } = work;
  const held = laying?.laying === true ? { strand: laying.stretch.strand, fromMm: laying.stretch.fromMm, toMm: laying.sAt(tS) } : work.newest;
  if (held === null) throw new NotNow("nothing has been laid yet");
  const toMm = held.toMm - DRAG_BEHIND_MM, fromMm = Math.max(held.fromMm + 0.5, toMm - DRAG_MM);
  if (toMm - fromMm < 1) throw new NotNow("too little of the newest strand has been laid");
  if (!work.paste.drag(held.strand, fromMm, toMm, null, tS)) throw new NotNow("the newest strand is not there any more");
  work.stain(held.strand.layer);
  return { text: `dragged off: strand ${held.strand.strand} of layer ${held.strand.layer}, ${fromMm.toFixed(1)} to ${toMm.toFixed(1)} mm`, row: null };
}

function takeOff(work: Work, { layer, strand, fromMm, toMm }: Place, tS: number): Deed {
  const { agenda } = work, index = agenda.indexOf(layer, strand), planned = work.strands[index];
  if (planned === undefined) throw new NotNow(`there is no strand ${strand} in layer ${layer}`);
  if (work.laying?.stretch.strand === planned) throw new NotNow("the nozzle is laying that strand");
  const endMm = Math.min(toMm, planned.lengthMm);
  if (!agenda.laidBetween(index, fromMm, endMm)) throw new NotNow("nothing lies there");
  work.takeOff(index, fromMm, endMm, tS);
  return {
    text: `taken off: strand ${strand} of layer ${layer}, ${fromMm.toFixed(1)} to ${endMm.toFixed(1)} mm`,
    row: { kind: "rework", tS, layer, strand, fromMm, toMm: endMm, who: "rehearsal operator", reason: "taken off by spatula" },
  };
}
