import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { cache } from "react";
import { readSheet } from "../../../lib/server/pages.ts";
import { ReviewSheet } from "./ReviewSheet.tsx";

export const dynamic = "force-dynamic";

interface Props { readonly params: Promise<{ readonly id: string }> }

const sheetOf = cache(readSheet);

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const sheet = await sheetOf((await params).id);
  return { title: sheet === null ? "No such run" : sheet.head.name };
}

export default async function RunPage({ params }: Props) {
  const sheet = await sheetOf((await params).id);
  if (sheet === null) notFound();
  return <ReviewSheet sheet={sheet} />;
}
