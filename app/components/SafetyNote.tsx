import { SAFETY_LEAD, SAFETY_WORDS } from "../../lib/model/safety.ts";

/** In a few plain words, on every page. */
export function SafetyNote() {
  return <footer className="safety"><strong>{SAFETY_LEAD}</strong> {SAFETY_WORDS}</footer>;
}
