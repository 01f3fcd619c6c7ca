import type { Metadata } from "next";
import { limitWords } from "../../lib/server/sharedUploads.ts";
import { Acting } from "../components/Acting.tsx";
import { look } from "../door.ts";
import { ImportSheet } from "./ImportSheet.tsx";
import "./import.css";

export const metadata: Metadata = { title: "Bring a run in" };

export const dynamic = "force-dynamic";

export default async function ImportPage() {
  return <Acting person={await look("/import")}><ImportSheet limitWords={limitWords()} /></Acting>;
}
