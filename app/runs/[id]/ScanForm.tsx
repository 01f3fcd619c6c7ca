"use client";
import { useRouter } from "next/navigation";
import type { FormEvent } from "react";
import { useState } from "react";
import { NOTE_MAX_CHARS } from "../../../lib/model/reason.ts";
import { SCAN_FILE, SCAN_MOST_BYTES, type KeptScan } from "../../../lib/model/scan.ts";
import { MayDo } from "../../components/MayDo.tsx";
import { sendBody } from "./sendForm.ts";

/** Why a file is not sent at all; null: it is. */
function complaintOf(file: File): string | null {
  if (!SCAN_FILE.test(file.name)) return "its name ends in neither .ndjson nor .arrow";
  return file.size > SCAN_MOST_BYTES ? `it is larger than ${SCAN_MOST_BYTES / 1e9} GB` : null;
}

/** Adds a scan of the specimen once its material had set; the log names who is signed in. */
export function ScanForm({ runId }: { readonly runId: string }) {
  const router = useRouter();
  const [file, setFile] = useState<File | null>(null);
  const [setAt, setSetAt] = useState("");
  const [note, setNote] = useState("");
  const [said, setSaid] = useState("");
  const [sending, setSending] = useState(false);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (file === null) return;
    const complaint = complaintOf(file);
    if (complaint !== null) return setSaid(`Not sent: ${complaint}.`);
    setSending(true);
    setSaid("Sent and measured; that takes as long as measuring the run, or twice as long. Stay on this page.");
    const query = new URLSearchParams({ name: file.name, note, setAt: setAt === "" ? "" : new Date(setAt).toISOString() });
    const sent = await sendBody<KeptScan>(`/api/runs/${runId}/scans?${query.toString()}`, file, "application/octet-stream");
    setSending(false);
    if ("problem" in sent) return setSaid(`Not kept: ${sent.problem}.`);
    setSaid(`Kept as scan ${sent.kept.n}.`);
    setNote("");
    router.refresh();
  };
  return (
    <MayDo deed="scan"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Add a scan after setting">
      <label>Profiles of the set specimen, in the frame plan (.ndjson or .arrow) <input type="file" accept=".ndjson,.arrow" required onChange={(event) => setFile(event.target.files?.[0] ?? null)} /></label>
      <label>Material had set at (empty: now) <input type="datetime-local" value={setAt} onChange={(event) => setSetAt(event.target.value)} /></label>
      <label>Note <input type="text" value={note} maxLength={NOTE_MAX_CHARS} onChange={(event) => setNote(event.target.value)} /></label>
      <button type="submit" disabled={sending}>Add the scan</button>
      <p role="status">{said}</p>
    </form></MayDo>
  );
}
