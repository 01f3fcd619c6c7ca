/** The measuring side of a report, from a result as it is kept. Pure; the same result gives the same body. */
import { SECTION_IDS, type Report, type ReportBody, type ReportHead, type ReportSection, type SectionId } from "../../model/report.ts";
import type { FindingDisposition } from "../../model/disposition.ts";
import { distributionSection } from "../distributionSection.ts";
import { plannedBeads } from "../distributionValues.ts";
import { amountsSection } from "./amountsSection.ts";
import { basisSection } from "./basisSection.ts";
import type { BodyInput } from "./bodyInput.ts";
import { budgetSection } from "./budgetSection.ts";
import { cautionsSection, warningsSection } from "./closingSections.ts";
import { framesSection } from "./framesSection.ts";
import { findingsSection, reportFindings } from "./findingsBlocks.ts";
import { attemptsSection, buriedSection } from "./layersSections.ts";
import { mapsSection } from "./mapsSection.ts";
import { poresSection, unmeasuredSection } from "./voidsSections.ts";

export function reportBody(input: BodyInput): ReportBody {
  const sections = [
    basisSection(input), amountsSection(input), mapsSection(input), buriedSection(input), attemptsSection(input), poresSection(input), unmeasuredSection(input), framesSection(input),
    distributionSection({ means: input.means, beads: plannedBeads(input.stations), beganS: null }), budgetSection(input), warningsSection(input.sheet.warnings), cautionsSection(), ...input.more,
  ];
  return { verdict: input.sheet.words, sections: sections.filter((section): section is ReportSection => section !== null), findings: reportFindings(input) };
}

const orderOf = ({ id }: ReportSection): number => SECTION_IDS.indexOf(id as SectionId);

/** A report as of now: the body, what people decided about its findings, and what the record says. Sections stand in their own order. */
export function wholeReport(head: ReportHead, body: ReportBody, dispositions: readonly FindingDisposition[], record: readonly ReportSection[]): Report {
  const sections = [...body.sections, findingsSection(body.findings, dispositions), ...record].toSorted((a, b) => orderOf(a) - orderOf(b));
  return { contract: "aslaid/1", head, verdict: body.verdict, sections };
}
