/** The one table of alert lights as CSS: `--alert-high` and the like for both sheets, and how each priority flashes. */
import { ALERT_PRIORITIES } from "../../../lib/model/alert.ts";
import { ALERT_LIGHTS } from "../../../lib/model/alertLights.ts";

function colours(side: "light" | "dark"): string {
  return ALERT_PRIORITIES.map((priority) => `--alert-${priority}: ${ALERT_LIGHTS[priority][side]};`).join(" ");
}

/** Lit from the start, dark from the end of the duty on, without a fade. */
const FLASHES = ALERT_PRIORITIES.filter((priority) => ALERT_LIGHTS[priority].flashHz > 0).map((priority) => {
  const { flashHz, dutyFraction } = ALERT_LIGHTS[priority];
  return `@keyframes alert-${priority} { 0% { fill-opacity: 1; } ${dutyFraction * 100}% { fill-opacity: 0; } }
.alert-light.${priority}.flashing .light { animation: alert-${priority} ${1 / flashHz}s step-end infinite; }`;
}).join("\n");

export const ALERT_CSS = `:root { ${colours("light")} }
@media (prefers-color-scheme: dark) { :root { ${colours("dark")} } }
@media print { :root { ${colours("light")} } }
@media screen and (prefers-reduced-motion: no-preference) {
${FLASHES}
}`;
