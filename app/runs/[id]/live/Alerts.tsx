"use client";
import { useState } from "react";
import type { AlertLine } from "../../../../lib/model/alert.ts";
import { isFindingKind } from "../../../../lib/model/result.ts";
import type { AlertDeed, StrandPlace } from "../../../../lib/model/liveSheet.ts";
import { AlertLight } from "../../../components/alarm/AlertLight.tsx";
import { DecideForm, NoteForm, ShelveForm } from "./AlertForms.tsx";
import { placeOf, stateWords, timeWords, waits } from "./alertWords.ts";

interface Props {
  readonly alerts: readonly AlertLine[];
  /** Those beyond them, counted by kind; "": there are none. */
  readonly more: string;
  /** What became of the last deed. */
  readonly said: string;
  readonly onDeed: (deed: AlertDeed) => Promise<boolean>;
  readonly onShow: (place: StrandPlace) => void;
}

type AlertForm = "shelve" | "decide" | "note";

/** Everything that somebody has to see, most urgent first, with what can be done about each. A long list scrolls inside. */
export function Alerts({ alerts, more, said, onDeed, onShow }: Props) {
  const [open, setOpen] = useState<{ readonly n: number; readonly form: AlertForm } | null>(null);
  const toggle = (n: number, form: AlertForm) => (): void => setOpen(open?.n === n && open.form === form ? null : { n, form });
  const close = (): void => setOpen(null);
  return (
    <section className="alerts" aria-labelledby="alerts-title">
      <h2 id="alerts-title"><span>{alerts.length === 0 ? "No alerts" : `Alerts · ${alerts.length}`}</span><span role="status" className="said">{said}</span></h2>
      {alerts.length === 0 ? null : (
        <ol aria-label="Alerts, most urgent first">
          {alerts.map((alert) => (
            <li key={alert.n} className={`alert ${alert.state}`}>
              <AlertHead alert={alert} onShow={onShow} />
              <div className="alert-deeds">
                {waits(alert) ? <button type="button" className="acknowledge" onClick={() => { void onDeed({ do: "acknowledge", n: alert.n }); }} aria-label={`Acknowledge: ${alert.title}`}>Acknowledge</button> : null}
                {alert.state === "shelved"
                  ? <button type="button" onClick={() => { void onDeed({ do: "unshelve", n: alert.n }); }} aria-label={`Unshelve: ${alert.title}`}>Unshelve</button>
                  : <button type="button" aria-expanded={open?.n === alert.n && open.form === "shelve"} onClick={toggle(alert.n, "shelve")} aria-label={`Shelve: ${alert.title}`}>Shelve</button>}
                {isFindingKind(alert.cause.kind) ? <button type="button" aria-expanded={open?.n === alert.n && open.form === "decide"} onClick={toggle(alert.n, "decide")} aria-label={`Decide: ${alert.title}`}>Decide</button> : null}
                <button type="button" aria-expanded={open?.n === alert.n && open.form === "note"} onClick={toggle(alert.n, "note")} aria-label={`Note: ${alert.title}`}>Note</button>
              </div>
              {open?.n !== alert.n ? null : open.form === "shelve" ? <ShelveForm n={alert.n} priority={alert.priority} onDeed={onDeed} onDone={close} />
                : open.form === "decide" ? <DecideForm n={alert.n} onDeed={onDeed} onDone={close} /> : <NoteForm n={alert.n} onDeed={onDeed} onDone={close} />}
            </li>
          ))}
        </ol>
      )}
      {more === "" ? null : <p className="none">{more}</p>}
    </section>
  );
}

/** Priority, title, since when, in which state, what to do; where it has a place, a way there. */
function AlertHead({ alert, onShow }: { readonly alert: AlertLine; readonly onShow: Props["onShow"] }) {
  const place = placeOf(alert);
  return (
    <>
      <AlertLight priority={alert.priority} isFlashing={alert.state === "unacknowledged"} />
      <div className="alert-words">
        <p className="alert-title">{alert.title}</p>
        <p className="alert-state">since {timeWords(alert.raisedAt)} · {stateWords(alert)}{alert.disposition === null ? "" : ` · decided by ${alert.disposition.by}`}{alert.advice === null ? "" : ` · ${alert.advice}`}</p>
      </div>
      {place === null ? null : <button type="button" className="show" onClick={() => onShow(place)} aria-label={`Show: ${alert.title}`}>Show</button>}
    </>
  );
}
