import type { Metadata } from "next";
import Link from "next/link";
import { mayDo } from "../../lib/model/person.ts";
import { linkLines, peopleLines } from "../../lib/server/people/people.ts";
import { Acting } from "../components/Acting.tsx";
import { MayDo } from "../components/MayDo.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { look } from "../door.ts";
import { PeopleSheet } from "./PeopleSheet.tsx";
import "./people.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "People" };

/** Who may act here; for administrators alone. */
export default async function PeoplePage() {
  const person = await look("/people"), isAllowed = person !== null && mayDo(person.roles, "people");
  const people = isAllowed ? peopleLines() : [], links = isAllowed ? linkLines() : [], inCount = people.filter(({ retiredAt }) => retiredAt === null).length;
  return (
    <Acting person={person}><main className="sheet people">
      <header>
        <div className="above"><Link href="/">All runs</Link><WhoLine /></div>
        <h1>{isAllowed ? inCount === 1 ? "One person may act here." : `${inCount} people may act here.` : "People."}</h1>
        <p className="detail">Whoever acts stands in the run’s log by name. Nobody is deleted: who leaves is retired, and the name stays theirs.</p>
      </header>
      {isAllowed ? <PeopleSheet people={people} links={links} /> : <section><MayDo deed="people">{null}</MayDo></section>}
      <TitleBlock cells={[
        { label: "sheet", value: "people", twelfths: 4 }, { label: "may act", value: isAllowed ? inCount : "–", twelfths: 4 }, { label: "retired", value: isAllowed ? people.length - inCount : "–", twelfths: 4 },
      ]} />
      <SafetyNote />
    </main></Acting>
  );
}
