import type { InspectResult } from "../model/result.ts";

/** result.json, byte for byte, wherever it is written: its hash stands in the log. */
export function resultText(result: InspectResult): string {
  return `${JSON.stringify(result)}\n`;
}
