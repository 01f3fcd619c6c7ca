import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { dispositionsOf, notesOf } from "../../../lib/server/dispositions.ts";
import { readRecordWords, readRunName, readSheet } from "../../../lib/server/pages.ts";
import { ReviewSheet } from "./ReviewSheet.tsx";

export const dynamic = "force-dynamic";

interface Props { readonly params: Promise<{ readonly id: string }> }

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: await readRunName((await params).id) ?? "No such run" };
}

export default async function RunPage({ params }: Props) {
  const { id } = await params;
  const sheet = await readSheet(id);
  if (sheet === null) notFound();
  return <ReviewSheet sheet={sheet} record={readRecordWords(id)} dispositions={dispositionsOf(id)} notes={notesOf(id)} before={null} />;
}
