import type { LinkView } from "../../lib/server/people/links.ts";
import { rolesText } from "../../lib/model/person.ts";
import { Cautions } from "./Cautions.tsx";
import { EntryForm } from "./EntryForm.tsx";
import { SafetyNote } from "./SafetyNote.tsx";
import { TitleBlock } from "./TitleBlock.tsx";
import "../people/people.css";

const WORDS = {
  first: { headline: "You are the first person here.", detail: "Give a name and a passphrase. You get every role, and can then let others in.", button: "Come in" },
  invited: { headline: "You are invited.", detail: "Choose a passphrase, and you are in.", button: "Come in" },
  newPassphrase: { headline: "Give a new passphrase.", detail: "With it you are signed in here, and signed out everywhere else.", button: "Keep it" },
} as const;

/** The sheet behind a link that lets somebody in once; `view` null: the link does not count. */
export function EntrySheet({ linkKey, view }: { readonly linkKey: string; readonly view: LinkView | null }) {
  if (view === null) return <SpentLink />;
  const { headline, detail, button } = WORDS[view.kind];
  return (
    <main className="sheet entry">
      <header>
        <h1>{headline}</h1>
        <p className="detail">{view.kind === "invited" ? `${detail} Your role: ${rolesText(view.roles, "and")}.` : detail}</p>
      </header>
      <div className="way"><EntryForm linkKey={linkKey} name={view.name} buttonWords={button} /></div>
      <Cautions />
      <TitleBlock cells={[{ label: "sheet", value: "coming in", twelfths: 6 }, { label: "link", value: "counts once", twelfths: 6 }]} />
      <SafetyNote />
    </main>
  );
}

function SpentLink() {
  return (
    <main className="sheet plain">
      <header>
        <h1>This link does not count any more.</h1>
        <p className="detail">It was used, taken back, or is too old. An administrator can make another one; before there is one, a server that is started anew prints one.</p>
      </header>
      <SafetyNote />
    </main>
  );
}
