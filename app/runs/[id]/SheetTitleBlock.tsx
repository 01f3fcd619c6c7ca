"use client";
import type { RecordWords, Sheet } from "../../../lib/model/sheet.ts";
import { LayerChoice } from "../../components/LayerChoice.tsx";
import { TitleBlock, dateWords, shortHash, stampOf } from "../../components/TitleBlock.tsx";

interface Props {
  readonly sheet: Sheet;
  readonly layer: number;
  readonly onLayer: (layer: number) => void;
  readonly record: RecordWords;
  readonly who: string;
  /** "not signed", or how and by whom. */
  readonly signed: string;
  readonly scale: string;
  /** "1 of 3" */
  readonly number: string;
}

/** The same block at the foot of every sheet of a run. */
export function SheetTitleBlock({ sheet, layer, onLayer, record, who, signed, scale, number }: Props) {
  const { head, words } = sheet;
  const joined = (parts: readonly (string | null)[]): string => parts.filter((part) => part !== null).join(" · ");
  return (
    <TitleBlock label={`Title block of sheet ${number}`} cells={[
      { label: "run", value: joined([head.name, head.specimen]), twelfths: 6 },
      { label: "layer", value: <LayerChoice layers={sheet.layers.map((each) => each.layer)} layer={layer} onLayer={onLayer} />, twelfths: 6 },
      { label: "material", value: joined([head.materialName, head.lot === null ? null : `lot ${head.lot}`]), twelfths: 6 },
      { label: "verdict", value: words.acceptable === null ? "none" : words.acceptable ? "acceptable" : "not acceptable", twelfths: 3 },
      { label: "scale", value: scale, twelfths: 3 },
      { label: "plan", value: <span title={head.planSha256}>{shortHash(head.planSha256)}</span>, twelfths: 3 },
      { label: "brought in", value: dateWords(head.createdAt), twelfths: 3 },
      { label: "last who acted", value: who, twelfths: 2 },
      { label: "record", value: record.title, twelfths: 4 },
      { label: "number", value: head.runId, twelfths: 6 },
      { label: "kind", value: stampOf(head) ?? "run", twelfths: 6 },
      { label: "signed", value: signed, twelfths: 9 },
      { label: "sheet", value: number, twelfths: 3 },
    ]} />
  );
}
