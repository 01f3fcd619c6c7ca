/** What the sign-in page may tell anybody: no name, and of runs no more than that one goes on and can be asked to pause. */
import { listOpenRuns } from "../../store/liveRuns.ts";
import { hasPeople } from "../../store/people.ts";
import { sharedHub } from "../live/sharedHub.ts";
import { lookingNeeds, sharedStore } from "../settings.ts";

export function signInFacts(): { readonly hasPeople: boolean; readonly isLookingFree: boolean } {
  return { hasPeople: hasPeople(sharedStore().db), isLookingFree: lookingNeeds() === "nothing" };
}

/** Prints that can be asked to pause now, newest first: no sign-in stands before that. `createdAt`: ISO 8601, UTC. */
export function printsGoingOn(): readonly { readonly runId: string; readonly createdAt: string }[] {
  if (sharedHub() === null) return [];
  return listOpenRuns(sharedStore().db).filter(({ state, endAsked }) => state !== "prepared" && endAsked === null).map(({ id, createdAt }) => ({ runId: id, createdAt }));
}
