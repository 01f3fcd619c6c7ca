import type { Metadata } from "next";
import Link from "next/link";
import type { ApiCall, ApiField } from "../../lib/model/apiCall.ts";
import { apiPage } from "../../lib/server/wire/apiPage.ts";
import { Acting } from "../components/Acting.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { look } from "../door.ts";
import "./api.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "The wire" };

const idOf = ({ method, path }: ApiCall): string => `${method} ${path}`.toLowerCase().replaceAll(/[^a-z]+/g, "-").replace(/-$/, "");

/** A description's words: what stands in backticks is code. */
function Said({ words }: { readonly words: string }) {
  return words.split("`").map((part, i) => (i % 2 === 1 ? <code key={i}>{part}</code> : part));
}

function Fields({ fields }: { readonly fields: readonly ApiField[] }) {
  if (fields.length === 0) return null;
  return (
    <table>
      <thead><tr><th scope="col">key</th><th scope="col">what it is</th><th scope="col">needed</th></tr></thead>
      <tbody>{fields.map(({ name, type, isRequired, about }) => <tr key={name}><th scope="row"><code>{name}</code></th><td>{[type, about].filter((part) => part !== "").join(": ")}</td><td>{isRequired ? "yes" : "–"}</td></tr>)}</tbody>
    </table>
  );
}

function Call({ call }: { readonly call: ApiCall }) {
  const { method, path, about, who, query, bodies, answers } = call;
  return (
    <section className="call" aria-labelledby={idOf(call)}>
      <h2 id={idOf(call)}><code>{method} {path}</code></h2>
      <p className="about"><Said words={about} />.</p>
      <p className="who">Who: {who}</p>
      {query.length === 0 ? null : <><h3>Asked in the address</h3><Fields fields={query} /></>}
      {bodies.map(({ type, about: bodyAbout, shapes }) => (
        <div key={type}>
          <h3>Takes <code>{type}</code></h3>
          {bodyAbout === "" ? null : <p>{bodyAbout}</p>}
          {shapes.map(({ name, fields }) => <Fields key={name} fields={fields} />)}
        </div>
      ))}
      <h3>Gives</h3>
      <dl className="answers">
        {answers.map(({ status, about: words, fields }) => (
          <div key={status}><dt>{status}</dt><dd>{words}{fields.length === 0 ? null : <span className="keys-of"> · {fields.map(({ name }) => <code key={name}>{name}</code>)}</span>}</dd></div>
        ))}
      </dl>
    </section>
  );
}

/** The wire described call by call, from the same table that answers them; and two clients to begin from. */
export default async function ApiPage() {
  const person = await look("/api"), { about, calls, clients } = apiPage();
  return (
    <Acting person={person}><main className="sheet wire">
      <header>
        {/* oxlint-disable-next-line next/no-html-link-for-pages -- it is no page but the description itself */}
        <div className="above"><Link href="/">All runs</Link><a href="/api/v1/openapi.json">OpenAPI 3.1</a><WhoLine /></div>
        <h1>A cell streams its print to {calls.length} calls below <code>/api/v1</code>.</h1>
        <p className="detail">{about} A token is made with <code>npm run --silent token -- add NAME</code> and sent as <code>Authorization: Bearer TOKEN</code>.</p>
      </header>
      <nav className="contents" aria-label="Calls">
        <table>
          <caption>All calls</caption>
          <thead><tr><th scope="col">call</th><th scope="col">what it does</th><th scope="col">who</th></tr></thead>
          <tbody>{calls.map((call) => <tr key={idOf(call)}><th scope="row"><a className="code" href={`#${idOf(call)}`}>{call.method} {call.path}</a></th><td><Said words={call.about} /></td><td>{call.who}</td></tr>)}</tbody>
        </table>
      </nav>
      <div className="calls">{calls.map((call) => <Call key={idOf(call)} call={call} />)}</div>
      {clients.map(({ name, text }) => (
        <section key={name} className="client" aria-labelledby={`client-${name}`}>
          <h2 id={`client-${name}`}>{name}</h2>
          {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- it scrolls, so the keyboard has to reach it */}
          <pre tabIndex={0} role="region" aria-label={`Text of ${name}`}><code>{text}</code></pre>
        </section>
      ))}
      <TitleBlock cells={[
        { label: "sheet", value: "the wire, version 1", twelfths: 6 }, { label: "calls", value: calls.length, twelfths: 2 }, { label: "below", value: "/api/v1", twelfths: 4 },
      ]} />
      <SafetyNote />
    </main></Acting>
  );
}
