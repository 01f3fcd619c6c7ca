"use client";
import { useRouter } from "next/navigation";
import type { FormEvent } from "react";
import { useState } from "react";
import { changedBands } from "../../../lib/model/bandForm.ts";
import { NOTE_MAX_CHARS } from "../../../lib/model/reason.ts";
import type { BandTexts } from "../../../lib/model/recompute.ts";
import { MayDo } from "../../components/MayDo.tsx";
import { useRecompute } from "./useRecompute.ts";

type Field = keyof BandTexts;
interface Row { readonly title: string; readonly unit: string; readonly watch: readonly Field[]; readonly act: readonly Field[] }

const ROWS: readonly Row[] = [
  { title: "area ratio", unit: "", watch: ["areaRatioWatchLow", "areaRatioWatchHigh"], act: ["areaRatioActLow", "areaRatioActHigh"] },
  { title: "width against plan, ±", unit: "mm", watch: ["widthWatchMm"], act: ["widthActMm"] },
  { title: "height against plan, ±", unit: "mm", watch: ["heightWatchMm"], act: ["heightActMm"] },
  { title: "offset from the path, up to", unit: "mm", watch: ["offsetWatchMm"], act: ["offsetActMm"] },
  { title: "gap, area ratio below", unit: "", watch: [], act: ["gapRatio"] },
];

interface CellProps { readonly row: Row; readonly side: "watch" | "act"; readonly own: BandTexts; readonly texts: BandTexts; readonly onType: (field: Field, text: string) => void }

/** One or two limits of a kind; a low and a high one are told apart in their names. */
function Limits({ row, side, own, texts, onType }: CellProps) {
  const { title, unit } = row, fields = row[side];
  return fields.map((field, i) => (
    <input key={field} type="text" inputMode="decimal" value={texts[field]} placeholder={own[field] === "" ? "as it is" : "by plan"} onChange={(event) => onType(field, event.target.value)}
      aria-label={`${title}, ${side}${fields.length === 1 ? "" : i === 0 ? ", low" : ", high"}${unit === "" ? "" : `, ${unit}`}`} />
  ));
}

/** Measures the kept data again under other bands; the log names who is signed in. `own`: the run's own bands, with which it begins. */
export function RecomputeForm({ runId, own }: { readonly runId: string; readonly own: BandTexts }) {
  const router = useRouter();
  const [texts, setTexts] = useState(own);
  const [reason, setReason] = useState("");
  const { isGoingOn, said, ask } = useRecompute(runId, (resultId) => router.push(`/runs/${runId}?result=${resultId}`));
  const type = (field: Field, text: string): void => setTexts((before) => ({ ...before, [field]: text }));
  const submit = (event: FormEvent): void => {
    event.preventDefault();
    void ask({ bands: changedBands(own, texts), reason });
  };
  return (
    <MayDo deed="recompute"><form className="person-form recompute" onSubmit={submit} aria-label="Measure again under other bands">
      <table>
        <thead><tr><th scope="col">limits</th><th scope="col">watch</th><th scope="col">act</th></tr></thead>
        <tbody>
          {ROWS.map((row) => (
            <tr key={row.title}>
              <th scope="row">{row.title}{row.unit === "" ? "" : ` (${row.unit})`}</th>
              <td><Limits row={row} side="watch" own={own} texts={texts} onType={type} /></td>
              <td><Limits row={row} side="act" own={own} texts={texts} onType={type} /></td>
            </tr>
          ))}
        </tbody>
      </table>
      <label>Called good inside its limits by so many standard uncertainties <input type="text" inputMode="decimal" value={texts.guard} required onChange={(event) => type("guard", event.target.value)} /></label>
      <label className="wide">Reason, as it will stand in the log <input type="text" value={reason} required maxLength={NOTE_MAX_CHARS} onChange={(event) => setReason(event.target.value)} /></label>
      <p className="none wide">A field that is emptied follows the planned bead. Plan, devices, nozzle and material stay as they were; the run’s own result stays, too. A long run takes minutes.</p>
      <button type="submit" disabled={isGoingOn}>Measure again</button>
      <p role="status">{said}</p>
    </form></MayDo>
  );
}
