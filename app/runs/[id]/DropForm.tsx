"use client";
import { useRouter } from "next/navigation";
import { useState, type FormEvent } from "react";
import { sizeWords } from "../../../lib/base/sizeWords.ts";
import { mayDo } from "../../../lib/model/person.ts";
import { DROP_REASONS, firstOf } from "../../../lib/model/reason.ts";
import { usePerson } from "../../components/Acting.tsx";
import { ReasonField } from "./ReasonField.tsx";
import { sendForm } from "./sendForm.ts";

interface Props { readonly runId: string; readonly fileCount: number; readonly bytes: number }

/** Gives up the raw data of a run: for administrators, who name an export that the server then verifies. Others are not shown it. */
export function DropForm({ runId, fileCount, bytes }: Props) {
  const router = useRouter(), person = usePerson();
  const [picked, setPicked] = useState(() => firstOf(DROP_REASONS)), [folder, setFolder] = useState(""), [said, setSaid] = useState(""), [isSending, setSending] = useState(false);
  if (person === null || !mayDo(person.roles, "dropRaw") || fileCount === 0) return null;
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSending(true);
    setSaid("The export is being verified.");
    const sent = await sendForm<{ readonly bytes: number }>(`/api/runs/${runId}/drop`, { folder: folder.trim(), ...picked });
    setSending(false);
    setSaid("problem" in sent ? `Nothing was dropped: ${sent.problem}.` : `${sizeWords(sent.kept.bytes)} dropped; the log says so.`);
    if (!("problem" in sent)) router.refresh();
  };
  return (
    <section className="drop" aria-label="Raw data"><details>
      <summary>Drop the raw data: {sizeWords(bytes)}</summary>
      <p className="none">Profiles, poses, signals and pictures of this run go; its log and its results stay for ever. First export it (npm run export) and keep that folder safe: it is verified now, and there is no other way back.</p>
      <form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Drop the raw data">
        <label className="wide">Folder of the export, on the server’s machine <input type="text" value={folder} required maxLength={4096} spellCheck={false} autoComplete="off" onChange={(event) => setFolder(event.target.value)} /></label>
        <ReasonField reasons={DROP_REASONS} picked={picked} onPick={setPicked} mayNote />
        <button type="submit" disabled={isSending}>Verify the export, then drop</button>
        <p role="status">{said}</p>
      </form>
    </details></section>
  );
}
