import type { Metadata } from "next";
import { limitWords } from "../../lib/server/sharedUploads.ts";
import { ImportSheet } from "./ImportSheet.tsx";
import "./import.css";

export const metadata: Metadata = { title: "Bring a run in" };

export default function ImportPage() {
  return <ImportSheet limitWords={limitWords()} />;
}
