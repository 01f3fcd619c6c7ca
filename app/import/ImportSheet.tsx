"use client";
import Link from "next/link";
import { useEffect, useRef, useState, type DragEvent } from "react";
import { isOver } from "../../lib/model/importState.ts";
import { mayDo } from "../../lib/model/person.ts";
import { usePerson } from "../components/Acting.tsx";
import { MayDo } from "../components/MayDo.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { fromDrop, type Chosen } from "./chosenFiles.ts";
import { Choice } from "./Choice.tsx";
import { Contents } from "./Contents.tsx";
import { Progress } from "./Progress.tsx";
import { sendRun } from "./sendRun.ts";
import { isGoing, problemIn, type View } from "./view.ts";
import { placeRows, spokenWords, wordsOf } from "./words.ts";

const STATE_WORDS = { choosing: "nothing chosen", odd: "nothing chosen", asking: "being sent", refused: "not brought in", lost: "not brought in" } as const;
const STEP_WORDS = { receiving: "being sent", waiting: "waiting", unpacking: "unpacking", measuring: "measuring", done: "in", failed: "not brought in", cancelled: "cancelled" } as const;

function nameIn(view: View): string {
  return view.phase === "told" ? view.state.offer.name : "name" in view ? view.name : "–";
}

/** Brings a run in: choose or drop, then progress, then its sheet or the one reason why not. */
export function ImportSheet({ limitWords }: { readonly limitWords: string }) {
  const [view, setView] = useState<View>({ phase: "choosing" });
  const [isOverSheet, setOverSheet] = useState(false);
  const abort = useRef<AbortController | null>(null);
  const sentence = useRef<HTMLHeadingElement>(null);
  const cancelButton = useRef<HTMLButtonElement>(null);
  const sheetLink = useRef<HTMLAnchorElement>(null);
  const person = usePerson(), mayImport = person !== null && mayDo(person.roles, "import");
  const going = isGoing(view);
  const { sentence: words, detail } = wordsOf(view);
  const problem = problemIn(view);
  const runId = view.phase === "told" ? view.state.runId : null;

  // What had the focus is gone when the step changes: it goes on to what is wanted next.
  const focusOn = view.phase === "choosing" ? "nothing" : going ? "cancel" : runId === null ? "sentence" : "sheet";
  useEffect(() => {
    if (focusOn === "cancel") cancelButton.current?.focus();
    if (focusOn === "sheet") sheetLink.current?.focus();
    if (focusOn === "sentence") sentence.current?.focus();
  }, [focusOn]);

  const start = async (chosen: Chosen): Promise<void> => {
    if (chosen.files.length === 0) {
      setView({ phase: "odd", why: "There is no file in it. A run folder holds at least job.json, the plan and one recording." });
      return;
    }
    abort.current = new AbortController();
    setView({ phase: "asking", name: chosen.name });
    setView(await sendRun(chosen, { heard: setView, signal: abort.current.signal }));
  };
  const drop = (event: DragEvent): void => {
    event.preventDefault();
    setOverSheet(false);
    if (going || !mayImport) return;
    fromDrop(event.dataTransfer).then(start, () => setView({ phase: "odd", why: "What was dropped could not be read. Choose the folder instead." }));
  };
  const dragOver = (event: DragEvent): void => {
    event.preventDefault();
    setOverSheet(!going && mayImport);
  };

  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions -- dropping is one more way; the buttons do the same
    <main className={`sheet bring${isOverSheet ? " over" : ""}`} onDragOver={dragOver} onDragLeave={() => setOverSheet(false)} onDrop={drop}>
      <header>
        <div className="above"><Link href="/">All runs</Link><WhoLine /></div>
        <h1 ref={sentence} tabIndex={-1}>{words}</h1>
        <p className="detail">{detail}</p>
      </header>
      <p className="spoken" aria-live="polite">{spokenWords(view)}</p>
      <section className="way" aria-label="Bring a run in">
        {view.phase === "told" && !isOver(view.state) ? <Progress state={view.state} /> : null}
        {problem === null || placeRows(problem).length === 0 ? null : (
          <dl className="fault">{placeRows(problem).map(([label, value]) => <div key={label}><dt>{label}</dt><dd>{value}</dd></div>)}</dl>
        )}
        {going ? <p className="acts"><button ref={cancelButton} type="button" onClick={() => abort.current?.abort()}>Cancel</button></p> : null}
        {runId === null ? null : <p className="acts"><Link ref={sheetLink} className="act" href={`/runs/${runId}`}>Open its sheet</Link></p>}
        {going ? null : <MayDo deed="import"><Choice again={view.phase !== "choosing"} choose={(chosen) => void start(chosen)} limitWords={limitWords} /></MayDo>}
      </section>
      <Contents />
      <TitleBlock cells={[
        { label: "sheet", value: "bringing a run in", twelfths: 4 },
        { label: "run", value: nameIn(view), twelfths: 4 },
        { label: "state", value: view.phase === "told" ? STEP_WORDS[view.state.step] : STATE_WORDS[view.phase], twelfths: 4 },
      ]} />
      <SafetyNote />
    </main>
  );
}
