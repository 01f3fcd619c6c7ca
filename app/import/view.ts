import type { ImportProblem, ImportState } from "../../lib/model/importState.ts";
import { isOver } from "../../lib/model/importState.ts";

/** What the page shows: nothing chosen yet; something chosen that is no run; asked, refused, told by the server how far it is; or without an answer. */
export type View =
  | { readonly phase: "choosing" }
  | { readonly phase: "odd"; readonly why: string }
  | { readonly phase: "asking"; readonly name: string }
  | { readonly phase: "refused"; readonly name: string; readonly problem: ImportProblem }
  | { readonly phase: "told"; readonly state: ImportState }
  | { readonly phase: "lost"; readonly name: string };

/** Something is on its way and can be cancelled. */
export function isGoing(view: View): boolean {
  return view.phase === "asking" || (view.phase === "told" && !isOver(view.state));
}

/** Why nothing came of it, where a place or a value is to blame; null: nothing is. */
export function problemIn(view: View): ImportProblem | null {
  return view.phase === "refused" ? view.problem : view.phase === "told" ? view.state.problem : null;
}
