"use client";
import { useState } from "react";
import type { CalibrationSheet } from "../../lib/model/calibration.ts";
import type { PrepareProblem } from "../../lib/model/prepare.ts";
import type { ChosenFile } from "../import/chosenFiles.ts";

/** What is typed beside the files; blank: as board.json says. */
export const BOARD_FIELDS = ["pattern", "columns", "rows", "pitchMm", "camera"] as const;
export type BoardTexts = Readonly<Record<(typeof BOARD_FIELDS)[number], string>>;

export type Solving =
  | { readonly state: "none" | "asking" }
  | { readonly state: "problem"; readonly problem: PrepareProblem }
  | { readonly state: "told"; readonly sheet: CalibrationSheet };

const NO_ANSWER: PrepareProblem = { code: "source.stopped", message: "expected an answer of the server, got none", place: {} };

/** Pictures that are handed in, and what the server says of them. Nothing is asked before somebody presses the button. */
export function useCalibration() {
  const [files, setFiles] = useState<readonly ChosenFile[]>([]);
  const [texts, setTexts] = useState<BoardTexts>({ pattern: "", columns: "", rows: "", pitchMm: "", camera: "" });
  const [solving, setSolving] = useState<Solving>({ state: "none" });
  const solve = async (): Promise<void> => {
    setSolving({ state: "asking" });
    const form = new FormData();
    for (const key of BOARD_FIELDS) form.set(key, texts[key]);
    for (const { path, file } of files) form.append("files", file, path.split("/").at(-1));
    try {
      const response = await fetch("/api/calibration", { method: "POST", body: form, cache: "no-store" }), told = await response.json() as CalibrationSheet & { readonly problem?: PrepareProblem };
      setSolving(response.ok ? { state: "told", sheet: told } : { state: "problem", problem: told.problem ?? NO_ANSWER });
    } catch {
      setSolving({ state: "problem", problem: NO_ANSWER });
    }
  };
  return {
    files, texts, solving, solve,
    choose: (chosen: readonly ChosenFile[]): void => {
      setFiles(chosen.filter(({ path }) => /\.(png|jpe?g|json|csv)$/i.test(path)));
      setSolving({ state: "none" });
    },
    type: (key: keyof BoardTexts, text: string): void => setTexts((before) => ({ ...before, [key]: text })),
  };
}
