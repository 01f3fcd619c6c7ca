"use client";
import { SafetyNote } from "./components/SafetyNote.tsx";

/** A bug, said in words; what it was stands in the server's own output. */
export default function ErrorPage({ reset }: { readonly reset: () => void }) {
  return (
    <main className="sheet plain">
      <header>
        <h1>This sheet could not be drawn.</h1>
        <p className="detail">Nothing that is kept was changed. The server’s output says what went wrong.</p>
      </header>
      <p className="older"><button type="button" onClick={reset}>Try again</button></p>
      <SafetyNote />
    </main>
  );
}
