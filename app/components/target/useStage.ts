"use client";
import { useEffect, useLayoutEffect, useRef, useState, type RefObject } from "react";
import type { SheetLayer } from "../../../lib/model/sheet.ts";
import type { TargetShape } from "../../../lib/model/targetShape.ts";
import type { Picture, TargetStage } from "./stage.ts";
import { TARGET_PAPER } from "./targetInks.ts";

/** "none": this browser has no WebGL. "lost": the graphics card took the picture away. */
export type StageState = "loading" | "ready" | "lost" | "none";

interface Wanted { readonly shape: TargetShape | null; readonly layers: readonly SheetLayer[]; readonly picture: Picture | null; readonly printing: boolean }

/** A canvas inside `host` and what draws on it, which is fetched when the page stands. Draws once a frame at most, and only when something has changed; readings alone wait where drawing is slow. `paper`: the picture for print, while it prints. */
export function useStage(host: RefObject<HTMLElement | null>, { shape, layers, picture, printing }: Wanted): { readonly state: StageState; readonly paper: string | null } {
  const [stage, setStage] = useState<TargetStage | null>(null);
  const [state, setState] = useState<StageState>("loading");
  const [paper, setPaper] = useState<string | null>(null);
  const drawn = useRef<{ readonly picture: Picture | null; readonly ms: number }>({ picture: null, ms: -Infinity });
  useEffect(() => {
    const parent = host.current;
    if (parent === null) return undefined;
    const canvas = document.createElement("canvas"), context = canvas.getContext("webgl2", { alpha: true, antialias: false, depth: true, stencil: false, powerPreference: "low-power" });
    if (context === null) {
      setState("none");
      return undefined;
    }
    let made: TargetStage | null = null, isOver = false;
    const lost = (event: Event): void => { event.preventDefault(); setState("lost"); };
    const restored = (): void => setState("ready");
    canvas.setAttribute("aria-hidden", "true");
    canvas.addEventListener("webglcontextlost", lost);
    canvas.addEventListener("webglcontextrestored", restored);
    parent.prepend(canvas);
    const begin = async (): Promise<void> => {
      try {
        const { TargetStage: Stage } = await import("./stage.ts");
        if (isOver) return;
        made = new Stage(canvas, context);
        setStage(made);
        setState("ready");
      } catch {
        setState("none");
      }
    };
    void begin();
    return () => {
      isOver = true;
      canvas.removeEventListener("webglcontextlost", lost);
      canvas.removeEventListener("webglcontextrestored", restored);
      made?.dispose();
      canvas.remove();
      setStage(null);
    };
  }, [host]);
  useEffect(() => {
    if (stage !== null && shape !== null) stage.setLayers(shape, layers);
  }, [stage, shape, layers]);
  useEffect(() => {
    if (stage === null || shape === null || picture === null || state !== "ready") return undefined;
    const { picture: before, ms } = drawn.current, waitMs = before === picture ? ms + stage.spacingMs - performance.now() : 0;
    let frame = 0, timer: ReturnType<typeof setTimeout> | undefined;
    const draw = (): void => {
      frame = requestAnimationFrame(() => {
        drawn.current = { picture, ms: performance.now() };
        stage.draw(picture);
      });
    };
    if (waitMs > 0) timer = setTimeout(draw, waitMs);
    else draw();
    return () => {
      clearTimeout(timer);
      cancelAnimationFrame(frame);
    };
  }, [stage, shape, layers, picture, state]);
  useLayoutEffect(() => {
    setPaper(printing && stage !== null && shape !== null && picture !== null && state === "ready" ? stage.image({ ...picture, inks: TARGET_PAPER, isMoving: false }) : null);
    // a print does not wait, and is of what is seen when it is asked for
    // eslint-disable-next-line react-hooks/exhaustive-deps
  }, [printing]);
  return { state, paper };
}
