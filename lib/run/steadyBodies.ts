/**
 * Bodies off the path while the print goes on: told once they have stood for a while. Progress that comes late, and a bead whose end is half seen, look
 * like paste where none was laid until the next messages have come.
 */
import type { BodyFinding } from "../model/result.ts";

/** So long by the profiles' stamps, s. */
const STEADY_S = 2.5;
/** A body that is seen again lies within this of where it was, mm. */
const SAME_MM = 3;

interface Waiting { readonly body: BodyFinding; readonly sinceS: number }

export class SteadyBodies {
  private layer = 0;
  private waiting: readonly Waiting[] = [];

  /** All bodies of a layer as they stand at `tS`; those of them that have stood long enough. */
  take(layer: number, found: readonly BodyFinding[], tS: number): BodyFinding[] {
    const before = layer === this.layer ? this.waiting : [];
    this.layer = layer;
    this.waiting = found.map((body) => ({ body, sinceS: before.find((old) => isSame(old.body, body))?.sinceS ?? tS }));
    return this.waiting.filter(({ sinceS }) => tS - sinceS >= STEADY_S).map(({ body }) => body);
  }
}

function isSame(a: BodyFinding, b: BodyFinding): boolean {
  return Math.hypot(...a.position.map((mm, i) => mm - (b.position[i] as number))) <= SAME_MM;
}
