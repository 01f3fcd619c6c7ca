"use client";
import type { PasteClock as PasteClockData } from "../../../../lib/model/liveSheet.ts";
import { pasteWords } from "./watchWords.ts";

/** How long the paste still works against what is left to print: in words, then as a bar with a stroke where the print would end. `sinceS`: how long ago that was heard. */
export function PasteClock({ paste, sinceS }: { readonly paste: PasteClockData | null; readonly sinceS: number }) {
  if (paste === null) return <section className="paste none" aria-label="Paste"><p>The working time of the paste is not known: none is stated, or its clock has not begun.</p></section>;
  const { label, clock, toPrint, isShort } = pasteWords(paste, sinceS), share = (s: number): number => Math.max(0, Math.min(1, s / paste.workingTimeS));
  return (
    <section className={isShort ? "paste short" : "paste"} aria-label="Paste">
      <p className="paste-left"><span className="paste-label">{label}</span><b>{clock}</b><span>{toPrint}</span></p>
      <svg className="paste-bar" viewBox="0 0 1000 24" preserveAspectRatio="none" aria-hidden="true">
        <rect className="paste-all" x={0} y={8} width={1000} height={8} />
        <rect className="paste-now" x={0} y={8} width={1000 * share(paste.leftS - sinceS)} height={8} />
        {paste.toPrintS === null ? null : <rect className="paste-need" x={Math.min(997, 1000 * share(paste.toPrintS))} y={0} width={3} height={24} />}
      </svg>
    </section>
  );
}
