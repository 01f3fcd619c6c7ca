/** A run's strands as the lines over a frame are drawn from: where the plan's stations lie in space, and how large the plan has them. */
import type { SheetLayer } from "../model/sheet.ts";
import type { TargetShape } from "../model/targetShape.ts";
import type { FramedStrand } from "./frameDrawing.ts";

/** Strands that are in both, with as many stations in both. */
export function framedStrands(shape: Pick<TargetShape, "strands">, layers: readonly SheetLayer[]): FramedStrand[] {
  const columns = new Map(layers.flatMap(({ strands }) => strands.map((strand) => [`${strand.layer}/${strand.strand}`, strand] as const)));
  return shape.strands.flatMap(({ layer, strand, positionsMm, tangents, normals }) => {
    const of = columns.get(`${layer}/${strand}`);
    return of === undefined || 3 * of.sMm.length !== positionsMm.length ? [] : [{ layer, strand, positionsMm, tangents, normals, sMm: of.sMm, plannedWidthMm: of.plannedWidthMm, plannedHeightMm: of.plannedHeightMm }];
  });
}
