"use client";

/** Up to this many layers have a button each; more are stepped through. */
const MOST_LAYER_BUTTONS = 6;

interface Props { readonly layers: readonly number[]; readonly layer: number; readonly onLayer: (layer: number) => void }

/** Which layer is shown: chosen in the title block of its sheet. */
export function LayerChoice({ layers, layer, onLayer }: Props) {
  const here = layers.indexOf(layer);
  if (layers.length < 2) return <>{layers.length === 0 ? "none" : "1 of 1"}</>;
  if (layers.length > MOST_LAYER_BUTTONS) {
    const to = (index: number): void => { if (layers[index] !== undefined) onLayer(layers[index]); };
    return (
      <span className="layer-choice" role="group" aria-label="Layer shown">
        <button type="button" disabled={here <= 0} onClick={() => to(here - 1)} aria-label="Layer below">−</button>
        <span className="layer-now">{layer} of {layers.length}</span>
        <button type="button" disabled={here >= layers.length - 1} onClick={() => to(here + 1)} aria-label="Layer above">+</button>
      </span>
    );
  }
  return (
    <span className="layer-choice" role="group" aria-label="Layer shown">
      {layers.map((each) => <button key={each} type="button" aria-pressed={each === layer} onClick={() => onLayer(each)}>{each}</button>)}
    </span>
  );
}
