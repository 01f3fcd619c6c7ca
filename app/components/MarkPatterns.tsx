import type { CSSProperties } from "react";
import { FINDING_MARKS } from "../../lib/model/marks.ts";
import type { Pattern } from "../../lib/model/marks.ts";
import type { FindingKind } from "../../lib/model/result.ts";

const TILE_PX: Readonly<Record<Pattern, readonly [number, number]>> = {
  none: [8, 8], hatch: [6, 6], crosshatch: [6, 6], dots: [6, 6], rings: [9, 9], uprights: [5, 8], waves: [10, 6], squares: [7, 7],
};

function Tile({ pattern }: { readonly pattern: Pattern }) {
  switch (pattern) {
    case "none": return null;
    case "hatch": return <path d="M-1 7L7 -1M-1 1L1 -1M5 7L7 5" />;
    case "crosshatch": return <path d="M-1 7L7 -1M-1 -1L7 7" />;
    case "dots": return <><circle cx="1.5" cy="1.5" r="1" className="solid" /><circle cx="4.5" cy="4.5" r="1" className="solid" /></>;
    case "rings": return <circle cx="4.5" cy="4.5" r="2.6" />;
    case "uprights": return <path d="M1.5 0V8" />;
    case "waves": return <path d="M0 4Q2.5 0 5 3T10 4" />;
    case "squares": return <rect x="1.5" y="1.5" width="3" height="3" className="solid" />;
  }
}

/** Pattern definitions of every finding kind, to be put once into a drawing; `prefix` keeps ids of several drawings apart. */
export function MarkPatterns({ prefix }: { readonly prefix: string }) {
  return (
    <defs>
      {(Object.keys(FINDING_MARKS) as FindingKind[]).map((kind) => {
        const { pattern } = FINDING_MARKS[kind];
        const [width, height] = TILE_PX[pattern];
        return (
          <pattern key={kind} id={`${prefix}-${kind}`} width={width} height={height} patternUnits="userSpaceOnUse" className="mark-tile" style={{ "--mark": `var(--mark-${kind})` } as CSSProperties}>
            <Tile pattern={pattern} />
          </pattern>
        );
      })}
    </defs>
  );
}

/** The letter in its box, in the kind's colour; a watch finding has a dashed box. */
export function MarkLetter({ kind, severity }: { readonly kind: FindingKind; readonly severity: "act" | "watch" }) {
  return <span className={`mark-letter ${severity}`} style={{ "--mark": `var(--mark-${kind})` } as CSSProperties} aria-hidden="true">{FINDING_MARKS[kind].letter}</span>;
}
