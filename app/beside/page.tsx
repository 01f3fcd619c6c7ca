import type { Metadata } from "next";
import Link from "next/link";
import type { BesideAsk } from "../../lib/model/beside.ts";
import { readBesidePage, type BesidePage } from "../../lib/server/beside.ts";
import { Acting } from "../components/Acting.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { look } from "../door.ts";
import { BesideSheet } from "./BesideSheet.tsx";
import { ChooseSides } from "./ChooseSides.tsx";
import "./beside.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Two runs beside each other" };

type Query = Record<string, string | string[] | undefined>;

function asked(runId: string | string[] | undefined, resultId: string | string[] | undefined): BesideAsk | null {
  return typeof runId !== "string" || runId === "" ? null : { runId, resultId: typeof resultId === "string" && resultId !== "" ? resultId : null };
}

function layerPath(address: URLSearchParams, layer: number): string {
  const other = new URLSearchParams(address);
  other.set("layer", String(layer));
  return `/beside?${other.toString()}#maps-title`;
}

function headOf({ beside, unknown, a, b }: BesidePage): { readonly headline: string; readonly detail: string } {
  if (beside !== null) return beside;
  if (unknown !== null) return { headline: `There is no such run or result on side ${unknown}.`, detail: "Choose another." };
  const missing = a.asked === null && b.asked === null ? "two runs" : "another run to stand beside it";
  return { headline: `Choose ${missing}.`, detail: "Facts, amounts, maps, findings and strands then stand side by side." };
}

/** `?a=RUN&ra=RESULT&b=RUN&rb=RESULT&layer=N`: the two sides, without a result a run's own; and the layer whose maps are asked for. */
export default async function BesidePageShown({ searchParams }: { readonly searchParams: Promise<Query> }) {
  const query = await searchParams, left = asked(query["a"], query["ra"]), right = asked(query["b"], query["rb"]);
  const address = new URLSearchParams(Object.entries(query).flatMap(([key, value]) => (typeof value === "string" ? [[key, value]] : [])));
  const person = await look(`/beside${address.size === 0 ? "" : `?${address.toString()}`}`);
  const page = await readBesidePage(left, right, Number(query["layer"] ?? Number.NaN)), { headline, detail } = headOf(page), { beside } = page;
  return (
    <Acting person={person}>
      <main className="sheet beside">
        <header>
          <div className="above"><Link href="/">All runs</Link><WhoLine /></div>
          <h1>{headline}</h1>
          <p className="detail">{detail}</p>
        </header>
        <ChooseSides page={page} />
        {beside === null ? null : <BesideSheet beside={beside} pathOfLayer={(layer) => layerPath(address, layer)} />}
        <TitleBlock cells={[
          { label: "sheet", value: "two results beside each other", twelfths: 6 }, { label: "scale", value: beside === null ? "none" : "see maps", twelfths: 6 },
          { label: "A", value: left?.runId ?? "–", twelfths: 6 }, { label: "B", value: right?.runId ?? "–", twelfths: 6 },
        ]} />
        <SafetyNote />
      </main>
    </Acting>
  );
}
