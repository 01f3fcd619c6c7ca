"use client";
import { useEffect, useState } from "react";
import type { FrameView } from "../../../../lib/model/frameView.ts";

/** Leafing through by key asks for none of those that are passed, ms. */
const REST_MS = 90;
/** So many frames are kept at hand. */
const MOST_KNOWN = 40;

export type AskedFrame = { readonly state: "asking" | "failed" } | { readonly state: "here"; readonly view: FrameView };
const ASKING: AskedFrame = { state: "asking" };

/** Answers by their address, the newest last. */
const known = new Map<string, Promise<FrameView>>();

async function ask(path: string): Promise<FrameView> {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${response.status}`);
  return await response.json() as FrameView;
}

function frameOf(path: string): Promise<FrameView> {
  const asked = known.get(path) ?? ask(path);
  known.delete(path);
  known.set(path, asked);
  asked.catch(() => known.delete(path));
  for (const oldest of [...known.keys()].slice(0, -MOST_KNOWN)) known.delete(oldest);
  return asked;
}

/** The frame at an address, asked of the server once the choice rests; then its neighbours with their pictures, so that the next one stands at once. null: none is looked at. */
export function useFrame(path: string | null, neighbours: readonly string[]): AskedFrame {
  const [found, setFound] = useState<{ readonly path: string; readonly asked: AskedFrame }>({ path: "", asked: ASKING });
  const next = neighbours.join(" ");
  useEffect(() => {
    if (path === null) return undefined;
    let isLeft = false;
    const look = async (): Promise<void> => {
      try {
        const view = await frameOf(path);
        if (isLeft) return;
        setFound({ path, asked: { state: "here", view } });
        for (const neighbour of next.split(" ").filter((each) => each !== "")) {
          const { picture } = await frameOf(neighbour);
          if (isLeft) return;
          if (picture !== null) new Image().src = picture;
        }
      } catch {
        if (!isLeft) setFound((before) => (before.path === path && before.asked.state === "here" ? before : { path, asked: { state: "failed" } }));
      }
    };
    const rest = setTimeout(() => { void look(); }, REST_MS);
    return () => {
      isLeft = true;
      clearTimeout(rest);
    };
  }, [path, next]);
  return found.path === path ? found.asked : ASKING;
}
