"use client";
import Link from "next/link";
import { useRouter } from "next/navigation";
import { useState, type DragEvent, type FormEvent } from "react";
import type { PrepareProblem, PrepareTemplate } from "../../lib/model/prepare.ts";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { MayDo } from "../components/MayDo.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { fromDrop } from "../import/chosenFiles.ts";
import { Checks } from "./Checks.tsx";
import { Fields } from "./Fields.tsx";
import { Source } from "./Source.tsx";
import { headWords, problemAt, problemSentence } from "./prepareProblem.ts";
import { send, usePrepare, type Draft } from "./usePrepare.ts";

interface Props {
  readonly runs: readonly { readonly id: string; readonly name: string; readonly createdAt: string }[];
  /** Begins as an earlier run; null: empty. */
  readonly template: PrepareTemplate | null;
}

/** Makes a run before its print: job and plan, what differs, what is known beforehand, and who arms it. */
export function PrepareSheet({ runs, template }: Props) {
  const router = useRouter();
  const { draft, checked, before, choose, startFrom, type } = usePrepare(template);
  const [refused, setRefused] = useState<{ readonly of: Draft; readonly problem: PrepareProblem } | null>(null);
  const [isArming, setArming] = useState(false);
  const answer = checked.state === "told" ? checked.answer : null;
  const ready = answer !== null && "given" in answer ? answer.given : null;
  const problem = refused?.of === draft ? refused.problem : answer !== null && "problem" in answer ? answer.problem : null;
  const { headline, detail } = headWords(draft, checked, problem);

  const arm = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setArming(true);
    const { jobText, planText, planName, fields } = draft;
    const sent = await send<{ readonly runId: string }>("/api/prepare/arm", { jobText, planText, planName, fields });
    setArming(false);
    if ("given" in sent) router.push(`/runs/${sent.given.runId}`);
    else setRefused({ of: draft, problem: sent.problem });
  };
  const drop = (event: DragEvent): void => {
    event.preventDefault();
    void fromDrop(event.dataTransfer).then(({ files }) => choose(files));
  };
  const atPerson = problem === null ? null : problemAt(problem) === "person" ? problem : null;
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions -- dropping is one more way; the button does the same
    <main className="sheet prepare" onDragOver={(event) => event.preventDefault()} onDrop={drop}>
      <header>
        <div className="above"><Link href="/">All runs</Link><Link href="/calibration">Calibrate a camera</Link><WhoLine />{ready?.rehearsal === true ? <p className="stamp">REHEARSAL</p> : null}</div>
        <h1 aria-live="polite">{headline}</h1>
        <p className="detail">{detail}</p>
      </header>
      <div className="making">
        <Source runs={runs} draft={draft} problem={problem} choose={choose} startFrom={startFrom} />
        {draft.jobText === "" ? null : <Fields draft={draft} problem={problem} type={type} />}
        <MayDo deed="prepare">
          <form className="arming" onSubmit={(event) => { void arm(event); }} aria-label="Arm the run">
            <p className="none">Your name enters the run’s log.</p>
            <button type="submit" disabled={ready === null || isArming}>Arm</button>
            {atPerson === null ? null : <p className="field-problem" role="alert">{problemSentence(atPerson)}</p>}
          </form>
        </MayDo>
      </div>
      <Checks sheet={ready ?? (checked.state === "asking" ? before : null)} isAsking={checked.state === "asking"} />
      <TitleBlock cells={[
        { label: "sheet", value: "preparing a run", twelfths: 4 },
        { label: "run", value: draft.fields["name"] === undefined || draft.fields["name"] === "" ? "–" : draft.fields["name"], twelfths: 4 },
        { label: "state", value: ready === null ? "not ready" : "ready to be armed", twelfths: 4 },
        { label: "plan", value: draft.planName === "" ? "–" : draft.planName, twelfths: 4 },
        { label: "begun", value: draft.origin === "" ? "from files" : draft.origin, twelfths: 4 },
        { label: "scale", value: "see picture", twelfths: 4 },
      ]} />
      <SafetyNote />
    </main>
  );
}
