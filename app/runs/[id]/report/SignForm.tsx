"use client";
import { useRouter } from "next/navigation";
import { useState, type FormEvent } from "react";
import { NOTE_MAX_CHARS } from "../../../../lib/model/reason.ts";
import { MEANING_WORDS, MEANINGS, type Signature, type SignatureMeaning } from "../../../../lib/model/signature.ts";
import { usePerson } from "../../../components/Acting.tsx";
import { MayDo } from "../../../components/MayDo.tsx";
import { PassphraseField } from "../../../components/PassphraseField.tsx";
import { SignInLink } from "../../../components/SignInLink.tsx";
import { useStored } from "../../../components/useStored.ts";
import { sendForm, type Refused } from "../sendForm.ts";
import { useRecordCheck } from "./RecordCheck.tsx";
import "./sign.css";

interface Props {
  readonly runId: string;
  readonly resultId: string;
  /** Of the log as the report on this page tells of it. */
  readonly head: string;
}

const REMARKS_LABEL: Readonly<Record<SignatureMeaning, string>> = { accept: "Remarks", acceptWithRemarks: "Remarks, which stand with the signature", reject: "Reason of the rejection" };

interface WordsProps { readonly meaning: SignatureMeaning; readonly value: string; readonly problem: string; readonly onChange: (words: string) => void }

function Words({ meaning, value, problem, onChange }: WordsProps) {
  if (meaning === "accept") return null;
  return (
    <div className="remarks">
      <label htmlFor="sign-remarks">{REMARKS_LABEL[meaning]}</label>
      <textarea id="sign-remarks" value={value} required rows={3} maxLength={NOTE_MAX_CHARS} aria-invalid={problem === "" ? undefined : true} aria-describedby={problem === "" ? undefined : "sign-remarks-problem"} onChange={(event) => onChange(event.target.value)} />
      {problem === "" ? null : <p id="sign-remarks-problem" className="field-problem">{problem}</p>}
    </div>
  );
}

/** What a signature says once it is in the log. */
function SignedNow({ signed: { printedName, at, meaning } }: { readonly signed: Signature }) {
  return <p role="status" className="signed-now">Signed: {MEANING_WORDS[meaning].done} by {printedName}, {at.slice(0, 10)} {at.slice(11, 19)} UTC.</p>;
}

const SESSION_OVER = "people.signIn";
const capital = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
const problemAt = (refused: Refused | null, field: "remarks" | "passphrase"): string => {
  if (refused === null || !(field === "remarks" ? refused.key === "remarks" : ["people.wrong", "people.wait"].includes(refused.code))) return "";
  return refused.code === "people.wrong" ? "The passphrase is not right; nothing was signed." : capital(refused.problem);
};

/** What is typed stays in this browser until it is signed, so that signing in again loses nothing; of each person their own. */
function Fields({ runId, resultId, head }: Props) {
  const router = useRouter(), person = usePerson(), key = `aslaid-sign-${runId}-${person?.name ?? ""}`;
  const [remarks, setRemarks] = useStored(`${key}-remarks`), [kept, setMeaning] = useStored(`${key}-meaning`);
  const meaning = MEANINGS.find((each) => each === kept) ?? null;
  const [passphrase, setPassphrase] = useState(""), [isSending, setSending] = useState(false), [refused, setRefused] = useState<Refused | null>(null), [signed, setSigned] = useState<Signature | null>(null);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (meaning === null) return;
    setSending(true);
    setRefused(null);
    const sent = await sendForm<Signature>(`/api/runs/${runId}/signatures`, { resultId, meaning, remarks: meaning === "accept" ? "" : remarks, passphrase, head });
    setSending(false);
    setPassphrase("");
    if ("problem" in sent) setRefused(sent);
    else {
      setSigned(sent.kept);
      setRemarks("");
      setMeaning("");
      router.refresh();
    }
  };
  const atField = problemAt(refused, "remarks") !== "" || problemAt(refused, "passphrase") !== "";
  return (
    <form className="sign-form" method="post" onSubmit={(event) => { void submit(event); }} aria-label="Sign this report">
      <fieldset>
        <legend>What your signature means</legend>
        {MEANINGS.map((each) => <label key={each}><input type="radio" name="meaning" value={each} required checked={meaning === each} onChange={() => setMeaning(each)} /> {MEANING_WORDS[each].deed}</label>)}
      </fieldset>
      {meaning === null ? null : <Words meaning={meaning} value={remarks} problem={problemAt(refused, "remarks")} onChange={setRemarks} />}
      <PassphraseField label="Your passphrase, again" value={passphrase} onChange={setPassphrase} isNew={false} hint={`Signed as ${person?.name ?? ""}. The report as it stands here is kept with the signature, and cannot be changed after.`} problem={problemAt(refused, "passphrase")} />
      <button type="submit" disabled={isSending}>Sign</button>
      <div role="status">
        {isSending ? <p>The files are being hashed and the report kept; then it is signed.</p> : null}
        {refused === null || atField ? null : refused.code === SESSION_OVER
          ? <p>Not signed: your session has ended. <SignInLink>Sign in and come back here</SignInLink>; what you typed stays.</p>
          : <p>Not signed: {refused.problem}.{refused.code === "sign.grown" ? <> <button type="button" className="plain-button" onClick={() => { setRefused(null); router.refresh(); }}>Show it as it is now</button></> : null}</p>}
      </div>
      {signed === null ? null : <SignedNow signed={signed} />}
    </form>
  );
}

/** A reviewer signs the report that stands above: meaning, remarks, and their passphrase at this moment. */
export function SignForm(of: Props) {
  const checked = useRecordCheck();
  return <MayDo deed="sign">{checked === null ? <p className="may-do none">The record is being checked; what is whole can then be signed.</p> : checked.refusal === null ? <Fields {...of} /> : <p className="may-do none">{checked.refusal}</p>}</MayDo>;
}
