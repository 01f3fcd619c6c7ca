"use client";
import { VIEWS, type ViewName } from "./views.ts";
import { ZOOM_STEP, type Hand } from "./useHand.ts";

interface Props {
  readonly hand: Hand;
  readonly now: ViewName | null;
  readonly follow: { readonly isOn: boolean; readonly isPossible: boolean; readonly toggle: () => void };
  readonly layers: { readonly isAll: boolean; readonly count: number; readonly toggle: () => void };
  /** A camera frame that can be laid on it; null: the run has none. */
  readonly picture: { readonly isOn: boolean; readonly toggle: () => void } | null;
}

/** Views by name, zoom, following, and whether all layers are shown: each has its key as well. */
export function TargetControls({ hand, now, follow, layers, picture }: Props) {
  return (
    <div className="target-controls">
      <span role="group" aria-label="View of the target">
        {VIEWS.map(({ name, label }, key) => <button key={name} type="button" aria-pressed={name === now} title={`Key ${key}`} onClick={() => hand.show(name)}>{label}</button>)}
      </span>
      <span role="group" aria-label="Zoom and follow">
        <button type="button" aria-label="Zoom out" title="Key −" onClick={() => hand.zoomBy(1 / ZOOM_STEP)}>−</button>
        <button type="button" aria-label="Zoom in" title="Key +" onClick={() => hand.zoomBy(ZOOM_STEP)}>+</button>
        {follow.isPossible || follow.isOn ? <button type="button" aria-pressed={follow.isOn} title="Key f" onClick={follow.toggle}>Follow</button> : null}
        {layers.count > 1 ? <button type="button" aria-pressed={layers.isAll} onClick={layers.toggle}>All layers</button> : null}
        {picture === null ? null : <button type="button" aria-pressed={picture.isOn} onClick={picture.toggle}>Picture on the target</button>}
      </span>
    </div>
  );
}
