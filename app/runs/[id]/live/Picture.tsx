"use client";
import { useState, type ReactNode } from "react";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";
import { Course } from "../Course.tsx";
import { LayerMap } from "../LayerMap.tsx";
import type { LayerPictureProps } from "../Lanes.tsx";

const VIEWS = ["target", "map", "along", "frame"] as const;
type View = (typeof VIEWS)[number];
const VIEW_WORDS: Readonly<Record<View, string>> = { target: "Target", map: "Map", along: "Along", frame: "Frame" };

interface Props extends LayerPictureProps {
  readonly layers: readonly SheetLayer[];
  /** The target in space, which then comes first; null: there is no such picture. */
  readonly target: ReactNode;
  /** The newest camera frame; null: the job has no camera. */
  readonly frame: ReactNode;
}

/** One picture of several, chosen by a person. */
export function Picture({ layers, target, frame, ...places }: Props) {
  const views = VIEWS.filter((view) => (view !== "target" || target !== null) && (view !== "frame" || frame !== null));
  const [chosen, setChosen] = useState<View>(views[0] ?? "map");
  return (
    <div className="picture">
      <div className="picture-choice" role="group" aria-label="Picture">
        {views.map((view) => <button key={view} type="button" aria-pressed={view === chosen} onClick={() => setChosen(view)}>{VIEW_WORDS[view]}</button>)}
      </div>
      {chosen === "target" ? target : null}
      {chosen === "frame" ? frame : null}
      {chosen === "map" ? <LayerMap {...places} /> : null}
      {chosen === "along" ? <Course sheet={{ layers, limits: [] }} pick={places.pick} printing={false} onStation={places.onStation} /> : null}
    </div>
  );
}
