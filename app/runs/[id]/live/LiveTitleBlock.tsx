"use client";
import type { LiveSheet, LiveWords } from "../../../../lib/model/liveSheet.ts";
import { LayerChoice } from "../../../components/LayerChoice.tsx";
import { TitleBlock, dateWords, shortHash } from "../../../components/TitleBlock.tsx";

const STATE_WORDS: Readonly<Record<LiveWords["state"], string>> = { recorded: "brought in", prepared: "prepared", live: "being laid", paused: "paused", onHold: "on hold", finished: "finished", aborted: "aborted" };

interface Props {
  readonly sheet: LiveSheet;
  readonly state: LiveWords["state"];
  readonly layer: number;
  readonly onLayer: (layer: number) => void;
  /** The first sheet leaves out what the second one says. */
  readonly number: 1 | 2;
}

/** The same block at the foot of both sheets of a run that lives. */
export function LiveTitleBlock({ sheet: { head, layers, since }, state, layer, onLayer, number }: Props) {
  const joined = (parts: readonly (string | null)[]): string => parts.filter((part) => part !== null).join(" · ");
  return (
    <TitleBlock label={`Title block of sheet ${number} of 2`} cells={[
      { label: "run", value: joined([head.name, head.specimen]), twelfths: 6 },
      { label: "layer", value: <LayerChoice layers={layers.map((each) => each.layer)} layer={layer} onLayer={onLayer} />, twelfths: 6 },
      { label: "plan", value: <span title={head.planSha256}>{shortHash(head.planSha256)}</span>, twelfths: 3 },
      { label: "since", value: dateWords(since), twelfths: 3 },
      { label: "state", value: STATE_WORDS[state], twelfths: 2 },
      { label: "verdict", value: "none yet", twelfths: 2 },
      { label: "sheet", value: `${number} of 2`, twelfths: 2 },
      ...(number === 1 ? [] : [
        { label: "material", value: joined([head.materialName, head.lot === null ? null : `lot ${head.lot}`]), twelfths: 4 as const },
        { label: "number", value: head.runId, twelfths: 6 as const },
        { label: "scale", value: "none", twelfths: 2 as const },
      ]),
    ]} />
  );
}
