import Link from "next/link";
import { SafetyNote } from "../../components/SafetyNote.tsx";

export default function RunNotFound() {
  return (
    <main className="sheet plain">
      <header>
        <h1>No run of this number is kept here.</h1>
        <p className="detail">It may be in another data folder, or the address is mistyped. <Link href="/">The register of runs</Link> lists every one that is kept.</p>
      </header>
      <SafetyNote />
    </main>
  );
}
