/**
 * How an alert is shown, everywhere in the program: a sign, a shape, a light. Colours, rates and duty are those of IEC 60601-1-8, Table 2: high red,
 * 1.4 to 2.8 Hz; medium yellow, 0.4 to 0.8 Hz; both lit for 20 to 60 % of the time; low cyan or yellow, constant. 2 Hz stays under the three flashes
 * a second of WCAG 2.2, 2.3.1. These colours belong to alerts alone (marks.ts). Sign and shape are told apart without colour; the signs are no letters,
 * because letters are findings'.
 */
import type { AlertPriority } from "./alert.ts";

export interface AlertLight {
  /** Colour of the light on the light and on the dark sheet, #rrggbb. Its outline is ink, so that yellow is seen on a light sheet. */
  readonly light: string;
  readonly dark: string;
  /** Flashes per second; 0: constant. */
  readonly flashHz: number;
  /** Share of a flash in which the light is lit, 0..1; 1: constant. */
  readonly dutyFraction: number;
  readonly sign: string;
  readonly shape: "triangle" | "square" | "circle";
  /** Sentence case. */
  readonly label: string;
}

export const ALERT_LIGHTS: Readonly<Record<AlertPriority, AlertLight>> = {
  high: { light: "#d40000", dark: "#ff3b3b", flashHz: 2, dutyFraction: 0.5, sign: "!!!", shape: "triangle", label: "High priority" },
  medium: { light: "#f5dc00", dark: "#ffe81a", flashHz: 0.6, dutyFraction: 0.5, sign: "!!", shape: "square", label: "Medium priority" },
  low: { light: "#00b4bd", dark: "#1ae4ee", flashHz: 0, dutyFraction: 1, sign: "!", shape: "circle", label: "Low priority" },
};
