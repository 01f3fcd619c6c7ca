/** What the page says at each step, from the state alone. */
import { sizeWords } from "../../lib/base/sizeWords.ts";
import type { ImportProblem, ImportState } from "../../lib/model/importState.ts";
import type { View } from "./view.ts";

export interface Words {
  /** The sentence that the sheet opens with. */
  readonly sentence: string;
  readonly detail: string;
}

const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? "" : "s"}`;

function stepWords({ offer, step, receivedFileCount, receivedByteCount, unpackedFileCount, unpackedByteCount, readFraction, profileCount, measuredUntilS, isNew }: ImportState): Words {
  const { name } = offer;
  switch (step) {
    case "receiving": return {
      sentence: `${name} is being sent.`,
      detail: `${receivedFileCount} of ${plural(offer.fileCount, "file")}, ${sizeWords(receivedByteCount)} of ${sizeWords(offer.byteCount)}. Keep this page open until all of it is there.`,
    };
    case "waiting": return { sentence: `${name} waits its turn.`, detail: "All of it is there. Another run is being measured first; this page may be left." };
    case "unpacking": return { sentence: `${name} is being unpacked.`, detail: `${plural(unpackedFileCount, "file")}, ${sizeWords(unpackedByteCount)} so far.` };
    case "measuring": return {
      sentence: `${name} is being measured.`,
      detail: measuredUntilS === null ? `All of it is there; ${Math.floor(100 * readFraction)} % is read and copied. This page may be left.`
        : `${plural(profileCount, "profile")} so far, up to ${measuredUntilS.toFixed(1)} s of the recording. This page may be left.`,
    };
    case "done": return isNew === true
      ? { sentence: `${name} is in.`, detail: `${plural(profileCount, "profile")} were measured. What lies there against what was planned stands on its sheet.` }
      : { sentence: `${name} was here already.`, detail: "The same run is kept once; nothing was changed." };
    case "cancelled": return { sentence: `${name} was cancelled.`, detail: "Nothing of it is kept." };
    case "failed": return { sentence: `${name} was not brought in.`, detail: "The program failed, and nothing of the run is kept. The server’s output says what went wrong." };
  }
}

/** "plan.csv is not right at line 7: block 12 was not brought in." */
function problemWords(name: string, { place, message }: ImportProblem): Words {
  const { file, line, message: batch } = place;
  const at = line === undefined ? batch === undefined ? "" : ` at message ${batch}` : ` at line ${line}`;
  const sentence = file === undefined || file === name ? `${name} was not brought in.` : `${file} is not right${at}: ${name} was not brought in.`;
  return { sentence, detail: `${message.charAt(0).toUpperCase()}${message.slice(1)}. Nothing of the run is kept.` };
}

export function wordsOf(view: View): Words {
  switch (view.phase) {
    case "choosing": return { sentence: "Bring a recorded run in.", detail: "Choose its folder, or a zip of it. It is measured here; the same run a second time is the same run." };
    case "odd": return { sentence: "That cannot be brought in.", detail: view.why };
    case "lost": return { sentence: `${view.name} was not brought in.`, detail: "The server does not answer. Nothing of the run is kept; start the server and try again." };
    case "asking": return { sentence: `${view.name} is being sent.`, detail: "The server is being asked." };
    case "refused": return problemWords(view.name, view.problem);
    case "told": return view.state.problem === null ? stepWords(view.state) : problemWords(view.state.offer.name, view.state.problem);
  }
}

/** What a screen reader is told on the way: changes at each step and each quarter of what is sent, so that it does not talk all the time. */
export function spokenWords(view: View): string {
  if (view.phase !== "told" || view.state.problem !== null) return "";
  const { step, receivedByteCount, offer } = view.state;
  const { sentence } = stepWords(view.state);
  if (step !== "receiving") return sentence;
  const quarters = offer.byteCount === 0 ? 0 : Math.floor((4 * receivedByteCount) / offer.byteCount);
  return quarters === 0 ? sentence : `${25 * quarters} % is sent.`;
}

/** Where it is wrong, for a table: only what is known. */
export function placeRows({ place }: ImportProblem): readonly (readonly [label: string, value: string])[] {
  const rows: [string, string | number | undefined][] = [["file", place.file], ["line", place.line], ["message", place.message], ["row", place.row], ["key", place.key]];
  return rows.flatMap(([label, value]) => (value === undefined ? [] : [[label, String(value)] as const]));
}
