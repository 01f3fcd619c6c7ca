/** What the line types mean (ISO 128). */
export function LaneKey() {
  const lines = [["planned-line", "planned"], ["measured-line", "measured"], ["hidden-line", "flank not seen"]] as const;
  return (
    <span className="line-key">
      {lines.map(([line, words]) => <span key={line}><svg viewBox="0 0 28 8" aria-hidden="true"><path className={line} d="M1 4H27" /></svg>{words}</span>)}
    </span>
  );
}
