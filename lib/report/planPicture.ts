/** A plan as a small picture: every strand a thin line, all layers over each other, to scale. */
import { tripleAt } from "../kernel/vec.ts";
import type { Plan } from "../model/plan.ts";
import type { PlanPicture } from "../model/prepare.ts";
import { layerFrame, mapPoint } from "./layerFrame.ts";

/** Places of a strand at most; a picture a hand wide shows no more. */
const MOST_PLACES = 120;
/** Places of all strands at most. */
const MOST_IN_ALL = 20_000;

export function planPicture({ strands }: Pick<Plan, "strands">): PlanPicture {
  const { frame, words } = layerFrame(strands), most = Math.max(2, Math.min(MOST_PLACES, Math.floor(MOST_IN_ALL / Math.max(1, strands.length))));
  const lines = strands.map(({ layer, pointsMm, pointCount }) => {
    const step = Math.max(1, (pointCount - 1) / (most - 1)), places: (readonly [number, number])[] = [];
    for (let at = 0; at < pointCount - 1; at += step) places.push(mapPoint(frame, tripleAt(pointsMm, Math.floor(at))));
    places.push(mapPoint(frame, tripleAt(pointsMm, pointCount - 1)));
    return { layer, places };
  });
  let [left, top, right, bottom] = [Infinity, -Infinity, -Infinity, Infinity];
  for (const { places } of lines) for (const [x, y] of places) [left, right, bottom, top] = [Math.min(left, x), Math.max(right, x), Math.min(bottom, y), Math.max(top, y)];
  const round = (value: number): number => Math.round(1000 * value) / 1000;
  return {
    widthMm: lines.length === 0 ? 0 : round(right - left), heightMm: lines.length === 0 ? 0 : round(top - bottom), words,
    strands: lines.map(({ layer, places }) => ({ layer, places: places.flatMap(([x, y]) => [round(x - left), round(top - y)]) })),
  };
}
