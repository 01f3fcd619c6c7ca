/** What the page across runs shows. */
import type { AcrossChoices, AcrossQuery, AcrossSheet } from "../model/across.ts";
import { acrossForm, readAcrossForm } from "../report/acrossForm.ts";
import { acrossErrorSheet, acrossSheet } from "../report/acrossSheet.ts";
import { findingPlaces, runGroups, runValues, type RunGroup } from "../store/acrossRuns.ts";
import type { Parameters } from "./findRuns.ts";
import { sharedStore } from "./settings.ts";

/** Runs on one chart, the newest: more cannot be told apart on a sheet. */
export const CHARTED_RUNS = 200;

function choicesOf(groups: readonly RunGroup[]): AcrossChoices {
  const known = <T>(values: readonly (T | null)[]): T[] => [...new Set(values)].filter((value): value is T => value !== null);
  return { lots: known(groups.map(({ lot }) => lot)), nozzlesMm: known(groups.map(({ nozzleMm }) => nozzleMm)).toSorted((a, b) => a - b), cells: known(groups.map(({ cell }) => cell)).toSorted() };
}

function isAsked({ lot, nozzleMm, cell, source }: AcrossQuery, group: RunGroup): boolean {
  return (lot === null || group.lot === lot) && (nozzleMm === null || group.nozzleMm === nozzleMm) && (cell === null || group.cell === cell) && (source === null || (group.isRehearsal === 1) === (source === "rehearsal"));
}

/** `parameters`: of the page's address. */
export function readAcrossSheet(parameters: Parameters): AcrossSheet {
  const { db } = sharedStore(), form = acrossForm(parameters), { query, errors } = readAcrossForm(form), groups = runGroups(db), choices = choicesOf(groups);
  if (query === null) return acrossErrorSheet(form, errors, choices);
  const asked = groups.filter((group) => isAsked(query, group)).map(({ runId }) => runId), charted = asked.slice(0, CHARTED_RUNS);
  return acrossSheet({ form, query, choices, runs: runValues(db, charted), olderCount: asked.length - charted.length, findings: findingPlaces(db, charted) });
}
