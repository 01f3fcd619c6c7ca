"use client";
import { useEffect, useRef, type CSSProperties } from "react";
import type { AlertPriority } from "../../../lib/model/alert.ts";
import { ALERT_LIGHTS, type AlertLight as Light } from "../../../lib/model/alertLights.ts";

/** In a box of 24 by 24, with room for a thick outline. */
const OUTLINES: Readonly<Record<Light["shape"], string>> = {
  triangle: "M12 3L22 21H2Z",
  square: "M4 4H20V20H4Z",
  circle: "M12 3A9 9 0 0 1 12 21A9 9 0 0 1 12 3Z",
};

/** The light of an alert. Only the colour inside the outline flashes; sign and outline stand still. `isFlashing`: nobody has acknowledged it. */
export function AlertLight({ priority, isFlashing }: { readonly priority: AlertPriority; readonly isFlashing: boolean }) {
  const { sign, shape, label } = ALERT_LIGHTS[priority];
  const light = useRef<SVGPathElement>(null);
  // All lights of a page flash together: two of 2 Hz out of step would be four flashes a second.
  useEffect(() => { for (const flash of light.current?.getAnimations() ?? []) flash.startTime = 0; });
  return (
    <span className={`alert-light ${priority}${isFlashing ? " flashing" : ""}`} role="img" aria-label={isFlashing ? `${label}, not acknowledged` : label} style={{ "--alert": `var(--alert-${priority})` } as CSSProperties}>
      <svg viewBox="0 0 24 24" aria-hidden="true"><path ref={light} className="light" d={OUTLINES[shape]} /><path className="outline" d={OUTLINES[shape]} /></svg>
      <b aria-hidden="true">{sign}</b>
    </span>
  );
}
