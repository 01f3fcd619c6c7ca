/** The cell's scalar channels at 5 Hz. Pressure and temperature are invented. */
import { flowMm3S, laidAreaMm2 } from "../formula/bead.ts";
import type { SignalMessage } from "../model/messages.ts";
import type { Wrong } from "./liveCauses.ts";
import type { Extruder } from "./liveExtruder.ts";
import type { RehearsalSettings } from "./settings.ts";

/** Rows of all channels come so often, s. */
export const SIGNAL_EVERY_S = 0.2;
/** Pressure with the paste at rest, and what the planned flow adds, kPa. */
const REST_KPA = 12;
const FLOW_KPA = 208;

/** What the channels show. */
export interface SignalState {
  /** Commanded, flow factor included. */
  readonly askedMm3S: number;
  readonly factor: number;
  readonly extruder: Extruder;
  readonly wrong: Wrong;
}

/** One row a channel: pressureKPa, plungerMm, temperatureC, flowMm3S, flowFactor. */
export function signalRows(settings: RehearsalSettings, tS: number, { askedMm3S, factor, extruder, wrong }: SignalState): SignalMessage[] {
  const planned = flowMm3S(laidAreaMm2(settings.shape, settings.widthMm, settings.heightMm), settings.speedMmS);
  const driven = extruder.leftMm3 > 0 ? askedMm3S / planned * wrong.pressureRatio : 0;
  const values = { pressureKPa: REST_KPA + FLOW_KPA * driven, plungerMm: extruder.plungerMm, temperatureC: 23 + 0.1 * Math.sin(tS / 37), flowMm3S: askedMm3S, flowFactor: factor };
  return Object.entries(values).map(([name, value]) => ({ kind: "signal", tS, name, value }));
}
