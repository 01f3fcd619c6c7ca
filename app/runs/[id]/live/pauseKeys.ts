/** Which key presses ask for a pause. A foot switch is a keyboard with one key. */

export interface KeyPress {
  readonly key: string;
  /** Held down. */
  readonly repeat: boolean;
  /** Control, Alt or the system's key is down. */
  readonly hasModifier: boolean;
  /** Where the focus is: in a text field or choice, on a button or link, or elsewhere. */
  readonly where: "field" | "button" | "page";
}

/** Keys that move, edit or confirm; they are somebody's own where there is a field or a button. */
const EDITING = ["Enter", "Backspace", "Delete", "Insert", "Home", "End", "PageUp", "PageDown", "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"];
const NEVER = ["Tab", "Escape", "Shift", "Control", "Alt", "AltGraph", "Meta", "CapsLock", "NumLock", "ScrollLock", "Dead", "Unidentified", "Process"];

/** A key with a place on no text: F13, Pause, a media key. */
function isOwn(key: string): boolean {
  return key.length > 1 && !EDITING.includes(key);
}

/** `learned`: the key that somebody chose; "": none. One press asks once, however long it is held. */
export function asksPause({ key, repeat, hasModifier, where }: KeyPress, learned: string): boolean {
  if (repeat || hasModifier) return false;
  if (key === "Pause") return true;
  if (learned !== "" && key === learned) return isOwn(key) || where === "page";
  return key === " " && where === "page";
}

export type Learnt = { readonly key: string } | { readonly problem: string } | null;

/** What a press means while a key is learned: Space and the Pause key leave it at those two. null: it means nothing, as Shift alone. */
export function learn(key: string, taken: readonly string[]): Learnt {
  if (key === " " || key === "Pause") return { key: "" };
  if (NEVER.includes(key)) return null;
  return taken.includes(key) ? { problem: `“${key}” does something else on this page` } : { key };
}
