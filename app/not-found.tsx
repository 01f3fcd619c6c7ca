import Link from "next/link";
import { SafetyNote } from "./components/SafetyNote.tsx";

export default function NotFound() {
  return (
    <main className="sheet plain">
      <header>
        <h1>There is no such sheet.</h1>
        <p className="detail">The address may be mistyped. <Link href="/">The register of runs</Link> lists every one that is kept.</p>
      </header>
      <SafetyNote />
    </main>
  );
}
