import type { Metadata } from "next";
import type { PrepareTemplate } from "../../lib/model/prepare.ts";
import { listTemplates, readTemplate } from "../../lib/server/prepare.ts";
import { Acting } from "../components/Acting.tsx";
import { look } from "../door.ts";
import { PrepareSheet } from "./PrepareSheet.tsx";
import "../runs/[id]/Preflight.css";
import "./prepare.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Prepare a run" };

/** `?from=ID`: begins as that run. */
export default async function PreparePage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const { from } = await searchParams, person = await look("/prepare"), runs = listTemplates();
  const template: PrepareTemplate | null = runs.some(({ id }) => id === from) ? readTemplate(from as string) : null;
  return <Acting person={person}><PrepareSheet runs={runs} template={template} /></Acting>;
}
