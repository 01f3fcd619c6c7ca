"use client";
import { useCallback, useEffect, useEffectEvent, useRef, useState, type KeyboardEvent, type RefObject } from "react";
import { between, panned, turned, zoomed, type ParallelView } from "../../../lib/kernel/parallelView.ts";
import type { Vec3 } from "../../../lib/kernel/vec.ts";
import type { Box } from "./overlayGeometry.ts";
import { VIEWS, type ViewName } from "./views.ts";

/** A turn of the view for a px of drag, and for a press of an arrow key, rad; a step to the side, px. */
const TURN_RAD_PX = 0.0085, KEY_TURN_RAD = Math.PI / 18, KEY_PAN_PX = 48;
export const ZOOM_STEP = 1.4;
const WHEEL_PER_PX = 0.0016, MOST_PX_PER_MM = 400;
/** A press that moves less is a tap, px. A view rests when nothing moved it for so long; a view by name is reached in so long, ms. */
const TAP_PX = 5, REST_MS = 160, EASE_MS = 260;
/** A wheel that was turned elsewhere scrolls on over the picture for so long, ms. */
const WHEEL_ELSEWHERE_MS = 400;

export interface HandOptions {
  /** The axis that stays upright. */
  readonly upright: Vec3;
  readonly box: Box | null;
  /** The view of a name, fitted; null: there is nothing to see yet. */
  readonly viewOf: (name: ViewName) => ParallelView | null;
  /** A tap, px from the picture's middle. */
  readonly onTap: (xPx: number, yPx: number, view: ParallelView) => void;
  readonly onFollow: () => void;
}

export interface Hand {
  readonly view: ParallelView | null;
  /** It is being moved: to be drawn quickly. */
  readonly isMoving: boolean;
  readonly show: (name: ViewName) => void;
  readonly zoomBy: (factor: number) => void;
  readonly centreOn: (placeMm: Vec3) => void;
  readonly onKeyDown: (event: KeyboardEvent) => void;
}

const ARROWS: Readonly<Record<string, readonly [number, number]>> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** How the picture is turned, moved and zoomed, by pointer, wheel, touch and keys. Until somebody does, it is the oblique view, fitted to the picture's size. */
export function useHand(host: RefObject<HTMLElement | null>, { upright, box, viewOf, onTap, onFollow }: HandOptions): Hand {
  const [own, setOwn] = useState<ParallelView | null>(null);
  const [isMoving, setMoving] = useState(false);
  const resting = useRef<ReturnType<typeof setTimeout> | undefined>(undefined), easing = useRef(0);
  const view = own ?? viewOf("oblique");

  const move = useEffectEvent((how: (view: ParallelView) => ParallelView) => {
    if (view === null) return;
    setOwn((before) => how(before ?? view));
    setMoving(true);
    clearTimeout(resting.current);
    resting.current = setTimeout(() => setMoving(false), REST_MS);
  });
  const zoomAt = (factor: number, xPx: number, yPx: number) => (from: ParallelView): ParallelView =>
    zoomed(from, factor, { xPx, yPx, leastPxPerMm: 0.3 * (viewOf("oblique")?.pxPerMm ?? 1), mostPxPerMm: MOST_PX_PER_MM });
  const stopEasing = (): void => cancelAnimationFrame(easing.current);
  useEffect(() => () => { clearTimeout(resting.current); cancelAnimationFrame(easing.current); }, []);

  const show = (name: ViewName): void => {
    const to = viewOf(name), from = view;
    stopEasing();
    if (to === null || from === null) return;
    if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) {
      move(() => to);
      return;
    }
    const began = performance.now(), step = (now: number): void => {
      const f = Math.min(1, Math.max(0, (now - began) / EASE_MS));
      move(() => between(from, to, f * f * (3 - 2 * f)));
      if (f < 1) easing.current = requestAnimationFrame(step);
    };
    easing.current = requestAnimationFrame(step);
  };

  const drag = useEffectEvent((dxPx: number, dyPx: number, isPan: boolean) => move((from) => (isPan ? panned(from, dxPx, dyPx) : turned(from, -dxPx * TURN_RAD_PX, dyPx * TURN_RAD_PX, upright))));
  const pinch = useEffectEvent((factor: number, xPx: number, yPx: number, dxPx: number, dyPx: number) => move((from) => panned(zoomAt(factor, xPx, yPx)(from), dxPx, dyPx)));
  const tap = useEffectEvent((xPx: number, yPx: number) => { if (view !== null) onTap(xPx, yPx, view); });
  const begin = useEffectEvent(stopEasing);
  useEffect(() => (host.current === null ? undefined : listen(host.current, { drag, pinch, tap, begin })), [host]);

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const arrow = ARROWS[event.key], named = VIEWS[Number.parseInt(event.key, 10)];
    if (arrow !== undefined) move((from) => (event.shiftKey ? panned(from, -KEY_PAN_PX * arrow[0], -KEY_PAN_PX * arrow[1]) : turned(from, -KEY_TURN_RAD * arrow[0], KEY_TURN_RAD * arrow[1], upright)));
    else if (event.key === "+" || event.key === "=") move(zoomAt(ZOOM_STEP, 0, 0));
    else if (event.key === "-") move(zoomAt(1 / ZOOM_STEP, 0, 0));
    else if (event.key === "f") onFollow();
    else if (named !== undefined && /^\d$/.test(event.key)) show(named.name);
    else return;
    event.preventDefault();
  };
  const centreOn = useCallback((centreMm: Vec3) => setOwn((before) => (before === null ? null : { ...before, centreMm })), []);
  return { view: box === null ? null : view, isMoving, show, zoomBy: (factor) => move(zoomAt(factor, 0, 0)), centreOn, onKeyDown };
}

