/** The page's one audio context. Browsers keep it silent until a person has touched the page or a key; this module waits for that. */

/** `asleep`: it sounds once somebody touches the page. `absent`: this browser has no such thing. */
export type AudioState = "awake" | "asleep" | "absent";

/** What a browser takes for a person: lifting a finger or a button, a click by other means, a key. */
const TOUCHES = ["pointerup", "click", "keydown"] as const;

let context: AudioContext | null = null;
const listeners = new Set<() => void>();

function tell(): void {
  for (const changed of listeners) changed();
}

function open(): void {
  if (context !== null || typeof AudioContext === "undefined") return;
  context = new AudioContext();
  context.addEventListener("statechange", tell);
}

function wake(): void {
  open();
  // Refused without a touch that counts: then it stays asleep, which the page says.
  if (context !== null && context.state !== "running") context.resume().catch(() => undefined);
}

/** Hears when the state changes; from the first listener on, any touch of the page wakes it. Returns what ends it. */
export function onAudioChange(changed: () => void): () => void {
  if (listeners.size === 0) for (const touch of TOUCHES) window.addEventListener(touch, wake, { capture: true });
  listeners.add(changed);
  open();
  return () => {
    listeners.delete(changed);
    if (listeners.size === 0) for (const touch of TOUCHES) window.removeEventListener(touch, wake, { capture: true });
  };
}

export function audioState(): AudioState {
  if (typeof AudioContext === "undefined") return "absent";
  return context?.state === "running" ? "awake" : "asleep";
}

/** The context to sound on; null: it does not sound now. */
export function audioContext(): AudioContext | null {
  return context?.state === "running" ? context : null;
}
