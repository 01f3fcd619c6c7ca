import type { CSSProperties } from "react";
import { TILES } from "../../lib/model/drawingLooks.ts";
import { FINDING_MARKS } from "../../lib/model/marks.ts";
import type { Mark } from "../../lib/model/marks.ts";
import type { FindingKind } from "../../lib/model/result.ts";

interface PatternProps {
  /** Keeps ids of several drawings apart: a pattern's id is `prefix-name`. */
  readonly prefix: string;
  /** By the name that its colour has in markStyle.ts. */
  readonly marks?: Readonly<Partial<Record<string, Mark>>>;
  readonly scale?: number;
}

/** Pattern definitions of every finding kind, or of the marks that are named, to be put once into a drawing. */
export function MarkPatterns({ prefix, marks = FINDING_MARKS, scale = 1 }: PatternProps) {
  return (
    <defs>
      {Object.entries(marks).map(([name, mark]) => {
        if (mark === undefined) return null;
        const { width, height, strokes } = TILES[mark.pattern];
        return (
          <pattern
            key={name} id={`${prefix}-${name}`} width={width} height={height} patternUnits="userSpaceOnUse" patternTransform={scale === 1 ? undefined : `scale(${scale})`}
            className="mark-tile" style={{ "--mark": `var(--mark-${name})` } as CSSProperties}
          >
            {strokes.map(({ path, solid }) => <path key={path} d={path} className={solid ? "solid" : undefined} />)}
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