interface Told {
  readonly drag: (dxPx: number, dyPx: number, isPan: boolean) => void;
  readonly pinch: (factor: number, xPx: number, yPx: number, dxPx: number, dyPx: number) => void;
  readonly tap: (xPx: number, yPx: number) => void;
  readonly begin: () => void;
}

/** Hears pointers and the wheel on an element; places are told from its middle. Gives what ends it. */
function listen(element: HTMLElement, { drag, pinch, tap, begin }: Told): () => void {
  const down = new Map<number, { x: number; y: number }>(), ended = new AbortController(), { signal } = ended;
  let wayPx = 0, isPan = false, elsewhereMs = -Infinity;
  const fromMiddle = ({ x, y }: { readonly x: number; readonly y: number }): [number, number] => {
    const box = element.getBoundingClientRect();
    return [x - box.left - box.width / 2, y - box.top - box.height / 2];
  };
  const middleOf = (): { x: number; y: number; spread: number } => {
    const [a, b] = [...down.values()] as [{ x: number; y: number }, { x: number; y: number }];
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, spread: Math.max(1, Math.hypot(a.x - b.x, a.y - b.y)) };
  };
  element.addEventListener("pointerdown", ({ pointerId, clientX: x, clientY: y, button, shiftKey }) => {
    begin();
    element.setPointerCapture(pointerId);
    if (down.size === 0) [wayPx, isPan] = [0, shiftKey || button !== 0];
    else wayPx = Infinity;
    down.set(pointerId, { x, y });
  }, { signal });
  element.addEventListener("pointermove", ({ pointerId, clientX: x, clientY: y }) => {
    const before = down.get(pointerId);
    if (before === undefined) return;
    if (down.size === 1) {
      wayPx += Math.hypot(x - before.x, y - before.y);
      down.set(pointerId, { x, y });
      if (wayPx > TAP_PX) drag(x - before.x, y - before.y, isPan);
      return;
    }
    const from = middleOf();
    down.set(pointerId, { x, y });
    const to = middleOf();
    pinch(to.spread / from.spread, ...fromMiddle(from), to.x - from.x, to.y - from.y);
  }, { signal });
  element.addEventListener("pointerup", ({ pointerId, clientX: x, clientY: y }) => {
    if (down.delete(pointerId) && down.size === 0 && wayPx <= TAP_PX) tap(...fromMiddle({ x, y }));
  }, { signal });
  element.addEventListener("pointercancel", ({ pointerId }) => { down.delete(pointerId); }, { signal });
  element.addEventListener("contextmenu", (event) => event.preventDefault(), { signal });
  window.addEventListener("wheel", ({ target, timeStamp }) => { if (!element.contains(target as Node)) elsewhereMs = timeStamp; }, { signal, capture: true, passive: true });
  element.addEventListener("wheel", (event) => {
    if (event.timeStamp - elsewhereMs < WHEEL_ELSEWHERE_MS) {
      elsewhereMs = event.timeStamp;
      return;
    }
    event.preventDefault();
    pinch(Math.exp(-event.deltaY * WHEEL_PER_PX * (event.deltaMode === 1 ? 30 : 1)), ...fromMiddle({ x: event.clientX, y: event.clientY }), 0, 0);
  }, { signal, passive: false });
  return () => ended.abort();
}
