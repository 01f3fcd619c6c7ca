import type { Metadata } from "next";
import { viewLink } from "../../lib/server/people/links.ts";
import { EntrySheet } from "../components/EntrySheet.tsx";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "The first person" };

/** `?key=KEY`: lets its bearer in, once. Free for everybody. */
export default async function FirstPage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const { key } = await searchParams, linkKey = typeof key === "string" ? key : "", view = viewLink(linkKey);
  return <EntrySheet linkKey={linkKey} view={view?.kind === "first" ? view : null} />;
}
