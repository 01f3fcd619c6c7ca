/** The views that a drawing has by name (ISO 128-30), the oblique one that the picture begins with, and how any other is said. */
import { viewAxes, type ParallelView } from "../../../lib/kernel/parallelView.ts";
import { add, dot, scale, type Vec3 } from "../../../lib/kernel/vec.ts";
import type { LayerFrame } from "../../../lib/model/sheet.ts";

export type ViewName = "oblique" | "front" | "top" | "left" | "right" | "rear" | "normal";
type Axes = Pick<ParallelView, "right" | "up" | "toward">;

/** In the order of their keys, from 0. */
export const VIEWS: readonly { readonly name: ViewName; readonly label: string; readonly words: string }[] = [
  { name: "oblique", label: "Oblique", words: "aslant" }, { name: "front", label: "Front", words: "from the front" }, { name: "top", label: "Top", words: "from above" },
  { name: "left", label: "Left", words: "from the left" }, { name: "right", label: "Right", words: "from the right" }, { name: "rear", label: "Rear", words: "from the rear" },
  { name: "normal", label: "Along normal", words: "along the layer’s normal" },
];

/** To the viewer, and up, in the plan's axes. */
const PLAN_VIEWS: Readonly<Record<Exclude<ViewName, "oblique" | "normal">, readonly [Vec3, Vec3]>> = {
  front: [[0, -1, 0], [0, 0, 1]], top: [[0, 0, 1], [0, 1, 0]], left: [[-1, 0, 0], [0, 0, 1]], right: [[1, 0, 0], [0, 0, 1]], rear: [[0, 1, 0], [0, 0, 1]],
};
/** The oblique view: so far round from the layer's own front, and so far over its surface. */
const ROUND_RAD = -0.42, OVER_RAD = 0.62;

export function axesOf(name: ViewName, { normal, right, up }: LayerFrame): Axes {
  if (name === "normal") return { right, up, toward: normal };
  if (name !== "oblique") return viewAxes(...PLAN_VIEWS[name]);
  const level = add(scale(right, Math.sin(ROUND_RAD)), scale(up, -Math.cos(ROUND_RAD)));
  return viewAxes(add(scale(level, Math.cos(OVER_RAD)), scale(normal, Math.sin(OVER_RAD))), normal);
}

const same = (a: Axes, b: Axes): boolean => dot(a.toward, b.toward) > 1 - 1e-6 && dot(a.up, b.up) > 1 - 1e-6;
const degrees = (rad: number): number => Math.round(rad * 180 / Math.PI);

/** The name of a view that has one; null: it was turned by hand. */
export function nameOf(view: Axes, frame: LayerFrame): ViewName | null {
  return VIEWS.find(({ name }) => same(view, axesOf(name, frame)))?.name ?? null;
}

/** "from the front"; else "34° to the left of the front, 36° from above", by the plan's axes. */
export function viewWords(view: Axes, frame: LayerFrame): string {
  const named = nameOf(view, frame);
  if (named !== null && named !== "oblique") return (VIEWS.find(({ name }) => name === named) as (typeof VIEWS)[number]).words;
  const [x, y, z] = view.toward, round = degrees(Math.atan2(x, -y)), over = degrees(Math.asin(Math.max(-1, Math.min(1, z))));
  const side = round === 0 ? "from the front" : `${Math.abs(round)}° to the ${round < 0 ? "left" : "right"} of the front`;
  return `${side}, ${Math.abs(over)}° from ${over < 0 ? "below" : "above"}`;
}

/** CSS px a millimetre of the screen: 96 to the inch. */
export const PX_PER_SCREEN_MM = 96 / 25.4;

/** "5.2 : 1", "1 : 2.4": two digits. */
export function scaleWords(pxPerMm: number): string {
  const ratio = pxPerMm / PX_PER_SCREEN_MM, digits = (value: number): string => String(Number(value.toPrecision(2)));
  return ratio >= 1 ? `${digits(ratio)} : 1` : `1 : ${digits(1 / ratio)}`;
}
