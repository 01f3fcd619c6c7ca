"use client";
import { ALERT_LIGHTS } from "../../../lib/model/alertLights.ts";
import type { SoundKind } from "../../../lib/model/alertSound.ts";
import { AUDIO_PAUSE_S } from "../../../lib/model/audioPause.ts";
import { TEST_KIND, useAlarm, type Alarm, type AlarmCause } from "./useAlarm.ts";

/** "high priority": after a colon. */
const nameOf = (kind: SoundKind): string => (kind === "lost" ? "this screen has lost its server" : ALERT_LIGHTS[kind].label.toLowerCase());

/** 117 → "1:57" */
const minutes = (s: number): string => `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;

/** Of a state, never of a second that passes: screen readers read each change out. */
function words({ audio, sounding, isTesting, pauseLeftS }: Alarm): string {
  if (audio === "absent") return "This browser cannot sound alerts";
  if (audio === "asleep") return "Sound is off until this screen is touched";
  if (pauseLeftS !== null) return "Sound is paused; a new or more urgent alert ends the pause";
  if (sounding !== null) return `Sounding: ${nameOf(sounding)}`;
  return isTesting ? `This is a test: ${nameOf(TEST_KIND)}` : "Sound is on";
}

/** Whether alerts are heard on this screen, a test of it, and the audio pause. Sounds by itself: one on a page. */
export function SoundBar(cause: AlarmCause) {
  const alarm = useAlarm(cause);
  const { audio, sounding, pauseLeftS } = alarm;
  return (
    <section className="sound-bar" aria-label="Sound" data-sounding={sounding ?? "none"}>
      <p role="status" className={audio === "awake" && pauseLeftS === null ? undefined : "sound-off"}>{words(alarm)}</p>
      <button type="button" disabled={sounding !== null || audio === "absent"} onClick={alarm.test}>Test the sound</button>
      {pauseLeftS === null
        ? <button key="pause" type="button" disabled={sounding === null} onClick={alarm.pause}>Pause the sound for {AUDIO_PAUSE_S / 60} min</button>
        : <button key="pause" type="button" onClick={alarm.endPause}>Sound again now, {minutes(pauseLeftS)} left</button>}
    </section>
  );
}
