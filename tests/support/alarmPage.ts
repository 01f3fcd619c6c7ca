/** Runs in the browser: alarms drawn and sounded by themselves, without the program around them. */
import { createElement, Fragment } from "react";
import { createRoot } from "react-dom/client";
import { AlertLight } from "../../app/components/alarm/AlertLight.tsx";
import { ALERT_CSS } from "../../app/components/alarm/alarmStyle.ts";
import { MARK_CSS } from "../../app/components/markStyle.ts";
import { SoundBar } from "../../app/components/alarm/SoundBar.tsx";
import { soundRepeatedly } from "../../app/components/alarm/sound.ts";
import type { AlarmCause } from "../../app/components/alarm/useAlarm.ts";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import type { SoundKind } from "../../lib/model/alertSound.ts";

/** The page's clock stops so often while it renders, s: what is heard to end is acted on within that. */
const STEP_S = 0.1;

/** The first `lastsS` of repeated bursts, from samples that no loudspeaker has touched, as -1..1. */
async function render(kind: SoundKind, lastsS: number, sampleHz: number): Promise<number[]> {
  const context = new OfflineAudioContext(1, lastsS * sampleHz, sampleHz);
  const others = async (): Promise<void> => new Promise((resolve) => { setTimeout(resolve, 0); });
  for (let atS = STEP_S; atS < lastsS; atS += STEP_S) void context.suspend(atS).then(others).then(() => context.resume());
  soundRepeatedly(context, kind);
  return Array.from((await context.startRendering()).getChannelData(0));
}

let ear: AnalyserNode | null = null;

/** From now on, what goes to the loudspeaker goes to the ear as well. */
function listen(): void {
  const connect = Reflect.get(AudioNode.prototype, "connect") as (this: AudioNode, to: AudioNode) => AudioNode;
  Object.assign(AudioNode.prototype, {
    connect(this: AudioNode, to: AudioNode): AudioNode {
      if (to === this.context.destination && this.context instanceof AudioContext) connect.call(this, ear ??= new AnalyserNode(this.context, { fftSize: 4096 }));
      return connect.call(this, to);
    },
  });
}
listen();

/** The loudest sample of the last 0.1 s or so that went to the loudspeaker, 0..1. */
function loudest(): number {
  const samples = new Float32Array(4096);
  ear?.getFloatTimeDomainData(samples);
  return samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

let root: ReturnType<typeof createRoot> | null = null;

function show(cause: AlarmCause): void {
  root ??= createRoot(document.getElementById("root") as HTMLElement);
  const lights = ALERT_PRIORITIES.flatMap((priority) => [true, false].map((isFlashing) => createElement(AlertLight, { key: `${priority} ${isFlashing}`, priority, isFlashing })));
  root.render(createElement(Fragment, null, createElement("style", null, MARK_CSS, ALERT_CSS), createElement("h1", null, "Alarms"), createElement(SoundBar, cause), createElement("div", { className: "lights" }, ...lights)));
}

Object.assign(window, { alarms: { render, show, loudest } });
