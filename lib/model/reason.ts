/** Why a person did something: picked from a list, and typed where none of it fits. The lists are common practice, no source. */

/** A reason to pick: what is written in the log, and what people read. */
export interface Reason { readonly code: string; readonly label: string }
/** What was picked, by its code, and the note with it: "" for none. */
export interface PickedReason { readonly reason: string; readonly note: string }

/** The code in every list that asks for a note. */
export const OTHER_REASON = "other";
export const OTHER: Reason = { code: OTHER_REASON, label: "another reason" };
/** Longest note, in UTF-16 units. */
export const NOTE_MAX_CHARS = 2000;

/** Why a run is ended whose cell does not end it. */
export const END_REASONS: readonly Reason[] = [
  { code: "cellGone", label: "the cell is gone: no power or no connection" },
  { code: "cellFault", label: "the cell has a fault and cannot go on" },
  { code: "printSpoilt", label: "the print is spoilt and was taken off" },
  { code: "pasteOver", label: "the paste is used up or no longer works" },
  OTHER,
];

/** Why a stretch was taken off. */
export const TAKEN_OFF_REASONS: readonly Reason[] = [
  { code: "gap", label: "a gap, or too little" },
  { code: "tooMuch", label: "too much" },
  { code: "moved", label: "lifted, displaced or come off" },
  { code: "damaged", label: "touched or damaged" },
  { code: "wrongPaste", label: "the wrong paste, or paste too old" },
  { code: "beneath", label: "the surface beneath is wrong" },
  OTHER,
];

/** Why a layer that the gate holds may be covered as it is. */
export const GATE_REASONS: readonly Reason[] = [
  { code: "seenByEye", label: "looked at by eye: it is sound" },
  { code: "noMatterForUse", label: "what is open does not matter for the use" },
  { code: "nextMakesUp", label: "the next layer makes up for it" },
  { code: "handFinished", label: "put right by hand" },
  OTHER,
];

/** Why the raw data of a run are given up. */
export const DROP_REASONS: readonly Reason[] = [
  { code: "room", label: "room on the disk: the data lie in an archive" },
  { code: "timeOver", label: "the time for which they are to be kept is over" },
  OTHER,
];

/** Why an alert is shelved. */
export const SHELF_REASONS: readonly Reason[] = [
  { code: "known", label: "known, and being worked on" },
  { code: "waitsForCell", label: "waits for the cell" },
  { code: "sensorCleaned", label: "the sensor is being cleaned or moved" },
  OTHER,
];

/** The first of a list, without a note: what a form opens with. */
export function firstOf([first]: readonly Reason[]): PickedReason {
  return { reason: first?.code ?? OTHER_REASON, note: "" };
}
